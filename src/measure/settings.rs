//! How panels are measured: the limits and defaults that all measures share.

use serde::{Deserialize, Serialize};

/// Silver at and above this level is clear.
pub const CLEAR_FROM: f64 = 0.85;

/// Silver under this level is dark.
pub const DARK_BELOW: f64 = 0.5;

/// Standard sharpness, mm: what the eye resolves from about 1 m (one minute of arc is 0.29 mm).
pub const STANDARD_BLUR_MM: f64 = 0.25;

/// How panels are measured.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// Silver at and above this level is clear. Default: [`CLEAR_FROM`].
    pub clear_from: f64,
    /// Silver under this level is dark. Default: [`DARK_BELOW`].
    pub dark_below: f64,
    /// Standard sharpness: the Gaussian blur every photo is brought to, mm. Default: [`STANDARD_BLUR_MM`].
    pub standard_blur_mm: f64,
    /// A speckle is darker than this share of the silver around it. Default: 0.5.
    pub speckle_contrast: f64,
    /// Smallest and largest equivalent diameter of a speckle, mm. Default: 0.4 and 6.
    pub speckle_diameter_mm: (f64, f64),
    /// A speckle spans at least this many pixels. Default: 4.
    pub speckle_least_px: f64,
    /// A speckle spans at least this many deviations of the blur. Default: 2.5.
    pub speckle_least_blurs: f64,
    /// Resamples for the intervals. Default: 1000, which fix a 95 % half-width to about 4 %.
    pub resamples: usize,
    /// Seed of the resampling. Default: 1.
    pub seed: u64,
    /// A direction is named where chance would show one as strong less often than this. Default: 0.001.
    pub direction_chance: f64,
    /// A direction weaker than this is never named. Default: 0.04, what a square sensor grid and JPEG blocks alone can
    /// leave in a panel without streaks.
    pub least_streak_strength: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Settings {
            clear_from: CLEAR_FROM,
            dark_below: DARK_BELOW,
            standard_blur_mm: STANDARD_BLUR_MM,
            speckle_contrast: 0.5,
            speckle_diameter_mm: (0.4, 6.0),
            speckle_least_px: 4.0,
            speckle_least_blurs: 2.5,
            resamples: 1000,
            seed: 1,
            direction_chance: 0.001,
            least_streak_strength: 0.04,
        }
    }
}
