//! The narrow waist: a panel's silver, square-on, evenly lit, in millimetres. After it no camera exists.

#![expect(
    clippy::cast_possible_truncation,
    reason = "cells are few, and the mean of codes is a code"
)]

use ndarray::Array2;
use serde::{Deserialize, Serialize};

use super::placement::{Side, Stage};
use super::{Plane, piece};
use crate::quality::FlagSet;
use crate::units::SizeMm;

/// Where full silver was read from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SilverScale {
    /// The bright envelope of the panel itself; an even veil cannot be seen.
    Own,
    /// Mirror patches in the photo.
    Mirror,
    /// A grey patch and the rig's silver-over-patch ratio.
    Grey,
    /// The rig's plain frame, scaled by today's patch.
    Plain,
    /// A sample beside the panel whose silver was kept.
    Sample,
}

/// One thing that was done to the photo on the way to the panel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// What was done.
    pub step: String,
    /// With which figures.
    pub with: serde_json::Value,
}

impl Step {
    /// A step by its name.
    #[must_use]
    pub fn new(step: &str, with: serde_json::Value) -> Self {
        Step {
            step: step.to_owned(),
            with,
        }
    }
}

/// The mean colour of the remaining silver (s ≥ 0.5) in square cells.
#[derive(Debug, Clone)]
pub struct Tone {
    /// Side of a cell, pixels of the silver plane.
    pub cell_px: usize,
    /// Mean ratio of each channel (red, green, blue) to full silver; 0 where the cell has none left.
    pub planes: [Plane; 3],
    /// Pixels of remaining silver in the cell.
    pub weight: Plane,
}

/// The colour of the whole panel in square cells of half a millimetre to one, at least a pixel each.
#[derive(Debug, Clone)]
pub struct Colour {
    /// Side of a cell, pixels of the silver plane; the last of a row or column may be cut.
    pub cell_px: usize,
    /// The cells, as they lie.
    pub cells: Array2<ColourCell>,
}

/// The colour of one cell: ratios to full silver, the glass's own reflection taken off as it is from s.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct ColourCell {
    /// Mean ratio of each channel (red, green, blue) where silver remains (s at least [`REMAINS`]); 0 where none does.
    pub silver: [f32; 3],
    /// Share of the cell where silver remains, 0 to 1.
    pub remains: f32,
    /// The colour of all of the cell without its light, for that is the silver level's: sRGB codes of the mean ratios, its
    /// brightest channel at 255. What is nearly bare is nearly grey.
    pub tint: [u8; 3],
}

/// What is kept of a panel's colour: the tints of its cells, wider ones on a large panel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tints(pub Array2<[u8; 3]>);

/// Most cells along a side that are kept: those of half a metre at 0.5 mm, and finer than what colour is measured at up to
/// 900 mm.
pub const MOST_TINTS: usize = 1000;

/// Silver at and above this level has a colour that can be told from the sensor's noise.
pub const REMAINS: f32 = 0.25;

impl Colour {
    /// No colour is known.
    #[must_use]
    pub fn none() -> Self {
        Colour {
            cell_px: 1,
            cells: Array2::default((0, 0)),
        }
    }

    /// What is kept of it; `None` where no colour is known.
    #[must_use]
    pub fn tints(&self) -> Option<Tints> {
        let (rows, cols) = self.cells.dim();
        if self.cells.is_empty() {
            return None;
        }
        let along = rows.max(cols).div_ceil(MOST_TINTS);
        let shape = (rows.div_ceil(along), cols.div_ceil(along));
        Some(Tints(Array2::from_shape_fn(shape, |(i, j)| {
            let ends = [(i, rows), (j, cols)].map(|(at, n)| at * along..((at + 1) * along).min(n));
            let [down, across] = ends;
            let block = piece(&self.cells, down, across);
            let mean = |c: usize| {
                let sum: u32 = block.iter().map(|cell| u32::from(cell.tint[c])).sum();
                let count = block.len() as u32;
                ((sum + count / 2) / count) as u8
            };
            [mean(0), mean(1), mean(2)]
        })))
    }
}

impl Tints {
    /// Side of a cell, pixels of a silver plane of so many rows and columns; `None` where they cannot be that plane's.
    #[must_use]
    pub fn cell_px(&self, rows: usize, cols: usize) -> Option<usize> {
        cell_px((rows, cols), self.0.dim())
    }
}

/// Side of the cells of which there are so many down and across a plane of so many rows and columns; `None` where no square
/// cells come to that.
#[must_use]
pub fn cell_px((rows, cols): (usize, usize), (down, across): (usize, usize)) -> Option<usize> {
    if down == 0 || across == 0 {
        return None;
    }
    let side = rows.div_ceil(down).max(cols.div_ceil(across)).max(1);
    (rows.div_ceil(side) == down && cols.div_ceil(side) == across).then_some(side)
}

/// A panel as it hangs, seen from the front.
#[derive(Debug, Clone)]
pub struct Panel {
    /// Silver level of each pixel: 0 bare, 1 full. Not clamped, so that noise about 0 and 1 averages out. The rim is
    /// already left out.
    pub silver: Plane,
    /// Width of the rim left out on every side, mm: there the photo mixes panel and surround.
    pub rim_mm: f64,
    /// Tone of the remaining silver.
    pub tone: Tone,
    /// Its colour, cell by cell.
    pub colour: Colour,
    /// Real size.
    pub size: SizeMm,
    /// Pixels of the planes in a millimetre.
    pub px_per_mm: f64,
    /// Blur of the silver plane as the standard deviation of a Gaussian, mm; lens, pixels and resampling together.
    pub blur_mm: f64,
    /// Side that faced the camera.
    pub side: Side,
    /// How far the work had gone.
    pub stage: Option<Stage>,
    /// Where full silver was read from.
    pub silver_scale: SilverScale,
    /// Standard deviation of full silver by what the patches leave open of the light, as a share; 0 where a rig knows it.
    pub light_doubt: f64,
    /// What is weak about the photo.
    pub flags: FlagSet,
    /// What was done, in order.
    pub steps: Vec<Step>,
}

impl Panel {
    /// Area of the silver plane, cm².
    #[must_use]
    pub fn area_cm2(&self) -> f64 {
        self.silver.len() as f64 / (self.px_per_mm * self.px_per_mm) / 100.0
    }
}
