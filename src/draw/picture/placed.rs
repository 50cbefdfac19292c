//! The photo with what lies where drawn on it: the panel's outline, its corners by letter, the patches by name.
//!
//! Every line is white between two black ones, so that it shows on silver, on a dark table and on paper alike.

use image::{Rgb, RgbImage};
use imageproc::drawing::{draw_filled_rect_mut, draw_polygon_mut};
use imageproc::point::Point;
use imageproc::rect::Rect;
use rayon::prelude::*;

use super::ink;
use crate::frame::photo::Photo;
use crate::frame::placement::{PatchKind, Sighting};
use crate::frame::quad::Quad;
use crate::ops::transfer::srgb_encode;
use crate::words;

/// Long side of the picture at most, pixels.
const LONG_SIDE_PX: usize = 1500;

/// Width of the white of a line and of the black on each side of it, pixels.
const STROKE_PX: (f64, f64) = (3.0, 2.0);

/// Paper about a word, pixels.
const PLATE_PX: i32 = 6;

/// Draws where the panel and the patches lie in a photo; a line of words below says how they were found.
#[must_use]
pub fn placed(photo: &Photo, seen: &Sighting) -> RgbImage {
    let cell = photo.width.max(photo.height).div_ceil(LONG_SIDE_PX).max(1);
    let mut picture = smaller(photo, cell);
    let scaled = |quad: &Quad| Quad(quad.0.map(|p| p.map(|v| v / cell as f64)));
    let panel = scaled(&seen.corners);
    outline(&mut picture, &panel);
    for patch in &seen.patches {
        outline(&mut picture, &scaled(&patch.corners));
    }
    let centre = panel.centre();
    for (corner, name) in panel.0.iter().zip(["A", "B", "C", "D"]) {
        // Inside the panel, where there is always room.
        let at = [0, 1].map(|i| corner[i] + 0.07 * (centre[i] - corner[i]));
        word(&mut picture, at, name);
    }
    for patch in &seen.patches {
        let quad = scaled(&patch.corners);
        let name = match patch.kind {
            PatchKind::Grey => "grey card",
            PatchKind::Mirror => "mirror",
            PatchKind::Bare => "bare",
        };
        let at = beside(&quad, picture.height());
        word(&mut picture, at, name);
    }
    let said = words::found(seen).unwrap_or_else(|| words::CORNERS_GIVEN.to_owned());
    below(&picture, &[said.as_str(), words::CORNER_LETTERS])
}

/// The photo as it is shown, with nothing drawn on it, its long side at most so many pixels.
#[must_use]
pub fn shown(photo: &Photo, long_side_px: usize) -> RgbImage {
    let cell = photo.width.max(photo.height).div_ceil(long_side_px.max(1));
    smaller(photo, cell.max(1))
}

/// The photo in pixels of `cell` × `cell` of its own, as shown.
fn smaller(photo: &Photo, cell: usize) -> RgbImage {
    let (width, height) = ((photo.width / cell).max(1), (photo.height / cell).max(1));
    let mut picture = RgbImage::new(width as u32, height as u32);
    let rows = picture.as_mut().par_chunks_mut(3 * width);
    rows.enumerate().for_each(|(r, out)| {
        let mut line = vec![[0.0; 4]; (width * cell).min(photo.width)];
        let mut sums = vec![[0.0_f32; 3]; width];
        // A photo lower or narrower than one cell has less in it.
        let lines = r * cell..photo.height.min((r + 1) * cell);
        let seen = lines.len() * cell.min(photo.width);
        for i in lines {
            photo.light_along(i, 0, &mut line);
            for (sum, light) in sums.iter_mut().zip(line.chunks(cell)) {
                light
                    .iter()
                    .for_each(|l| (0..3).for_each(|c| sum[c] += l[c]));
            }
        }
        for (pixel, sum) in out.chunks_exact_mut(3).zip(&sums) {
            for (code, light) in pixel.iter_mut().zip(sum) {
                let mean = f64::from(*light) / seen as f64;
                *code = (srgb_encode(mean.clamp(0.0, 1.0)) * 255.0).round() as u8;
            }
        }
    });
    picture
}

