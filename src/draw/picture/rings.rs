//! Speckles outlined: a white ring with black edges shows on silver and on bare glass alike.

use image::RgbImage;

use super::ink;
use crate::measure::speckle::Speckle;

/// Thickest and thinnest white of a ring, pixels.
const STROKE_PX: (f64, f64) = (2.6, 0.9);

/// Strokes are this share of the mean distance between speckles, so that many rings do not hide the panel.
const STROKE_PER_SPACING: f64 = 1.0 / 20.0;

/// Least radius of a ring in strokes: less and it would be a dot.
const LEAST_RADIUS_STROKES: f64 = 3.5;

/// Shades of a stroke's soft edge; more would swell the file.
const SHADES: f64 = 4.0;

/// A dashed ring's stroke against a full one's.
const DASHED_STROKE: f64 = 0.7;

/// A ring.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ring {
    /// Centre, pixels from the left and from the top.
    pub(super) centre: (f64, f64),
    /// Radius of the middle of the white, pixels.
    pub(super) radius_px: f64,
    /// Width of the white, pixels.
    pub(super) stroke_px: f64,
    /// Broken into eight pieces, four of them missing.
    pub(super) dashed: bool,
}

/// Draws a ring around each speckle; those that were not counted are dashed. `zoom` is picture pixels for each of the
/// silver plane's.
pub(super) fn draw(
    picture: &mut RgbImage,
    speckles: &[Speckle],
    zoom: f64,
    picture_px_per_mm: f64,
) {
    let area_px = f64::from(picture.width()) * f64::from(picture.height());
    let spacing_px = (area_px / speckles.len().max(1) as f64).sqrt();
    let stroke_px = (spacing_px * STROKE_PER_SPACING).clamp(STROKE_PX.1, STROKE_PX.0);
    let rings: Vec<Ring> = speckles
        .iter()
        .map(|speckle| {
            let rim_px = speckle.diameter_mm / 2.0 * picture_px_per_mm;
            Ring {
                centre: (speckle.col * zoom, speckle.row * zoom),
                radius_px: (rim_px + 2.0 * stroke_px).max(LEAST_RADIUS_STROKES * stroke_px),
                stroke_px: if speckle.counted {
                    stroke_px
                } else {
                    DASHED_STROKE * stroke_px
                },
                dashed: !speckle.counted,
            }
        })
        .collect();
    // All edges before all whites, so that neighbours do not cut each other.
    for ring in &rings {
        ring.edge(picture);
    }
    for ring in &rings {
        ring.white(picture);
    }
}

impl Ring {
    /// The black edges inside and outside the white.
    pub(super) fn edge(&self, picture: &mut RgbImage) {
        self.stroke(picture, 2.0 * self.stroke_px, ink::BLACK);
    }

    /// The white.
    pub(super) fn white(&self, picture: &mut RgbImage) {
        self.stroke(picture, self.stroke_px, ink::WHITE);
    }

    fn stroke(&self, picture: &mut RgbImage, width_px: f64, colour: image::Rgb<u8>) {
        let (cx, cy) = self.centre;
        let reach = self.radius_px + width_px;
        let span = |c: f64| ((c - reach).floor() as i32)..=((c + reach).ceil() as i32);
        let (inner, outer) = (
            self.radius_px - width_px / 2.0 - 0.5,
            self.radius_px + width_px / 2.0 + 0.5,
        );
        let within = inner.max(0.0).powi(2)..outer.powi(2);
        for y in span(cy) {
            for x in span(cx) {
                let (dx, dy) = (f64::from(x) + 0.5 - cx, f64::from(y) + 0.5 - cy);
                let squared = dx * dx + dy * dy;
                if !within.contains(&squared) {
                    continue;
                }
                let off = (squared.sqrt() - self.radius_px).abs();
                let share = (width_px / 2.0 + 0.5 - off).clamp(0.0, 1.0);
                let share = (share * SHADES).round() / SHADES;
                let gap = self.dashed && ((dx.abs() > dy.abs()) ^ (dx > 0.0) ^ (dy > 0.0));
                if share > 0.0 && !gap {
                    ink::lay(picture, x, y, colour, share);
                }
            }
        }
    }
}
