//! All that is measured on one panel.

use serde::{Deserialize, Serialize};

use super::{Parts, Scale, SizeHistogram, Texture, WindowValues};
use crate::units::{Measure, Unmeasured, kept};

/// All that is measured on one panel. Units and meanings are those of the metric table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Measurements {
    /// Mean silver level.
    #[serde(with = "kept")]
    pub coverage: Measure,
    /// Share of the area that is clear.
    #[serde(with = "kept")]
    pub clear_fraction: Measure,
    /// Share of the area that is veiled.
    #[serde(with = "kept")]
    pub veil_fraction: Measure,
    /// Share of the area that is dark.
    #[serde(with = "kept")]
    pub dark_fraction: Measure,
    /// Speckles per cm².
    #[serde(with = "kept")]
    pub speckle_density: Measure,
    /// Median equivalent diameter of the speckles, mm.
    #[serde(with = "kept")]
    pub speckle_diameter_median: Measure,
    /// Diameter that nine speckles in ten stay under, mm.
    #[serde(with = "kept")]
    pub speckle_diameter_p90: Measure,
    /// Clark & Evans' R of the speckles: 1 lie anywhere, below clumped, above spaced out.
    #[serde(with = "kept")]
    pub speckle_evenness: Measure,
    /// Share of the area in dark areas larger than a speckle.
    #[serde(with = "kept")]
    pub blot_fraction: Measure,
    /// Axis along the streaks, degrees in [0, 180) anticlockwise from the bottom edge, seen from the front.
    #[serde(with = "kept")]
    pub streak_angle: Measure,
    /// Coherence of the streaks, 0 to 1.
    #[serde(with = "kept")]
    pub streak_strength: Measure,
    /// Distance from ridge to ridge, mm.
    #[serde(with = "kept")]
    pub streak_spacing: Measure,
    /// Distance at which the autocorrelation of the quiet silver falls to 1/e, mm.
    #[serde(with = "kept")]
    pub cloud_scale: Measure,
    /// Root-mean-square loss of silver, 0 to 100.
    #[serde(with = "kept")]
    pub aggressiveness: Measure,
    /// CIELAB a* of the remaining silver.
    #[serde(with = "kept")]
    pub tone_a: Measure,
    /// CIELAB b* of the remaining silver.
    #[serde(with = "kept")]
    pub tone_b: Measure,
    /// Coverage of the middle less coverage of the outer band.
    #[serde(with = "kept")]
    pub edge_loss: Measure,
    /// Median axis ratio of the speckles: 1 round.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub speckle_elongation: Measure,
    /// Axis along which the long speckles lie, degrees in [0, 180) anticlockwise from the bottom edge, seen from the front.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub speckle_axis: Measure,
    /// Width of the fall at the speckles' edges from 10 to 90 %, beyond the photo's blur, mm.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub speckle_softness: Measure,
    /// Share of the speckles that have a light middle.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub ring_fraction: Measure,
    /// Share of the area in cracks, drips and scratches.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub line_fraction: Measure,
    /// Standard deviation of the loss among places a quarter of the panel wide, beyond chance.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub unevenness: Measure,
    /// Relative standard deviation of the number of speckles among the same places, beyond chance.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub speckle_unevenness: Measure,
    /// How strictly the speckles lie in straight rows, 0 to 1.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub speckle_rows: Measure,
    /// Mean deviation of the quiet silver at the speckles, in its standard deviations.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub speckle_on_ridges: Measure,
    /// Gradient of the speckles' density across the panel, over its mean.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub crowding: Measure,
    /// Where the density grows to, degrees in [0, 360) anticlockwise from the right, seen from the front.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub crowding_direction: Measure,
    /// Share of the remaining silver that is coloured.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub patina_fraction: Measure,
    /// Chroma that nine tenths of the remaining silver stay under.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub patina_chroma: Measure,
    /// Hue of the patina, degrees in [0, 360): 90 yellow, 270 blue.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub patina_hue: Measure,
    /// Distance at which the autocorrelation of chroma falls to 1/e, mm.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub patina_scale: Measure,
    /// Mean chroma about dark places less that elsewhere.
    #[serde(with = "kept", default = "Unmeasured::not_read_then")]
    pub halo: Measure,
    /// Where the aggressiveness comes from.
    pub parts: Parts,
    /// The same scale by scale.
    pub scales: Vec<Scale>,
    /// Shares of the area by silver level, [`super::SILVER_BINS`] bins from 0 to 1.
    pub silver_histogram: Vec<f64>,
    /// Speckles by size.
    pub speckle_sizes: SizeHistogram,
    /// Shares of the streaks' strength by direction, [`super::ROSE_BINS`] bins over 180°.
    pub streak_rose: Vec<f64>,
    /// Mean silver level by distance from the nearest edge, in steps of [`super::PROFILE_STEP_MM`] from the edge inwards.
    pub edge_profile: Vec<f64>,
    /// Windows down and across.
    pub windows: (usize, usize),
    /// What each window holds, row by row from the top left.
    pub window_values: Vec<WindowValues>,
    /// The look as a whole, place by place.
    #[serde(default)]
    pub texture: Texture,
    /// Area measured, cm².
    pub area_cm2: f64,
    /// Smallest speckle the reading can be trusted for, mm.
    pub speckle_floor_mm: f64,
}