/// A quad's outline, white within black.
fn outline(picture: &mut RgbImage, quad: &Quad) {
    let (white, black) = STROKE_PX;
    for (half, colour) in [(white / 2.0 + black, ink::BLACK), (white / 2.0, ink::WHITE)] {
        for i in 0..4 {
            stroke(picture, quad.0[i], quad.0[(i + 1) % 4], half, colour);
        }
    }
}

/// A straight line with round ends.
fn stroke(picture: &mut RgbImage, a: [f64; 2], b: [f64; 2], half: f64, colour: Rgb<u8>) {
    let d = [b[0] - a[0], b[1] - a[1]];
    let length = d[0].hypot(d[1]).max(1e-9);
    let normal = [-d[1] / length * half, d[0] / length * half];
    let end = |p: [f64; 2], sign: f64| {
        Point::new(
            (p[0] + sign * normal[0]).round() as i32,
            (p[1] + sign * normal[1]).round() as i32,
        )
    };
    let band = [end(a, 1.0), end(b, 1.0), end(b, -1.0), end(a, -1.0)];
    if band[0] != band[3] {
        draw_polygon_mut(picture, &band, colour);
    }
    for [x, y] in [a, b] {
        let centre = (x.round() as i32, y.round() as i32);
        imageproc::drawing::draw_filled_circle_mut(picture, centre, half as i32, colour);
    }
}

/// Where a patch's name stands: under it, or over it where the picture ends.
fn beside(patch: &Quad, height: u32) -> [f64; 2] {
    let line = f64::from(ink::LINE_PX);
    let ends = patch.0.iter().map(|p| p[1]);
    let (top, bottom) = ends.fold((f64::MAX, f64::MIN), |(t, b), y| (t.min(y), b.max(y)));
    let under = bottom + 0.9 * line;
    let y = if under + line < f64::from(height) {
        under
    } else {
        top - 0.9 * line
    };
    [patch.centre()[0], y]
}

/// A word on a plate of paper, its middle at a point.
fn word(picture: &mut RgbImage, [x, y]: [f64; 2], text: &str) {
    let (width, height) = (ink::text_width_px(text) + 2 * PLATE_PX, ink::LINE_PX);
    let keep =
        |at: f64, size: i32, end: u32| (at as i32 - size / 2).clamp(0, (end as i32 - size).max(0));
    let (left, top) = (
        keep(x, width, picture.width()),
        keep(y, height, picture.height()),
    );
    let plate = |grow: i32| {
        Rect::at(left - grow, top - grow)
            .of_size((width + 2 * grow) as u32, (height + 2 * grow) as u32)
    };
    draw_filled_rect_mut(picture, plate(2), ink::BLACK);
    draw_filled_rect_mut(picture, plate(0), ink::PAPER);
    ink::write(picture, left + PLATE_PX, top, text);
}

/// The picture with lines of words below, broken where they are too long.
fn below(picture: &RgbImage, sentences: &[&str]) -> RgbImage {
    let most = (picture.width() as i32 - 2 * PLATE_PX) / ink::text_width_px("m").max(1);
    let mut lines: Vec<String> = Vec::new();
    for sentence in sentences {
        lines.push(String::new());
        for part in sentence.split(' ') {
            let full = lines.last().map_or(0, |l| l.chars().count());
            if full > 0 && full + part.chars().count() + 1 > most.max(1) as usize {
                lines.push(String::new());
            }
            if let Some(line) = lines.last_mut() {
                if !line.is_empty() {
                    line.push(' ');
                }
                line.push_str(part);
            }
        }
    }
    let strip = lines.len() as u32 * ink::LINE_PX as u32 + 4 * PLATE_PX as u32;
    let mut whole = RgbImage::from_pixel(picture.width(), picture.height() + strip, ink::PAPER);
    image::imageops::replace(&mut whole, picture, 0, 0);
    for (line, i) in lines.iter().zip(0..) {
        let top = picture.height() as i32 + 2 * PLATE_PX + i * ink::LINE_PX;
        ink::write(&mut whole, PLATE_PX, top, line);
    }
    whole
}
