//! The luminance of a photo between its pixels.

use super::transfer::luminance;
use crate::frame::bilinear::FourPixels;
use crate::frame::photo::Photo;
use crate::frame::quad::Point;

/// Luminance at a point; outside the frame that of the nearest pixel.
#[must_use]
pub fn luminance_at(photo: &Photo, at: Point) -> f64 {
    FourPixels::about(at, photo.width, photo.height)
        .between(|row, col| luminance(&photo.light(row, col)))
}

/// The same of a point with pixels on all sides of it; `None` of any other.
#[must_use]
pub fn luminance_within(photo: &Photo, at: Point) -> Option<f64> {
    let between_pixels = |v: f64, n: usize| (0.5..n as f64 - 0.5).contains(&v);
    (between_pixels(at[0], photo.width) && between_pixels(at[1], photo.height))
        .then(|| luminance_at(photo, at))
}
