//! Paper, ink and letters.

use image::{Rgb, RgbImage};
use noto_sans_mono_bitmap::{FontWeight, RasterHeight, get_raster, get_raster_width};

pub(super) const BLACK: Rgb<u8> = Rgb([0, 0, 0]);
pub(super) const WHITE: Rgb<u8> = Rgb([255, 255, 255]);
pub(super) const PAPER: Rgb<u8> = WHITE;

const WEIGHT: FontWeight = FontWeight::Regular;
const HEIGHT: RasterHeight = RasterHeight::Size32;

/// Height of a line of letters, pixels.
pub(super) const LINE_PX: i32 = HEIGHT.val() as i32;

/// Lays `share` (0 to 1) of a colour over a pixel; outside the picture nothing happens.
pub(super) fn lay(picture: &mut RgbImage, x: i32, y: i32, colour: Rgb<u8>, share: f64) {
    let (Ok(x), Ok(y)) = (u32::try_from(x), u32::try_from(y)) else {
        return;
    };
    if let Some(pixel) = picture.get_pixel_mut_checked(x, y) {
        for (under, over) in pixel.0.iter_mut().zip(colour.0) {
            let mixed = f64::from(*under) * (1.0 - share) + f64::from(over) * share;
            *under = mixed.round() as u8;
        }
    }
}

/// Width of a line of text, pixels.
pub(super) fn text_width_px(text: &str) -> i32 {
    (text.chars().count() * get_raster_width(WEIGHT, HEIGHT)) as i32
}

/// Writes a line of text in black, its top left at (x, y). A letter the font lacks leaves a gap.
pub(super) fn write(picture: &mut RgbImage, x: i32, y: i32, text: &str) {
    let step = get_raster_width(WEIGHT, HEIGHT) as i32;
    for (letter, left) in text.chars().zip((x..).step_by(step as usize)) {
        let Some(raster) = get_raster(letter, WEIGHT, HEIGHT) else {
            continue;
        };
        for (row, top) in raster.rows().zip(y..) {
            for (level, at) in row.iter().zip(left..) {
                lay(picture, at, top, BLACK, f64::from(*level) / 255.0);
            }
        }
    }
}
