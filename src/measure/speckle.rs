//! Speckles: how many dark specks there are and how large.
//!
//! A speckle is a connected area (8 neighbours) in which the silver is under half of the level around it, of an
//! equivalent diameter (of the circle of equal area, ISO 9276-6) from the reading's floor up to 6 mm, at the photo's
//! own sharpness. Counted without edge bias: one cut by the top or left edge is left out, one cut by the bottom or
//! right edge is counted. Sizes are weighted by the chance of a speckle that large to lie uncut (Miles 1974,
//! Lantuéjoul): W·H / ((W−w)(H−h)). Zero on a plain mirror. Dust on the glass adds to it.

use serde::{Deserialize, Serialize};

use super::Settings;
use super::dark_area::diameter_mm;
use super::windows::Windows;
use crate::frame::panel::Panel;
use crate::ops::label::Area;
use crate::stats::bootstrap::{Resamples, dot};
use crate::stats::count::{poisson_limits, uncut_weight};
use crate::units::{Estimate, Measure, Unmeasured};

/// Fewest speckles whose sizes mean something.
pub(super) const FEWEST_SIZES: usize = 10;

/// Most that one speckle counts for: on a panel hardly larger than itself the chance of its lying uncut says nothing.
const MOST_WEIGHT: f64 = 10.0;

/// Speckles from one sum to the next on the way to a quantile.
const SOME: usize = 256;

/// Bins of the size histogram a doubling of the diameter.
const BINS_A_DOUBLING: f64 = 8.0;

/// Smallest diameter of the size histogram, mm.
const SMALLEST_BIN_MM: f64 = 0.25;

/// Bins of the size histogram: 0.25 to 8 mm.
const SIZE_BINS: usize = 40;

/// One speckle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speckle {
    /// Row of its centroid in the silver plane, pixels.
    pub row: f64,
    /// Column of its centroid, pixels.
    pub col: f64,
    /// Equivalent diameter, mm.
    pub diameter_mm: f64,
    /// Counts towards the density: not cut by the top or left edge.
    pub counted: bool,
    /// Weight among the sizes; 0 where an edge cuts it.
    pub weight: f64,
}

/// Smallest speckle a reading can be trusted for, mm: the larger of 0.4 mm, 4 pixels and 2.5 deviations of the blur.
#[must_use]
pub fn floor_mm(panel: &Panel, settings: &Settings) -> f64 {
    settings
        .speckle_diameter_mm
        .0
        .max(settings.speckle_least_px / panel.px_per_mm)
        .max(settings.speckle_least_blurs * panel.blur_mm)
}

/// Diameter, mm, of the whole of an area that the bottom or right edge cuts, taken for a circle: as wide as the part that
/// is seen where that is more than half of it, and through its chord and its depth where it is less. 0 where none cuts.
fn cut_diameter_mm(area: &Area, panel: &Panel) -> f64 {
    let (rows, cols) = panel.silver.dim();
    let (height, width) = (
        f64::from(area.rows.1 - area.rows.0 + 1),
        f64::from(area.cols.1 - area.cols.0 + 1),
    );
    let whole = |depth: f64, chord: f64| {
        if 2.0 * depth < chord {
            chord * chord / (4.0 * depth) + depth
        } else {
            chord
        }
    };
    let mut diameter_px = 0.0_f64;
    if area.rows.1 as usize + 1 == rows {
        diameter_px = whole(height, width);
    }
    if area.cols.1 as usize + 1 == cols {
        diameter_px = diameter_px.max(whole(width, height));
    }
    diameter_px / panel.px_per_mm
}

pub(super) fn speckle(
    area: &Area,
    panel: &Panel,
    floor_mm: f64,
    settings: &Settings,
) -> Option<Speckle> {
    let diameter_mm = diameter_mm(area, panel).max(cut_diameter_mm(area, panel));
    if diameter_mm < floor_mm || diameter_mm > settings.speckle_diameter_mm.1 {
        return None;
    }
    let (rows, cols) = panel.silver.dim();
    let (last_row, last_col) = ((rows - 1) as u32, (cols - 1) as u32);
    let counted = area.rows.0 > 0 && area.cols.0 > 0;
    let uncut = counted && area.rows.1 < last_row && area.cols.1 < last_col;
    let span = |(first, last): (u32, u32)| (last - first + 1) as usize;
    Some(Speckle {
        row: area.row + 0.5,
        col: area.col + 0.5,
        diameter_mm,
        counted,
        weight: if uncut {
            uncut_weight((rows, cols), (span(area.rows), span(area.cols))).min(MOST_WEIGHT)
        } else {
            0.0
        },
    })
}

/// Speckles per cm² by size, in bins of equal ratio. Readings of unlike floors are compared above the higher one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SizeHistogram {
    /// Lower diameter of each bin, mm, and the upper one of the last.
    pub edges_mm: Vec<f64>,
    /// Speckles per cm² in each bin.
    pub per_cm2: Vec<f64>,
}

