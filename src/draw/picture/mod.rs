//! The picture of a reading: the straightened panel with what was counted drawn on it, and a strip of words below.
//!
//! It is made for a black-and-white printer: clear, veil and dark are three separate ranges of grey, veil is dotted as
//! well, speckles wear a white ring with black edges, and every sign is explained in words. Colour only helps; it never
//! tells. Dots and not a hatch mark the veil, for a hatch would look like a direction.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    reason = "positions in a picture of some thousand pixels"
)]

mod classes;
mod ink;
mod placed;
mod rings;
mod strip;
mod symbols;
mod wall;

use image::{RgbImage, imageops};
use imageproc::drawing::draw_filled_rect_mut;
use imageproc::rect::Rect;

use crate::frame::Plane;
use crate::frame::panel::Tints;
use crate::measure::speckle::Speckle;
use crate::measure::{Measured, Settings};
use crate::silver::{Laid, sized};

pub use placed::{placed, shown};
pub use wall::{HUNG_PX, wall};

/// Long side of the panel in the picture, pixels: it fits a screen, and text can be read on it.
pub const LONG_SIDE_PX: usize = 1500;

/// White around the panel, pixels.
const MARGIN_PX: i32 = 24;

/// The black line around the panel, pixels: a plain mirror is as light as paper.
const FRAME_PX: i32 = 3;

/// The strip of words needs this width, pixels, however narrow the panel.
const LEAST_WIDTH_PX: usize = 1200;

/// Draws a measured panel in its colour: `px_per_mm` and `settings` are those it was measured with.
///
/// The panel is [`LONG_SIDE_PX`] on its long side; margins and strip come on top. The same reading gives the same bytes.
#[must_use]
pub fn draw(
    measured: &Measured,
    tints: Option<&Tints>,
    px_per_mm: f64,
    settings: &Settings,
) -> RgbImage {
    let silver = sized(&measured.silver, LONG_SIDE_PX);
    let whole = measured.silver.dim();
    let laid = tints.and_then(|t| Laid::over(t, whole));
    let zoom = silver.ncols() as f64 / measured.silver.ncols().max(1) as f64;
    let picture_px_per_mm = px_per_mm * zoom;

    let panel = counted(
        &silver,
        laid.map(|laid| laid.resized(whole, silver.dim())),
        &measured.speckles,
        zoom,
        picture_px_per_mm,
        settings,
    );
    let margin = MARGIN_PX as u32;
    let width = panel.width().max(LEAST_WIDTH_PX as u32);
    let strip = strip::draw(measured, picture_px_per_mm, width);
    let height = panel.height() + strip.height() + 3 * margin;
    let mut picture = RgbImage::from_pixel(width + 2 * margin, height, ink::PAPER);
    let left = (picture.width() - panel.width()) / 2;
    let frame = Rect::at(left as i32 - FRAME_PX, MARGIN_PX - FRAME_PX).of_size(
        panel.width() + 2 * FRAME_PX as u32,
        panel.height() + 2 * FRAME_PX as u32,
    );
    draw_filled_rect_mut(&mut picture, frame, ink::BLACK);
    imageops::replace(&mut picture, &panel, left.into(), margin.into());
    let below = panel.height() + 2 * margin;
    imageops::replace(&mut picture, &strip, margin.into(), below.into());
    picture
}

/// A silver plane in its classes with a ring around each speckle. `zoom` is its pixels for each of the plane's in which the
/// speckles were found, `px_per_mm` its own resolution.
#[must_use]
pub fn counted(
    silver: &Plane,
    laid: Option<Laid<'_>>,
    speckles: &[Speckle],
    zoom: f64,
    px_per_mm: f64,
    settings: &Settings,
) -> RgbImage {
    let mut panel = classes::paint(silver, laid, settings);
    rings::draw(&mut panel, speckles, zoom, px_per_mm);
    panel
}

#[cfg(test)]
mod tests;
