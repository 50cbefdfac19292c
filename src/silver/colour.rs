//! A panel in colour, full silver as white: light from its silver level, hue and chroma from what is kept of its colour.
//!
//! The luminance of every pixel is the silver level itself. Where a colour is too strong for a screen to show at that light it
//! is made paler, never darker. Between the middles of cells colour runs in straight lines. A panel of which no colour is
//! known is grey.

use image::{Rgb, RgbImage};
use ndarray::Array2;
use rayon::prelude::*;

use crate::frame::Plane;
use crate::frame::panel::Tints;
use crate::ops::resize::resize;
use crate::ops::transfer::{of_one_light, srgb_code, srgb_light};

/// Tints laid over a silver plane, or over a piece of one at another number of pixels.
#[derive(Debug, Clone, Copy)]
pub struct Laid<'a> {
    tints: &'a Tints,
    /// Pixels along a cell, down and across.
    cell: [f32; 2],
    /// Where the piece begins, pixels down and across.
    first: [f32; 2],
}

impl<'a> Laid<'a> {
    /// Over the plane that they were kept with; `None` where they cannot be that plane's.
    #[must_use]
    pub fn over(tints: &'a Tints, (rows, cols): (usize, usize)) -> Option<Self> {
        let cell = tints.cell_px(rows, cols)? as f32;
        Some(Laid {
            tints,
            cell: [cell, cell],
            first: [0.0, 0.0],
        })
    }

    /// Over the same plane resampled from so many rows and columns to others.
    #[must_use]
    pub fn resized(self, from: (usize, usize), to: (usize, usize)) -> Self {
        let by = [(from.0, to.0), (from.1, to.1)].map(|(from, to)| to as f32 / from.max(1) as f32);
        let times = |v: [f32; 2]| [v[0] * by[0], v[1] * by[1]];
        Laid {
            cell: times(self.cell),
            first: times(self.first),
            ..self
        }
    }

    /// Over a piece of it that begins at a row and a column.
    #[must_use]
    pub fn from(self, row: usize, col: usize) -> Self {
        Laid {
            first: [self.first[0] + row as f32, self.first[1] + col as f32],
            ..self
        }
    }
}

/// Tints cell by cell, in few steps: a drawing's file is small because its colours repeat.
pub struct ByCell {
    tints: Array2<[f32; 3]>,
    cell: [f32; 2],
    first: [f32; 2],
}

/// Codes of a tint in one step.
const STEP: u8 = 8;

impl Laid<'_> {
    /// The same cell by cell.
    /// Cell by cell, in few steps.
    #[must_use]
    pub fn by_cell(self) -> ByCell {
        let coarse = |code: u8| code.saturating_add(STEP / 2) / STEP * STEP;
        ByCell {
            tints: self.tints.0.map(|codes| of_one_light(codes.map(coarse))),
            cell: self.cell,
            first: self.first,
        }
    }
}

impl ByCell {
    /// A grey, or nearly one, as it looks in the tint of a pixel's cell.
    /// Codes of grey in the colour of the cell that lies there.
    #[must_use]
    pub fn over(&self, Rgb(codes): Rgb<u8>, row: usize, col: usize) -> Rgb<u8> {
        let (rows, cols) = self.tints.dim();
        let cell = |at: usize, axis: usize, cells: usize| {
            let place = (at as f32 + self.first[axis] + 0.5) / self.cell[axis];
            (place as usize).min(cells - 1)
        };
        let tint = self.tints[[cell(row, 0, rows), cell(col, 1, cols)]];
        let grey = srgb_light(codes[1]);
        Rgb(shown(grey, tint).map(srgb_code))
    }
}

/// A silver plane in the colour that was kept with it, a pixel for each of its own.
#[must_use]
pub fn colour_of(silver: &Plane, tints: Option<&Tints>) -> RgbImage {
    lit(silver, tints.and_then(|t| Laid::over(t, silver.dim())))
}

/// The same brought to another number of pixels.
#[must_use]
pub fn colour_sized(
    silver: &Plane,
    tints: Option<&Tints>,
    (rows, cols): (usize, usize),
) -> RgbImage {
    let laid = tints
        .and_then(|t| Laid::over(t, silver.dim()))
        .map(|laid| laid.resized(silver.dim(), (rows, cols)));
    lit(&resize(silver, rows, cols), laid)
}

/// A silver plane, or a piece of one, under the tints laid over it.
#[must_use]
pub fn lit(silver: &Plane, laid: Option<Laid<'_>>) -> RgbImage {
    let (rows, cols) = silver.dim();
    let mut picture = RgbImage::new(cols as u32, rows as u32);
    let Some(laid) = laid else {
        for (pixel, s) in picture.pixels_mut().zip(silver) {
            pixel.0 = [srgb_code(*s); 3];
        }
        return picture;
    };
    let tints = laid.tints.0.map(|codes| of_one_light(*codes));
    let nodes = tints.dim();
    picture
        .as_mut()
        .par_chunks_mut(3 * cols.max(1))
        .enumerate()
        .for_each_init(
            || vec![[0.0_f32; 3]; nodes.1],
            |line, (r, out)| {
                let (above, below, t) = about(r as f32 + laid.first[0], laid.cell[0], nodes.0);
                for (c, tint) in line.iter_mut().enumerate() {
                    *tint = between(tints[[above, c]], tints[[below, c]], t);
                }
                for (c, (pixel, s)) in out.chunks_exact_mut(3).zip(silver.row(r)).enumerate() {
                    let (left, right, t) = about(c as f32 + laid.first[1], laid.cell[1], nodes.1);
                    let tint = between(line[left], line[right], t);
                    pixel.copy_from_slice(&shown(s.clamp(0.0, 1.0), tint).map(srgb_code));
                }
            },
        );
    picture
}

