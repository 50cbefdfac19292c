//! What is true of a painted panel, read off the painted field itself.

use ndarray::ArrayView2;
use serde::Serialize;

use super::dark::dark_areas;
use super::field::Painted;
use super::smooth::{gaussian, in_cells, mean_of, window};
use super::tone::{a_b, silver_colour};
use crate::frame::Plane;

/// Standard sharpness: standard deviation of the Gaussian about what the eye resolves from 1 m, mm.
pub const STANDARD_SIGMA_MM: f64 = 0.25;
/// Scales at which the variance is told, mm.
pub const SIGMAS_MM: [f64; 7] = [0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0];
/// A dark area from this diameter up is a blot, mm.
pub const BLOT_MM: f64 = 6.0;

/// What is true of a painted panel, on the glass itself.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Truth {
    /// Mean silver level, 0 to 1.
    pub coverage: f64,
    /// Share of area with silver from 0.85 up, at standard sharpness with the finish going on past the cut; 0 to 1.
    pub clear_fraction: f64,
    /// Share of area with silver from 0.5 up to 0.85, likewise.
    pub veil_fraction: f64,
    /// Share of area with silver under 0.5, likewise.
    pub dark_fraction: f64,
    /// 100 times the root of the mean squared loss at standard sharpness; 0 to 100.
    pub aggressiveness: f64,
    /// The same of the silver as painted, unsmoothed; never less than the above, but for what lies past the cut.
    pub aggressiveness_sharp: f64,
    /// Variance over the glass of the silver level after a Gaussian of each of [`SIGMAS_MM`]. The finish goes on past
    /// the cut as far as it is painted (10 mm), and there the part of the Gaussian inside counts for the whole.
    pub variance_beyond: [f64; 7],
    /// The same from the glass alone: at the cut the part of the Gaussian on the glass counts for the whole.
    pub variance_alone: [f64; 7],
    /// Speckles per cm²: dark areas from the floor asked for up to 6 mm, those over the top or left edge not counted,
    /// those over the bottom or right edge counted.
    pub speckle_density: f64,
    /// Speckles counted.
    pub speckle_count: usize,
    /// Median diameter of the circle of equal area, mm; each speckle whole, as far as it goes past the cut. `None`
    /// where there are none.
    pub speckle_diameter_median: Option<f64>,
    /// The diameter that nine speckles in ten stay under, mm.
    pub speckle_diameter_p90: Option<f64>,
    /// Centres of the counted speckles, mm right of and below the panel's top left corner; of one that goes past the
    /// cut, the centre of the whole.
    pub speckle_centres_mm: Vec<[f64; 2]>,
    /// Diameters of the counted speckles, mm, in the same order.
    pub speckle_diameters_mm: Vec<f64>,
    /// Share of area in dark areas of more than 6 mm diameter, 0 to 1.
    pub blot_fraction: f64,
    /// Mean direction along the ridges as painted, axial degrees anticlockwise from the bottom edge seen from the
    /// front; `None` where no ridges were painted.
    pub streak_angle: Option<f64>,
    /// Mean distance from ridge to ridge as painted, mm.
    pub streak_spacing: Option<f64>,
    /// Distance at which the autocorrelation of the silver before speckles and blots falls to 1/e, mm, the mean over
    /// eight directions; `None` where that silver is even or the glass too small.
    pub cloud_scale: Option<f64>,
    /// CIELAB a* of the mean colour of the remaining silver (level 0.5 up), full silver being white (D65).
    pub tone_a: Option<f64>,
    /// CIELAB b* of the same; above 0 yellow.
    pub tone_b: Option<f64>,
    /// Coverage of the middle less coverage of the outer band (15 mm or a tenth of the short side, the smaller).
    pub edge_loss: f64,
}

