//! A panel's silver as it is shown and kept: its level with its colour, in any size, and the files of both.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sides of pictures are some thousand pixels"
)]

mod colour;
mod drawn;
mod files;

use image::RgbImage;

use crate::frame::Plane;
use crate::frame::panel::Tints;
use crate::measure::speckle::Speckle;
use crate::ops::resize::resize;

pub use colour::{Laid, colour_of, colour_sized, lit, resampled, smaller};
pub use drawn::{drawing, is_drawing, shown_in};
pub use files::{png, silver_map, silver_of, small_of, small_png, tints_of, tints_png};

/// Long side of the small picture that is kept with a finish, pixels.
pub const SMALL_PX: usize = 320;

/// A panel's silver with its colour and resolution, and the specks where the photo itself was read.
pub struct Silver {
    /// Silver level at standard sharpness, 0 bare to 1 full.
    pub plane: Plane,
    /// Its colour, where that is known; without it the panel is shown grey.
    pub tints: Option<Tints>,
    /// Pixels in a millimetre.
    pub px_per_mm: f64,
    /// The specks; `None` of a kept finish, which does not hold them one by one.
    pub speckles: Option<Vec<Speckle>>,
}

impl Silver {
    /// Width and height, mm.
    #[must_use]
    pub fn size_mm(&self) -> [f64; 2] {
        let (rows, cols) = self.plane.dim();
        [cols, rows].map(|px| px as f64 / self.px_per_mm)
    }

    /// The longer of the two, mm.
    #[must_use]
    pub fn long_mm(&self) -> f64 {
        let [width, height] = self.size_mm();
        width.max(height)
    }

    /// The whole panel in colour, its long side at most so many pixels.
    #[must_use]
    pub fn coloured(&self, long_side_px: usize) -> RgbImage {
        let (rows, cols) = self.plane.dim();
        self.brought_to(long_side_px.min(rows.max(cols)))
    }

    /// The panel in colour, its long side brought to [`SMALL_PX`].
    #[must_use]
    pub fn small(&self) -> RgbImage {
        small(&self.plane, self.tints.as_ref())
    }

    /// The panel in colour, its long side brought to so many pixels.
    #[must_use]
    pub fn brought_to(&self, long_side_px: usize) -> RgbImage {
        let to = brought_to(&self.plane, long_side_px);
        colour_sized(&self.plane, self.tints.as_ref(), to)
    }
}

/// A panel in colour, its long side brought to [`SMALL_PX`].
#[must_use]
pub fn small(plane: &Plane, tints: Option<&Tints>) -> RgbImage {
    colour_sized(plane, tints, brought_to(plane, SMALL_PX))
}

/// The plane with its long side brought to `long_side_px`.
#[must_use]
pub fn sized(plane: &Plane, long_side_px: usize) -> Plane {
    let (rows, cols) = brought_to(plane, long_side_px);
    resize(plane, rows, cols)
}

/// The rows and columns of a plane whose long side is brought to `long_side_px`.
#[must_use]
pub fn brought_to(plane: &Plane, long_side_px: usize) -> (usize, usize) {
    let (rows, cols) = plane.dim();
    let ratio = long_side_px as f64 / rows.max(cols).max(1) as f64;
    let side = |px: usize| ((px as f64 * ratio).round() as usize).max(1);
    (side(rows), side(cols))
}
