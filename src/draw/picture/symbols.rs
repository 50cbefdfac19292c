//! The signs of the strip: swatch, ring, scale bar, arrow.

use image::{RgbImage, imageops};
use imageproc::drawing::{
    draw_antialiased_polygon_mut, draw_filled_circle_mut, draw_filled_rect_mut,
};
use imageproc::pixelops::interpolate;
use imageproc::point::Point;
use imageproc::rect::Rect;

use super::classes::Class;
use super::ink;
use super::rings::Ring;

/// Width and height of a swatch, pixels.
pub(super) const SWATCH_PX: (i32, i32) = (72, 48);

/// Longest scale bar, pixels.
const LONGEST_BAR_PX: f64 = 300.0;

/// Side of the plate with the arrow, pixels.
pub(super) const PLATE_PX: i32 = 132;

/// A piece of panel of one class in a black frame; its middle tone, dots included.
pub(super) fn swatch(strip: &mut RgbImage, x: i32, y: i32, class: Class) {
    let (width, height) = SWATCH_PX;
    let tones = class.tones();
    framed(strip, x, y, width, height);
    for dy in 2..height - 2 {
        for dx in 2..width - 2 {
            let colour = class.ink(dx as usize, dy as usize, tones[tones.len() / 2]);
            ink::lay(strip, x + dx, y + dy, colour, 1.0);
        }
    }
}

/// A ring with its speckle, as on the panel; one that is `cut` lies across the left edge.
pub(super) fn ring(strip: &mut RgbImage, x: i32, y: i32, cut: bool) {
    let (width, height) = SWATCH_PX;
    let mut piece = RgbImage::from_pixel(width as u32, height as u32, ink::PAPER);
    swatch(&mut piece, 0, 0, Class::Clear);
    let across = if cut { 11 } else { width / 2 };
    let centre = (f64::from(across), f64::from(height / 2));
    draw_filled_circle_mut(&mut piece, (across, height / 2), 7, ink::BLACK);
    let ring = Ring {
        centre,
        radius_px: 15.0,
        stroke_px: 2.6,
        dashed: cut,
    };
    ring.edge(&mut piece);
    ring.white(&mut piece);
    imageops::replace(strip, &piece, x.into(), y.into());
}

/// Length of the scale bar, mm and pixels: the longest of 1, 2, 5, 10, 20, … mm that fits.
pub(super) fn bar_length(picture_px_per_mm: f64) -> (f64, f64) {
    let longest_mm = LONGEST_BAR_PX / picture_px_per_mm;
    let decade = 10_f64.powf(longest_mm.log10().floor());
    let mm = [5.0, 2.0, 1.0]
        .into_iter()
        .map(|step| step * decade)
        .find(|mm| *mm <= longest_mm)
        .unwrap_or(decade);
    (mm, mm * picture_px_per_mm)
}

/// The scale bar with upright ends, as high as a swatch.
pub(super) fn bar(strip: &mut RgbImage, x: i32, y: i32, length_px: i32) {
    let (height, end) = (SWATCH_PX.1, 5);
    filled(strip, x, y + height / 2 - 4, length_px, 8);
    filled(strip, x, y + 6, end, height - 12);
    filled(strip, x + length_px - end, y + 6, end, height - 12);
}

/// A framed plate with a double-headed arrow `degrees` anticlockwise from its bottom edge, which is drawn thick.
pub(super) fn arrow_plate(strip: &mut RgbImage, x: i32, y: i32, degrees: f64) {
    framed(strip, x, y, PLATE_PX, PLATE_PX);
    filled(strip, x, y + PLATE_PX - 7, PLATE_PX, 7);
    let (sin, cos) = degrees.to_radians().sin_cos();
    let middle = f64::from(PLATE_PX) / 2.0;
    let (tip, neck, head, shaft) = (middle - 14.0, middle - 42.0, 17.0, 5.0);
    // Along the arrow, across it.
    let outline = [
        (tip, 0.0),
        (neck, head),
        (neck, shaft),
        (-neck, shaft),
        (-neck, head),
        (-tip, 0.0),
        (-neck, -head),
        (-neck, -shaft),
        (neck, -shaft),
        (neck, -head),
    ];
    let points = outline.map(|(along, across)| {
        let right = along * cos - across * sin;
        let up = along * sin + across * cos;
        Point::new(
            x + (middle + right).round() as i32,
            y + (middle - up).round() as i32,
        )
    });
    draw_antialiased_polygon_mut(strip, &points, ink::BLACK, interpolate);
}

fn filled(strip: &mut RgbImage, x: i32, y: i32, width: i32, height: i32) {
    let rect = Rect::at(x, y).of_size(width.max(1) as u32, height.max(1) as u32);
    draw_filled_rect_mut(strip, rect, ink::BLACK);
}

fn framed(strip: &mut RgbImage, x: i32, y: i32, width: i32, height: i32) {
    filled(strip, x, y, width, height);
    let inside = Rect::at(x + 2, y + 2).of_size((width - 4) as u32, (height - 4) as u32);
    draw_filled_rect_mut(strip, inside, ink::PAPER);
}
