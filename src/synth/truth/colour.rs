//! What colour the remaining silver has, and where.

use ndarray::{Array2, Zip};

use super::scale::falls_at;
use super::{mean_product, on_glass};
use crate::frame::Plane;
use crate::synth::dark::DarkArea;
use crate::synth::distance::distances;
use crate::synth::field::Painted;
use crate::synth::smooth::{gaussian, in_cells, mean_of, window};
use crate::synth::tone::a_b;

/// Silver from this level up shows a colour of its own.
const SILVER: f32 = 0.25;
/// Standard deviation of the Gaussian at which colour is told, mm.
const SIGMA_MM: f64 = 1.0;
/// Cells in which it is worked out, mm; a fifth of the Gaussian.
const CELL_MM: f64 = 0.2;
/// Chroma from which silver wears patina.
const PATINA: f64 = 6.0;
/// A hue is told from this share of patina on, and a scale.
const ENOUGH: f64 = 0.01;
/// How far a halo reaches, mm.
const HALO_MM: f64 = 1.5;

/// What is true of the patina.
#[derive(Default)]
pub(super) struct ColourTruth {
    pub(super) fraction: f64,
    pub(super) chroma: Option<f64>,
    pub(super) hue: Option<f64>,
    pub(super) scale: Option<f64>,
    pub(super) halo: Option<f64>,
}

/// The glass in cells: how much of each is silver that counts, and its a*, b* and chroma.
struct Cells {
    weight: Plane,
    a: Plane,
    b: Plane,
    chroma: Plane,
    /// Pixels along the side of a cell.
    k: usize,
}

impl Painted {
    /// The tone where any silver of level 0.5 or more is left.
    pub(super) fn tone_truth(&self) -> Option<[f64; 2]> {
        let left = mean_of(self.cut(), |s| if s >= 0.5 { s } else { 0.0 });
        let share = mean_of(self.cut(), |s| f64::from(u8::from(s >= 0.5)));
        let worn = self.patina.as_ref().map_or(0.0, |patina| {
            let worn = Zip::from(&self.silver)
                .and(patina)
                .map_collect(|s, p| if *s >= 0.5 { s * p } else { 0.0 });
            mean_of(on_glass(&worn, self), |v| v)
        });
        let [plain, patina] = self.colours();
        (share > 0.0).then(|| {
            a_b([0, 1, 2].map(|c| (plain[c] * left + (patina[c] - plain[c]) * worn) / share))
        })
    }

    /// The patina, and how it goes with these dark places.
    pub(super) fn colour_truth(&self, places: &[DarkArea]) -> ColourTruth {
        if self.patina.is_none() && self.finish.warmth.abs() < 1e-12 {
            let any = self.cut().iter().any(|s| *s >= SILVER);
            return ColourTruth {
                chroma: any.then_some(0.0),
                halo: (any && !places.is_empty()).then_some(0.0),
                ..ColourTruth::default()
            };
        }
        let cells = self.coloured_cells();
        let over = |of: &Plane| cells.weighted(of);
        let Some(fraction) = over(&cells.chroma.mapv(|c| f32::from(f64::from(c) > PATINA))) else {
            return ColourTruth::default();
        };
        let told = fraction >= ENOUGH;
        ColourTruth {
            fraction,
            chroma: cells.quantile(0.9),
            // Each cell's a* and b* are its chroma times the direction of its hue.
            hue: (over(&cells.a).zip(over(&cells.b)).filter(|_| told))
                .map(|(a, b)| b.atan2(a).to_degrees().rem_euclid(360.0)),
            scale: cells.scale(self.px_per_mm).filter(|_| told),
            halo: self.halo(&cells, places),
        }
    }

