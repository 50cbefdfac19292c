//! The narrow waist: a panel's silver, square-on, evenly lit, in millimetres. After it no camera exists.

use serde::{Deserialize, Serialize};

use super::Plane;
use super::placement::{Side, Stage};
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
}

/// One thing that was done to the photo on the way to the panel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// What was done.
    pub step: String,
    /// With which figures.
    pub with: serde_json::Value,
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
