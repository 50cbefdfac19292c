//! The printed corner mark: its shape in millimetres and what its code says. Printer and reader know no more of each
//! other than this.
//!
//! A mark is a square of paper with a square notch, which takes one corner of the panel. Its own coordinates begin at the
//! inner corner of the notch, where the panel's corner lies; at the top left of the panel they run right and down, and
//! each further corner's mark is the same shape turned by a quarter, clockwise. Lengths are in modules, the dots of the
//! code; from far to near, along either axis:
//!
//! ```text
//! −36      −34   −32.5   −28.5       −7.5    −3.5   −2      0      8
//!  │ paper  │ bar  │ white │ code, 21 │ white │ bar  │ paper │ notch │
//! ```
//!
//! The code is a QR code of version 1 (ISO/IEC 18004), a quarter of which may be lost, with the white the standard asks for.

use std::fmt;
use std::str::FromStr;

use super::quad::Point;

/// Where the paper begins, modules.
pub const PAPER: f64 = -36.0;
/// Outer edge of the black frame, modules.
pub const FRAME: f64 = -34.0;
/// Thickness of the frame's bars, modules.
pub const BAR: f64 = 1.5;
/// Outer edge of the frame on the panel's side, modules.
pub const FRAME_END: f64 = -2.0;
/// Where the code begins, modules.
pub const CODE: f64 = -28.5;
/// Modules on a side of the code.
pub const CODE_MODULES: usize = 21;
/// Side of the notch, modules.
pub const NOTCH: f64 = 8.0;

/// Modules across the frame.
const FRAME_MODULES: f64 = FRAME_END - FRAME;

/// A module must span so many pixels of the photo to be read.
const LEAST_MODULE_PX: f64 = 3.5;

/// Pixels of the long side of a 12-megapixel photo that the panel fills when the marks fit in beside it.
const PANEL_PX: f64 = 3200.0;

/// What the code begins with: the program and the version of this shape.
const VERSION: &str = "PANEPRINT1";

/// The corner of the panel a mark is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Corner {
    /// Top left.
    TopLeft,
    /// Top right.
    TopRight,
    /// Bottom right.
    BottomRight,
    /// Bottom left.
    BottomLeft,
}

impl Corner {
    /// Clockwise from the top left, the order of all corners in this program.
    pub const ALL: [Corner; 4] = [
        Corner::TopLeft,
        Corner::TopRight,
        Corner::BottomRight,
        Corner::BottomLeft,
    ];

    /// Two letters.
    #[must_use]
    pub fn letters(self) -> &'static str {
        ["TL", "TR", "BR", "BL"][self as usize]
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        ["top left", "top right", "bottom right", "bottom left"][self as usize]
    }

    /// A point of the mark, as the mark lies at this corner of a panel seen upright.
    #[must_use]
    pub fn turned(self, [x, y]: Point) -> Point {
        [[x, y], [-y, x], [-x, -y], [y, -x]][self as usize]
    }
}

/// A printed size, named by the outer side of the black frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MarkSize(u8);

impl MarkSize {
    /// The printed sizes: for samples, for most panels, for large ones.
    pub const ALL: [MarkSize; 3] = [MarkSize(20), MarkSize(40), MarkSize(64)];

    /// Outer side of the black frame, mm.
    #[must_use]
    pub fn frame_mm(self) -> f64 {
        f64::from(self.0)
    }

    /// Side of a module, mm.
    #[must_use]
    pub fn module_mm(self) -> f64 {
        self.frame_mm() / FRAME_MODULES
    }

    /// Long side of the largest panel it serves on a 12-megapixel photo, mm, in whole fifties.
    #[must_use]
    pub fn serves_mm(self) -> f64 {
        (PANEL_PX / LEAST_MODULE_PX * self.module_mm() / 50.0).floor() * 50.0
    }
}

impl Default for MarkSize {
    fn default() -> Self {
        MarkSize(40)
    }
}

impl fmt::Display for MarkSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}mm", self.0)
    }
}

/// No mark is printed in this size.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no size of the marks; write 20mm, 40mm or 64mm")]
pub struct MarkSizeError(String);

impl FromStr for MarkSize {
    type Err = MarkSizeError;

    fn from_str(text: &str) -> Result<Self, MarkSizeError> {
        let named = |size: &MarkSize| size.to_string() == text.trim().replace(' ', "");
        let size = MarkSize::ALL.into_iter().find(named);
        size.ok_or_else(|| MarkSizeError(text.to_owned()))
    }
}

/// One mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mark {
    /// The corner it is for.
    pub corner: Corner,
    /// Its printed size.
    pub size: MarkSize,
}

impl Mark {
    /// What its code says, such as `PANEPRINT1 TL 40`: 16 characters of the code's alphanumeric mode, all that version 1
    /// holds when a quarter of it may be lost.
    #[must_use]
    pub fn code(self) -> String {
        format!("{VERSION} {} {}", self.corner.letters(), self.size.0)
    }

    /// The mark a code speaks of; `None` for any other code.
    #[must_use]
    pub fn of_code(text: &str) -> Option<Self> {
        let marks = Corner::ALL
            .into_iter()
            .flat_map(|corner| MarkSize::ALL.map(|size| Mark { corner, size }));
        marks.into_iter().find(|mark| mark.code() == text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_is_short_and_read_back() {
        for corner in Corner::ALL {
            for size in MarkSize::ALL {
                let mark = Mark { corner, size };
                assert_eq!(mark.code().len(), 16);
                assert_eq!(Mark::of_code(&mark.code()), Some(mark));
                assert_eq!(size.to_string().parse(), Ok(size));
            }
        }
        assert_eq!(Mark::of_code("PANEPRINT2 TL 40"), None);
        assert!("41mm".parse::<MarkSize>().is_err());
    }

    #[test]
    fn the_code_lies_in_the_middle_of_the_frame() {
        let (before, after) = (
            CODE - FRAME - BAR,
            FRAME_END - BAR - CODE - CODE_MODULES as f64,
        );
        // The white that ISO/IEC 18004 asks for is four modules.
        assert!((before - 4.0).abs() < 1e-9 && (after - 4.0).abs() < 1e-9);
    }

    #[test]
    fn marks_lie_outside_their_corners() {
        let signs = Corner::ALL.map(|c| c.turned([-1.0, -2.0]).map(f64::signum));
        assert_eq!(signs, [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]);
    }
}