/// A picture with its long side brought to `long_side_px`, where it is longer.
#[must_use]
pub fn smaller(picture: &RgbImage, long_side_px: usize) -> RgbImage {
    let (cols, rows) = picture.dimensions();
    let ratio = long_side_px as f64 / f64::from(rows.max(cols).max(1));
    if ratio >= 1.0 {
        return picture.clone();
    }
    let side = |px: u32| ((f64::from(px) * ratio).round() as usize).max(1);
    resampled(picture, side(rows), side(cols))
}

/// A picture at another number of pixels: light is averaged, not codes.
#[must_use]
pub fn resampled(picture: &RgbImage, rows: usize, cols: usize) -> RgbImage {
    let (width, height) = picture.dimensions();
    let shape = (height as usize, width as usize);
    let channels = [0, 1, 2].map(|c: usize| {
        let light = Array2::from_shape_fn(shape, |(r, col)| {
            srgb_light(picture.get_pixel(col as u32, r as u32).0[c])
        });
        resize(&light, rows, cols)
    });
    RgbImage::from_fn(cols as u32, rows as u32, |x, y| {
        let at = [y as usize, x as usize];
        Rgb([0, 1, 2].map(|c: usize| srgb_code(channels[c][at])))
    })
}

/// Light of a colour of a given luminance; made paler until a screen can show it.
fn shown(luminance: f32, tint: [f32; 3]) -> [f32; 3] {
    let light = tint.map(|t| luminance * t);
    let brightest = light.into_iter().fold(0.0, f32::max);
    if brightest <= 1.0 {
        return light;
    }
    let keeps = (1.0 - luminance) / (brightest - luminance);
    light.map(|v| luminance + keeps * (v - luminance))
}

/// The two cells about a pixel, and how far it is from the first to the second.
fn about(pixel: f32, cell: f32, cells: usize) -> (usize, usize, f32) {
    let at = ((pixel + 0.5) / cell - 0.5).clamp(0.0, (cells - 1) as f32);
    let first = at as usize;
    (first, (first + 1).min(cells - 1), at - first as f32)
}

fn between(a: [f32; 3], b: [f32; 3], t: f32) -> [f32; 3] {
    [0, 1, 2].map(|c| a[c] + t * (b[c] - a[c]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ops::transfer::LUMINANCE;

    const GOLD: [u8; 3] = [255, 225, 160];

    fn luminance([r, g, b]: [u8; 3]) -> f32 {
        let light = [r, g, b].map(srgb_light);
        (0..3).map(|c| LUMINANCE[c] as f32 * light[c]).sum()
    }

    #[test]
    fn light_is_the_silver_level_whatever_the_colour() {
        let silver = Plane::from_shape_fn((20, 30), |(_, c)| c as f32 / 29.0);
        let tints = Tints(Array2::from_elem((4, 6), GOLD));
        let picture = colour_of(&silver, Some(&tints));
        for (pixel, s) in picture.pixels().zip(&silver) {
            // Half a code of each channel.
            assert!((luminance(pixel.0) - s).abs() < 0.005, "{pixel:?} {s}");
        }
        let [r, g, b] = picture.get_pixel(15, 10).0;
        assert!(r > g && g > b);
    }

    #[test]
    fn full_silver_is_white_and_bare_glass_black() {
        let tints = Tints(Array2::from_elem((2, 2), GOLD));
        let silver = Plane::from_shape_fn((8, 8), |(r, _)| if r < 4 { 1.0 } else { 0.0 });
        let picture = colour_of(&silver, Some(&tints));
        assert_eq!(picture.get_pixel(3, 1).0, [255; 3]);
        assert_eq!(picture.get_pixel(3, 6).0, [0; 3]);
    }

    #[test]
    fn without_colour_it_is_grey() {
        let silver = Plane::from_elem((8, 8), 0.5);
        let wrong = Tints(Array2::from_elem((7, 3), GOLD));
        // sRGB of half the light: 188 (IEC 61966-2-1).
        for picture in [colour_of(&silver, None), colour_of(&silver, Some(&wrong))] {
            assert!(picture.pixels().all(|p| p.0 == [188; 3]));
        }
    }

    #[test]
    fn a_piece_is_that_piece_of_the_whole() {
        let silver = Plane::from_elem((40, 60), 0.6);
        let tints = Tints(Array2::from_shape_fn((8, 12), |(r, c)| {
            [255, 250 - 10 * r as u8, 240 - 10 * c as u8]
        }));
        let whole = colour_of(&silver, Some(&tints));
        let laid = Laid::over(&tints, silver.dim()).unwrap().from(7, 13);
        let piece = lit(
            &crate::frame::piece(&silver, 7..20, 13..40).to_owned(),
            Some(laid),
        );
        for (x, y, pixel) in piece.enumerate_pixels() {
            assert_eq!(pixel, whole.get_pixel(x + 13, y + 7));
        }
    }
}