impl Painted {
    /// Reads the truth off the field. `floor_mm` is the diameter from which a dark area is a speckle.
    #[must_use]
    pub fn truth(&self, floor_mm: f64) -> Truth {
        let cut = self.cut();
        let coverage = mean_of(cut, |s| s);
        let standard = gaussian(self.silver.view(), STANDARD_SIGMA_MM * self.px_per_mm);
        let standard = window(standard.view(), self.rows(), self.cols());
        let clear_fraction = mean_of(standard, |s| f64::from(u8::from(s >= 0.85)));
        let dark_fraction = mean_of(standard, |s| f64::from(u8::from(s < 0.5)));
        let speckles = self.speckle_truth(floor_mm);
        let (tone_a, tone_b) = self
            .tone_truth()
            .map_or((None, None), |[a, b]| (Some(a), Some(b)));
        let (streak_angle, streak_spacing) = self
            .lines
            .as_ref()
            .map(|lines| lines.direction_and_spacing(self.size))
            .unzip();
        Truth {
            coverage,
            clear_fraction,
            veil_fraction: 1.0 - clear_fraction - dark_fraction,
            dark_fraction,
            aggressiveness: rms_loss(standard),
            aggressiveness_sharp: rms_loss(cut),
            variance_beyond: SIGMAS_MM.map(|sigma| self.variance_at(sigma, self.margin_px)),
            variance_alone: SIGMAS_MM.map(|sigma| self.variance_at(sigma, 0)),
            speckle_density: speckles.diameters_mm.len() as f64 / self.size.area_cm2(),
            speckle_count: speckles.diameters_mm.len(),
            speckle_diameter_median: quantile(&speckles.diameters_mm, 0.5),
            speckle_diameter_p90: quantile(&speckles.diameters_mm, 0.9),
            speckle_centres_mm: speckles.centres_mm,
            speckle_diameters_mm: speckles.diameters_mm,
            blot_fraction: speckles.blot_pixels as f64 / cut.len() as f64,
            streak_angle,
            streak_spacing,
            cloud_scale: self.cloud_scale(),
            tone_a,
            tone_b,
            edge_loss: self.edge_truth(),
        }
    }

    /// Variance over the glass after a Gaussian, with so many pixels of the margin in reach of it.
    fn variance_at(&self, sigma_mm: f64, reach_px: usize) -> f64 {
        let sigma_px = sigma_mm * self.px_per_mm;
        // Cells of a quarter of the Gaussian, and of a millimetre at most, so that little is left over at the edges; the
        // variance that a cell adds, 1/12 of its square, is taken off.
        let k = ((sigma_px / 4.0).min(self.px_per_mm) as usize).max(1);
        let reach = reach_px / k;
        let (rows, cols) = (self.rows(), self.cols());
        let with_reach = window(
            self.silver.view(),
            rows.start - reach * k..rows.end + reach * k,
            cols.start - reach * k..cols.end + reach * k,
        );
        let cells = in_cells(with_reach, k);
        let (sigma, own) = (sigma_px / k as f64, if k > 1 { 1.0 / 12.0 } else { 0.0 });
        let smooth = gaussian(cells.view(), (sigma * sigma - own).sqrt());
        let (h, w) = (rows.len() / k, cols.len() / k);
        let glass = window(smooth.view(), reach..reach + h, reach..reach + w);
        let middle = mean_of(glass, |s| s);
        mean_of(glass, |s| (s - middle).powi(2))
    }

    fn speckle_truth(&self, floor_mm: f64) -> SpeckleTruth {
        let mut truth = SpeckleTruth::default();
        for area in dark_areas(self) {
            let diameter_mm = area.diameter_px() / self.px_per_mm;
            if diameter_mm > BLOT_MM {
                truth.blot_pixels += area.on_glass;
            } else if diameter_mm >= floor_mm && area.is_counted(self) {
                let mm = |px: f64| (px - self.margin_px as f64) / self.px_per_mm;
                truth
                    .centres_mm
                    .push([mm(area.centre[1]), mm(area.centre[0])]);
                truth.diameters_mm.push(diameter_mm);
            }
        }
        truth
    }

    /// The tone where any silver of level 0.5 or more is left.
    fn tone_truth(&self) -> Option<[f64; 2]> {
        let left = mean_of(self.cut(), |s| if s >= 0.5 { s } else { 0.0 });
        let share = mean_of(self.cut(), |s| f64::from(u8::from(s >= 0.5)));
        (share > 0.0).then(|| a_b(silver_colour(self.finish.warmth).map(|c| c * left / share)))
    }

