//! What is true of a painted panel, read off the painted field itself.

use ndarray::ArrayView2;
use serde::Serialize;

use super::field::Painted;
use super::smooth::{gaussian, in_cells, mean_of, window};
use crate::frame::Plane;

mod colour;
mod lines;
mod scale;
mod softness;
mod specks;
mod uneven;

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
    /// Share of area in dark areas of more than 6 mm diameter that are no lines, 0 to 1.
    pub blot_fraction: f64,
    /// Median axis ratio of the counted speckles, from 1: the root of the ratio of the second moments along and across
    /// their long axis, each whole. `None` where there are none.
    pub speckle_elongation: Option<f64>,
    /// Mean direction of the counted speckles that are 1.5 times as long as wide or longer, axial degrees anticlockwise
    /// from the bottom edge; `None` where there are none.
    pub speckle_axis: Option<f64>,
    /// How far those agree: the length of the mean of their doubled directions, 0 all ways to 1 one way.
    pub speckle_axis_strength: Option<f64>,
    /// Median over the counted speckles of the width over which the silver rises from 10 to 90 % at their outline as
    /// painted, mm; 0 sharp. `None` where there are none.
    pub speckle_softness: Option<f64>,
    /// Share of the counted speckles that enclose something light, 0 to 1; `None` where there are none.
    pub ring_fraction: Option<f64>,
    /// Share of area in dark areas over five times as long as wide, under 2 mm wide and of one width, 0 to 1. They are
    /// neither speckles nor blots. Width is 4 times the mean distance to the outline, length is area over width, so
    /// that a net counts with all its lines.
    pub line_fraction: f64,
    /// Standard deviation of the loss among the sixteen places a quarter of the panel wide and high, beyond what the
    /// sixteen parts of each give by chance; 0 to 1.
    pub unevenness: f64,
    /// Share of the remaining silver (level 0.25 up) whose chroma against full silver, told after a Gaussian of 1 mm of
    /// its light, is over 6; 0 to 1.
    pub patina_fraction: f64,
    /// Chroma that nine tenths of the remaining silver stay under; `None` where none is left.
    pub patina_chroma: Option<f64>,
    /// Mean hue angle h_ab, each place weighed by its chroma, degrees in [0, 360); `None` under 1 % of patina.
    pub patina_hue: Option<f64>,
    /// Distance at which the autocorrelation of that chroma falls to 1/e, mm; `None` under 1 % of patina, where it is
    /// the same everywhere, or where the glass is too small.
    pub patina_scale: Option<f64>,
    /// Mean chroma of the remaining silver within 1.5 mm of speckles and blots less that elsewhere; `None` where there is
    /// only one of the two.
    pub halo: Option<f64>,
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
        let colour = self.colour_truth(&speckles.places);
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
            speckle_elongation: speckles.elongation(),
            speckle_axis: speckles.axis().map(|(degrees, _)| degrees),
            speckle_axis_strength: speckles.axis().map(|(_, strength)| strength),
            speckle_softness: speckles.softness(),
            ring_fraction: speckles.ring_fraction(),
            line_fraction: speckles.line_pixels as f64 / cut.len() as f64,
            unevenness: uneven::unevenness(cut),
            patina_fraction: colour.fraction,
            patina_chroma: colour.chroma,
            patina_hue: colour.hue,
            patina_scale: colour.scale,
            halo: colour.halo,
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
        scale::falls_at(apart.dim(), cell_mm, |offset| {
            mean_product(&apart, offset) / variance
        })
    }
}

/// The glass of a plane that is painted with its margin.
fn on_glass<'a>(plane: &'a Plane, painted: &Painted) -> ArrayView2<'a, f32> {
    window(plane.view(), painted.rows(), painted.cols())
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
mod colour_tests;
#[cfg(test)]
mod form_tests;
#[cfg(test)]
mod tests;
