//! [`Panel`] → [`Measurements`]: one measure, one file.
//!
//! Reading order: [`sharpness`] brings all photos to one sharpness, `surroundings` says how bright the silver about
//! each place is, `quiet` is the silver without its dark spots, [`windows`] cuts the panel into pieces for the
//! intervals; then the measures themselves.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths in pixels are small and positive"
)]

pub mod aggressiveness;
pub mod chroma;
pub mod cloud;
mod crowding;
pub mod edge_loss;
mod elongation;
mod evenness;
mod line;
pub mod loss;
mod on_ridges;
#[cfg(test)]
mod painted;
pub mod patina;
mod quiet;
mod ring;
mod rows;
pub mod sharpness;
mod softness;
mod spacing;
pub mod speckle;
pub mod streak;
mod surroundings;
pub mod texture;
pub mod tone;
mod unevenness;
pub mod windows;

use serde::{Deserialize, Serialize};

use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::reduce::block_mean;
use crate::stats::bootstrap::Resamples;
use crate::units::{Measure, Unmeasured, kept};
use quiet::Quiet;
use surroundings::Surroundings;

pub use aggressiveness::{Parts, Scale};
pub use edge_loss::PROFILE_STEP_MM;
pub use loss::BINS as SILVER_BINS;
pub use speckle::SizeHistogram;
pub use streak::ROSE_BINS;
pub use texture::Texture;

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
    /// Shares of the area by silver level, [`SILVER_BINS`] bins from 0 to 1.
    pub silver_histogram: Vec<f64>,
    /// Speckles by size.
    pub speckle_sizes: SizeHistogram,
    /// Shares of the streaks' strength by direction, [`ROSE_BINS`] bins over 180°.
    pub streak_rose: Vec<f64>,
    /// Mean silver level by distance from the nearest edge, in steps of [`PROFILE_STEP_MM`] from the edge inwards.
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

/// What one window of a panel holds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WindowValues {
    /// Mean silver level.
    pub coverage: f64,
    /// Share of the area that is clear.
    pub clear_fraction: f64,
    /// Share of the area that is dark.
    pub dark_fraction: f64,
    /// Mean of (1 − s)².
    pub mean_square_loss: f64,
    /// Speckles per cm².
    pub speckle_density: f64,
}

/// A panel measured, with what a picture of it needs.
#[derive(Debug, Clone)]
pub struct Measured {
    /// The numbers.
    pub numbers: Measurements,
    /// Silver level at standard sharpness, 0 to 1.
    pub silver: Plane,
    /// The speckles that were counted.
    pub speckles: Vec<speckle::Speckle>,
}