    fn edge_truth(&self) -> f64 {
        let band_mm = (self.size.short_side() / 10.0).min(15.0);
        let band = (band_mm * self.px_per_mm).round() as usize;
        let cut = self.cut();
        let (rows, cols) = cut.dim();
        let sum = |part: ArrayView2<f32>| mean_of(part, |s| s) * part.len() as f64;
        let middle = window(cut, band..rows - band, band..cols - band);
        let outer = (sum(cut) - sum(middle)) / (cut.len() - middle.len()) as f64;
        sum(middle) / middle.len() as f64 - outer
    }

    /// From cells of half a millimetre (larger on a large panel): for each distance, the mean product of deviations
    /// in eight directions over the variance.
    fn cloud_scale(&self) -> Option<f64> {
        const CELLS_ACROSS: f64 = 900.0;
        let cell_mm = (self.size.width.max(self.size.height) / CELLS_ACROSS).max(0.5);
        let k = ((cell_mm * self.px_per_mm) as usize).max(1);
        let cell_mm = k as f64 / self.px_per_mm;
        let cells = in_cells(window(self.base.view(), self.rows(), self.cols()), k);
        let middle = mean_of(cells.view(), |s| s) as f32;
        let apart = cells.mapv(|s| s - middle);
        let variance = mean_of(apart.view(), |v| v * v);
        // An even veil leaves only the rounding of single precision.
        if variance < 1e-9 {
            return None;
        }
        let mut last = 1.0;
        for lag in 1..apart.nrows().min(apart.ncols()) / 2 {
            let products = (0..8).map(|turn| {
                let (sin, cos) = (f64::from(turn) * std::f64::consts::PI / 8.0).sin_cos();
                let offset = [sin, cos].map(|v| (v * lag as f64).round() as isize);
                mean_product(&apart, offset)
            });
            let now = mean(products) / variance;
            let wanted = (-1.0f64).exp();
            if now < wanted {
                let part = (last - wanted) / (last - now);
                return Some((lag as f64 - 1.0 + part) * cell_mm);
            }
            last = now;
        }
        None
    }
}

#[derive(Default)]
struct SpeckleTruth {
    centres_mm: Vec<[f64; 2]>,
    diameters_mm: Vec<f64>,
    blot_pixels: usize,
}

/// Mean product of each value and the one `[down, right]` of it.
fn mean_product(plane: &Plane, [down, right]: [isize; 2]) -> f64 {
    let (rows, cols) = plane.dim();
    let (d, r) = (down.unsigned_abs(), right.unsigned_abs());
    let upper = window(plane.view(), 0..rows - d, 0..cols);
    let lower = window(plane.view(), d..rows, 0..cols);
    let (near, far) = (0..cols - r, r..cols);
    let (a, b) = if right >= 0 { (near, far) } else { (far, near) };
    let (a, b) = (window(upper, 0..rows - d, a), window(lower, 0..rows - d, b));
    mean(a.iter().zip(&b).map(|(a, b)| f64::from(a * b)))
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = values.fold((0.0, 0usize), |(s, n), v| (s + v, n + 1));
    sum / count as f64
}

fn rms_loss(silver: ArrayView2<f32>) -> f64 {
    100.0 * mean_of(silver, |s| (1.0 - s).powi(2)).sqrt()
}

/// Between the two nearest of the values in order.
fn quantile(values: &[f64], at: f64) -> Option<f64> {
    let mut ordered = values.to_vec();
    ordered.sort_by(f64::total_cmp);
    let place = at * (ordered.len().checked_sub(1)?) as f64;
    let (low, part) = (place.floor() as usize, place.fract());
    let high = (low + 1).min(ordered.len() - 1);
    Some(ordered[low] * (1.0 - part) + ordered[high] * part)
}

#[cfg(test)]
#[path = "truth_tests.rs"]
mod tests;