impl SizeHistogram {
    /// Speckles per cm² of each bin that lie above a diameter; a bin it cuts counts by its logarithmic share.
    fn above(&self, floor_mm: f64) -> impl Iterator<Item = (f64, f64, f64)> + '_ {
        self.edges_mm
            .windows(2)
            .zip(&self.per_cm2)
            .map(move |(edges, n)| {
                let (low, high) = (edges[0].max(floor_mm).min(edges[1]), edges[1]);
                let share = (high / low).ln() / (high / edges[0]).ln();
                (low, high, n * share)
            })
    }

    /// Speckles per cm² of each bin from this diameter up.
    #[must_use]
    pub fn bins_above(&self, floor_mm: f64) -> Vec<f64> {
        self.above(floor_mm).map(|(_, _, n)| n).collect()
    }

    /// Speckles per cm² of at least this diameter.
    #[must_use]
    pub fn density_above(&self, floor_mm: f64) -> f64 {
        self.above(floor_mm).map(|(_, _, n)| n).sum()
    }

    /// The diameter, mm, that a share `q` of the speckles above a floor stay under; `None` where there are none.
    #[must_use]
    pub fn quantile_above(&self, floor_mm: f64, q: f64) -> Option<f64> {
        let wanted = q * self.density_above(floor_mm);
        let mut sum = 0.0;
        for (low, high, n) in self.above(floor_mm).filter(|(_, _, n)| *n > 0.0) {
            if sum + n >= wanted - 1e-12 {
                return Some(low * (high / low).powf((wanted - sum) / n));
            }
            sum += n;
        }
        None
    }
}

/// What the speckles come to.
pub(super) struct Speckles {
    pub(super) density: Measure,
    pub(super) median: Measure,
    pub(super) p90: Measure,
    pub(super) sizes: SizeHistogram,
    /// Speckles per cm² of each window.
    pub(super) per_window: Vec<f64>,
}

/// Density and sizes, with intervals by resampled windows.
pub(super) fn measure(
    found: &[Speckle],
    panel: &Panel,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Speckles {
    let px_per_cm2 = (10.0 * panel.px_per_mm).powi(2);
    let mut counts = vec![0.0; windows.count()];
    for s in found.iter().filter(|s| s.counted) {
        counts[windows.at(s.row, s.col)] += 1.0;
    }
    let areas: Vec<f64> = windows
        .areas_px()
        .iter()
        .map(|px| px / px_per_cm2)
        .collect();
    let mut sized: Vec<(f64, f64, usize)> = found
        .iter()
        .filter(|s| s.weight > 0.0)
        .map(|s| (s.diameter_mm, s.weight, windows.at(s.row, s.col)))
        .collect();
    sized.sort_by(|a, b| a.0.total_cmp(&b.0));
    let quantile = |q: f64| quantile(&sized, q, windows, resamples);
    Speckles {
        density: resamples
            .and_then(|r| r.ratio(&counts, &areas))
            .ok_or(Unmeasured::PanelTooSmall)
            .map(|density| at_least_poisson(density, counts.iter().sum(), areas.iter().sum())),
        median: quantile(0.5),
        p90: quantile(0.9),
        sizes: histogram(found, panel.area_cm2()),
        per_window: counts.iter().zip(&areas).map(|(n, cm2)| n / cm2).collect(),
    }
}

/// Nothing found in an area still leaves room for a few.
fn at_least_poisson(density: Estimate, count: f64, area_cm2: f64) -> Estimate {
    if count > 0.0 {
        return density;
    }
    Estimate {
        high: poisson_limits(0, 0.95).1 / area_cm2,
        ..density
    }
}

/// The value that a share `q` of the speckles stay under, of (value, weight, window) in order of their values.
pub(super) fn quantile(
    sorted: &[(f64, f64, usize)],
    q: f64,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Measure {
    if sorted.len() < FEWEST_SIZES {
        return Err(Unmeasured::TooFewSpeckles);
    }
    let ranked = Ranked::new(sorted, windows.count());
    let of = |weights: &[f64]| ranked.quantile(weights, q);
    let value = of(&vec![1.0; windows.count()]).ok_or(Unmeasured::TooFewSpeckles)?;
    resamples
        .and_then(|r| r.interval(value, of))
        .ok_or(Unmeasured::PanelTooSmall)
}

/// Speckles in order of some value, with what those up to every so many of them weigh in each window.
struct Ranked<'a> {
    sorted: &'a [(f64, f64, usize)],
    up_to: Vec<Vec<f64>>,
}

impl<'a> Ranked<'a> {
    fn new(sorted: &'a [(f64, f64, usize)], windows: usize) -> Self {
        let mut sums = vec![0.0; windows];
        let sums_of = |some: &[(f64, f64, usize)]| {
            some.iter()
                .for_each(|(_, weight, window)| sums[*window] += weight);
            sums.clone()
        };
        Ranked {
            sorted,
            up_to: sorted.chunks(SOME).map(sums_of).collect(),
        }
    }

    /// The value at which the weights, each times its window's, have summed to a share `q` of all.
    fn quantile(&self, weights: &[f64], q: f64) -> Option<f64> {
        let wanted = q * dot(weights, self.up_to.last()?);
        let some = self
            .up_to
            .partition_point(|sums| dot(weights, sums) < wanted)
            .min(self.up_to.len() - 1);
        let mut sum = some
            .checked_sub(1)
            .map_or(0.0, |before| dot(weights, &self.up_to[before]));
        let few = self.sorted.chunks(SOME).nth(some)?;
        let reached = |(_, weight, window): &&(f64, f64, usize)| {
            sum += weight * weights[*window];
            sum > 0.0 && sum >= wanted
        };
        few.iter().find(reached).or(few.last()).map(|s| s.0)
    }
}

fn histogram(found: &[Speckle], area_cm2: f64) -> SizeHistogram {
    let edge = |i: usize| SMALLEST_BIN_MM * (i as f64 / BINS_A_DOUBLING).exp2();
    let mut per_cm2 = vec![0.0; SIZE_BINS];
    for s in found.iter().filter(|s| s.counted) {
        let bin = ((s.diameter_mm / SMALLEST_BIN_MM).log2() * BINS_A_DOUBLING).max(0.0) as usize;
        per_cm2[bin.min(SIZE_BINS - 1)] += 1.0 / area_cm2;
    }
    SizeHistogram {
        edges_mm: (0..=SIZE_BINS).map(edge).collect(),
        per_cm2,
    }
}

#[cfg(test)]
mod tests;
