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
mod blot;
pub mod chroma;
pub mod cloud;
mod crowding;
mod dark;
mod dark_area;
pub mod edge_loss;
mod elongation;
mod evenness;
mod line;
pub mod loss;
mod numbers;
mod on_ridges;
#[cfg(test)]
mod painted;
pub mod patina;
mod quiet;
mod ring;
mod rows;
mod settings;
mod shapes;
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

use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::reduce::block_mean;
use crate::stats::bootstrap::Resamples;
use quiet::Quiet;
use surroundings::Surroundings;

pub use aggressiveness::{Parts, Scale};
pub use edge_loss::PROFILE_STEP_MM;
pub use loss::{BINS as SILVER_BINS, WindowValues};
pub use numbers::Measurements;
pub use settings::{CLEAR_FROM, DARK_BELOW, STANDARD_BLUR_MM, Settings};
pub use speckle::SizeHistogram;
pub use streak::ROSE_BINS;
pub use texture::Texture;

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
            let edges = edge_loss::Edges::new(&silver, panel);
            (silver, edges)
        },
        || {
            let quiet = Quiet::new(panel, &Surroundings::envelope(panel), settings);
            let (dark, (cloud, slopes)) = rayon::join(
                || dark::find(panel, &quiet, floor_mm, settings),
                || rayon::join(|| cloud::Cloud::new(&quiet), || streak::Slopes::new(&quiet)),
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

    let colour = chroma::Chroma::new(panel);
    let rim_px = (panel.rim_mm * panel.px_per_mm).round() as usize;
    let ((of_silver, of_specks), (of_streaks, of_cells)) = rayon::join(
        || {
            rayon::join(
                || {
                    let loss = loss::Loss::sum(&silver, rim_px, &windows, settings);
                    let by_scale = aggressiveness::by_scale(&silver, panel, &loss, settings);
                    (loss, by_scale)
                },
                || {
                    (
                        speckle::measure(&dark.speckles, panel, &windows, resamples),
                        blot::measure(panel, &dark, &quiet, &windows, resamples, settings),
                        shapes::Shapes::measure(
                            panel,
                            &quiet,
                            &dark,
                            &windows,
                            of_strangers,
                            settings,
                        ),
                    )
                },
            )
        },
        || {
            rayon::join(
                || {
                    let blur_mm = sharpness::blur_mm(panel, settings);
                    let texture = Texture::measure(
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
                            &quiet,
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
        parts: Parts::new(&by_scale),
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