/// Measures a panel.
#[must_use]
pub fn measure(panel: &Panel, settings: &Settings) -> Measured {
    let floor_mm = speckle::floor_mm(panel, settings);
    // What leans on nothing else goes side by side: little of it keeps both cores busy by itself.
    let ((silver, edges), (quiet, dark, cloud, slopes)) = rayon::join(
        || {
            let silver = sharpness::standard(panel, settings);
            let edges = edge_loss::Edges::of(&silver, panel);
            (silver, edges)
        },
        || {
            let quiet = Quiet::of(panel, &Surroundings::envelope(panel), settings);
            let (dark, (cloud, slopes)) = rayon::join(
                || speckle::find(panel, &quiet, floor_mm, settings),
                || rayon::join(|| cloud::Cloud::of(&quiet), || streak::Slopes::of(&quiet)),
            );
            (quiet, dark, cloud, slopes)
        },
    );
    let coarse = block_mean(edges.cells(), 2);
    let windows = windows::Windows::over(panel, &coarse, cloud.scale_mm);
    let of_strangers = Resamples::draw_by_kind(&windows.kinds(), settings.resamples, settings.seed);
    let of_strangers = of_strangers.as_ref();
    let resamples = of_strangers.map(|r| r.widened(windows.widening(&coarse)));
    let resamples = resamples.as_ref();

    let colour = chroma::Chroma::of(panel);
    let rim_px = (panel.rim_mm * panel.px_per_mm).round() as usize;
    let ((of_silver, of_specks), (of_streaks, of_cells)) = rayon::join(
        || {
            rayon::join(
                || {
                    let loss = loss::Loss::of(&silver, rim_px, &windows, settings);
                    let by_scale = aggressiveness::by_scale(&silver, panel, &loss, settings);
                    (loss, by_scale)
                },
                || {
                    (
                        speckle::measure(&dark.speckles, panel, &windows, resamples),
                        speckle::blots(panel, &dark, &quiet, &windows, resamples, settings),
                        shapes(panel, &quiet, &dark, &windows, of_strangers, settings),
                    )
                },
            )
        },
        || {
            rayon::join(
                || {
                    let blur_mm = sharpness::blur_mm(panel, settings);
                    let texture = Texture::of(
                        &silver,
                        colour.as_ref().map(|c| [&c.a, &c.b]),
                        panel.px_per_mm,
                        blur_mm,
                        settings.standard_blur_mm,
                    );
                    let streak = streak::measure(&quiet, &slopes, &windows, resamples, settings);
                    let spacing =
                        spacing::measure(&quiet, &slopes, streak.angle, &windows, resamples);
                    (streak, spacing, cloud.measure(&windows, resamples), texture)
                },
                || {
                    (
                        tone::measure(&panel.tone, &windows, resamples),
                        patina::measure(
                            panel,
                            colour.as_ref(),
                            &silver,
                            &windows,
                            resamples,
                            settings,
                        ),
                        edges.loss(&windows, resamples),
                        edges.profile(),
                        unevenness::of_loss(&edges),
                    )
                },
            )
        },
    );
    let (loss, by_scale) = of_silver;
    let (speckles, blots, shapes) = of_specks;
    let (streak, streak_spacing, cloud_scale, texture) = of_streaks;
    let ((tone_a, tone_b), patina, edge_loss, edge_profile, unevenness) = of_cells;
    let numbers = Measurements {
        coverage: loss.coverage(resamples),
        clear_fraction: loss.clear(resamples),
        veil_fraction: loss.veil(resamples),
        dark_fraction: loss.dark(resamples),
        speckle_density: speckles.density,
        speckle_diameter_median: speckles.median,
        speckle_diameter_p90: speckles.p90,
        speckle_evenness: evenness::measure(&dark.speckles, panel, &windows, of_strangers),
        blot_fraction: blots,
        streak_angle: streak.angle,
        streak_strength: streak.strength,
        streak_spacing,
        cloud_scale,
        aggressiveness: aggressiveness::measure(&loss, resamples),
        tone_a,
        tone_b,
        edge_loss,
        speckle_elongation: shapes.elongation,
        speckle_axis: shapes.axis,
        speckle_softness: shapes.softness,
        ring_fraction: shapes.rings,
        line_fraction: shapes.lines,
        unevenness,
        speckle_unevenness: shapes.unevenness,
        speckle_rows: shapes.rows,
        speckle_on_ridges: shapes.on_ridges,
        crowding: shapes.crowding.0,
        crowding_direction: shapes.crowding.1,
        patina_fraction: patina.fraction,
        patina_chroma: patina.chroma,
        patina_hue: patina.hue,
        patina_scale: patina.scale,
        halo: patina.halo,
        parts: Parts::of(&by_scale),
        scales: by_scale,
        silver_histogram: loss.histogram(),
        speckle_sizes: speckles.sizes,
        streak_rose: streak.rose,
        edge_profile,
        windows: windows.shape(),
        window_values: loss.window_values(&speckles.per_window),
        area_cm2: panel.area_cm2(),
        texture,
        speckle_floor_mm: floor_mm,
    };
    Measured {
        numbers,
        silver,
        speckles: dark.speckles,
    }
}

/// What the dark places look like one by one, and how they lie.
struct Shapes {
    elongation: Measure,
    axis: Measure,
    softness: Measure,
    rings: Measure,
    lines: Measure,
    unevenness: Measure,
    rows: Measure,
    on_ridges: Measure,
    /// Length and direction.
    crowding: (Measure, Measure),
}

fn shapes(
    panel: &Panel,
    quiet: &Quiet,
    dark: &speckle::Dark,
    windows: &windows::Windows,
    resamples: Option<&Resamples>,
    settings: &Settings,
) -> Shapes {
    let (elongation, axis) = elongation::measure(dark, panel, windows, resamples, settings);
    Shapes {
        elongation,
        axis,
        softness: softness::measure(dark, panel, windows, resamples),
        rings: ring::measure(dark, panel, quiet, windows, resamples),
        lines: line::measure(dark, windows, resamples),
        unevenness: unevenness::of_speckles(&dark.speckles, panel),
        rows: rows::measure(&dark.speckles, panel, settings),
        on_ridges: on_ridges::measure(&dark.speckles, quiet, windows, resamples),
        crowding: crowding::measure(&dark.speckles, panel, windows),
    }
}

#[cfg(test)]
mod tests {
    /// A counted speck at a place, mm, on a panel of [`super::painted`].
    pub(super) fn speckle_at([x, y]: [f64; 2]) -> super::speckle::Speckle {
        super::speckle::Speckle {
            row: y * super::painted::PX_PER_MM,
            col: x * super::painted::PX_PER_MM,
            diameter_mm: 1.0,
            counted: true,
            weight: 1.0,
        }
    }
}