    /// The remaining silver's light, each pixel against full silver, after the Gaussian; the finish goes on past the cut.
    fn coloured_cells(&self) -> Cells {
        let k = ((CELL_MM * self.px_per_mm) as usize).max(1);
        let reach = self.margin_px / k;
        let (rows, cols) = (self.rows(), self.cols());
        let own = if k > 1 { 1.0 / 12.0 } else { 0.0 };
        let sigma = ((SIGMA_MM * self.px_per_mm / k as f64).powi(2) - own).sqrt();
        let from = [rows.start - reach * k, cols.start - reach * k];
        let (h, w) = (rows.len() / k, cols.len() / k);
        let in_cells_of = |plane: &Plane| {
            let end = [rows.end + reach * k, cols.end + reach * k];
            in_cells(window(plane.view(), from[0]..end[0], from[1]..end[1]), k)
        };
        let glass =
            |cells: &Plane| window(cells.view(), reach..reach + h, reach..reach + w).to_owned();
        let mask = self.silver.mapv(|s| f32::from(s >= SILVER));
        let light = &self.silver * &mask;
        let worn = self.patina.as_ref().map(|patina| &light * patina);
        let counted = in_cells_of(&mask);
        let smooth = |cells: &Plane| glass(&gaussian(cells.view(), sigma));
        let (mass, light) = (smooth(&counted), smooth(&in_cells_of(&light)));
        let worn = worn.map_or_else(|| Plane::zeros((h, w)), |worn| smooth(&in_cells_of(&worn)));
        let [plain, patina] = self.colours();
        let colour = Array2::from_shape_fn((h, w), |at| {
            let mass = f64::from(mass[at]).max(1e-6);
            let (light, worn) = (f64::from(light[at]) / mass, f64::from(worn[at]) / mass);
            a_b([0, 1, 2].map(|c| plain[c] * light + (patina[c] - plain[c]) * worn))
        });
        Cells {
            weight: glass(&counted),
            a: colour.mapv(|[a, _]| a as f32),
            b: colour.mapv(|[_, b]| b as f32),
            chroma: colour.mapv(|[a, b]| a.hypot(b) as f32),
            k,
        }
    }

    /// Mean chroma within 1.5 mm of dark places less that elsewhere; `None` where there is one of them only.
    fn halo(&self, cells: &Cells, places: &[DarkArea]) -> Option<f64> {
        let mut light = Array2::from_elem(self.silver.dim(), true);
        for [r, c] in places.iter().flat_map(DarkArea::pixels) {
            light[[r, c]] = false;
        }
        let reach = (HALO_MM * self.px_per_mm + 0.5) as f32;
        let away = distances(&light);
        let near = Zip::from(&away)
            .and(&self.silver)
            .map_collect(|d, s| f32::from(*d <= reach && *s >= SILVER));
        let near = in_cells(on_glass(&near, self), cells.k);
        let mean = |weight: &Plane| {
            let sum: f64 = weight.iter().map(|w| f64::from(*w)).sum();
            let of = weight.iter().zip(&cells.chroma);
            // A cell's worth at least.
            (sum > 1.0).then(|| of.map(|(w, c)| f64::from(w * c)).sum::<f64>() / sum)
        };
        Some(mean(&near)? - mean(&(&cells.weight - &near))?)
    }
}

impl Cells {
    /// Mean over the silver that counts; `None` without any.
    fn weighted(&self, of: &Plane) -> Option<f64> {
        let sum: f64 = self.weight.iter().map(|w| f64::from(*w)).sum();
        let parts = self.weight.iter().zip(of).map(|(w, v)| f64::from(w * v));
        (sum > 0.0).then(|| parts.sum::<f64>() / sum)
    }

    /// The chroma that this share of the silver stays under.
    fn quantile(&self, share: f64) -> Option<f64> {
        let mut ordered: Vec<(f32, f32)> = (self.chroma.iter().copied())
            .zip(self.weight.iter().copied())
            .filter(|(_, w)| *w > 0.0)
            .collect();
        ordered.sort_by(|a, b| a.0.total_cmp(&b.0));
        let whole: f64 = ordered.iter().map(|(_, w)| f64::from(*w)).sum();
        let mut under = 0.0;
        for (chroma, weight) in &ordered {
            under += f64::from(*weight);
            if under >= share * whole {
                return Some(f64::from(*chroma));
            }
        }
        None
    }

    /// Over what distance the chroma keeps its level, from half-millimetre cells; only pairs of silver count.
    fn scale(&self, px_per_mm: f64) -> Option<f64> {
        let own_mm = self.k as f64 / px_per_mm;
        let long = self.chroma.nrows().max(self.chroma.ncols()) as f64 * own_mm;
        let k = (((long / 900.0).max(0.5) / own_mm) as usize).max(1);
        let middle = self.weighted(&self.chroma)? as f32;
        let weight = in_cells(self.weight.view(), k);
        let apart = in_cells((&self.weight * &self.chroma.mapv(|c| c - middle)).view(), k);
        let variance = |offset| mean_product(&apart, offset) / mean_product(&weight, offset);
        let whole = variance([0, 0]);
        // An even colour leaves only the rounding of single precision.
        if whole < 1e-4 {
            return None;
        }
        falls_at(apart.dim(), k as f64 * own_mm, |offset| {
            variance(offset) / whole
        })
    }
}
