//! Cloud scale: how far the silver stays alike, mm.
//!
//! The distance at which the autocorrelation of the quiet silver (its dark spots left out), averaged over all directions,
//! falls to 1/e. For a field smoothed by a Gaussian σ it is 2σ. It also sets how large a window must be to stand for
//! itself. There is none where the silver is even. Light that was not taken out looks like one large cloud.
//!
//! Near places are compared cell by cell, further ones in cells twice as wide, and twice again: the products are of
//! deviations from one mean, so all of them are shares of the same variance.

use ndarray::Zip;
use rayon::prelude::*;

use super::quiet::Quiet;
use super::windows::Windows;
use crate::frame::Plane;
use crate::ops::reduce::{block_mean, dot};
use crate::stats::bootstrap::{self, Resamples};
use crate::units::{Measure, Unmeasured};

/// Directions in which cells are compared, over half a turn.
const DIRECTIONS: u32 = 8;

/// Cells are compared up to this many away; further ones in wider cells, from half as many on.
const FURTHEST_CELLS: usize = 12;

/// Furthest distance compared, as a share of the short side.
const FURTHEST_SHARE: f64 = 0.5;

/// Rows that are compared with those below them, about: a large panel has more than it needs.
const ROWS: usize = 64;

/// Silver that varies less than this (standard deviation) is even: half of the one per cent that the eye sees between
/// neighbours (from memory, no source).
const EVEN: f64 = 0.005;

/// And it is looked for in what cells so many apart have in common, so that the sensor's noise and the skirts of blurred
/// specks do not pass for clouds.
const EVEN_CELLS: usize = 2;

/// Distances kept for the intervals, as multiples of the scale.
const KEPT: f64 = 4.0;

/// The quiet silver in cells of several widths, and how far it stays alike.
pub(super) struct Cloud {
    levels: Vec<Level>,
    /// Distance at which the autocorrelation falls to 1/e, mm, up to half the short side; a cell where it is even.
    pub(super) scale_mm: f64,
    even: bool,
}

impl Cloud {
    pub(super) fn new(quiet: &Quiet) -> Self {
        Cloud::from_field(quiet.silver.clone(), quiet.free.clone(), quiet.cell_mm)
    }

    /// The same of any field in cells; `known` is 1 where a cell of it counts, 0 where not.
    pub(super) fn from_field(field: Plane, known: Plane, cell_mm: f64) -> Self {
        let (rows, cols) = field.dim();
        let levels = levels(field, known, cell_mm);
        let whole = Windows::whole();
        let variance = Ring::at_lag(&levels[0], 0, &whole);
        let beside = Ring::at_lag(&levels[0], EVEN_CELLS, &whole);
        let even = beside.covariance(&[1.0], 0.0) < EVEN * EVEN;
        let furthest_mm = rows.min(cols) as f64 * cell_mm * FURTHEST_SHARE;
        let scale_mm = if even {
            cell_mm
        } else {
            let rings = places(&levels, furthest_mm).map(|(l, lag)| Ring::at_lag(l, lag, &whole));
            falls(&variance, rings, &[1.0]).unwrap_or(furthest_mm)
        };
        Cloud {
            levels,
            scale_mm,
            even,
        }
    }

    /// The scale with its interval by resampled windows.
    pub(super) fn measure(&self, windows: &Windows, resamples: Option<&Resamples>) -> Measure {
        let resamples = resamples.ok_or(Unmeasured::PanelTooSmall)?;
        if self.even {
            return Err(Unmeasured::EvenSilver);
        }
        let variance = Ring::at_lag(&self.levels[0], 0, windows);
        let rings: Vec<Ring> = places(&self.levels, KEPT * self.scale_mm)
            .collect::<Vec<_>>()
            .into_par_iter()
            .map(|(level, lag)| Ring::at_lag(level, lag, windows))
            .collect();
        let of = |weights: &[f64]| {
            Some(falls(&variance, &rings, weights).unwrap_or(KEPT * self.scale_mm))
        };
        resamples
            .interval(self.scale_mm, of)
            .ok_or(Unmeasured::PanelTooSmall)
    }
}

/// Cells of one width. Where one has no quiet silver of its own, both planes are 0.
struct Level {
    /// Silver less the mean of all.
    apart: Plane,
    /// 1 where it is known.
    known: Plane,
    cell_mm: f64,
}

/// As many as reach half the short side.
fn levels(field: Plane, known: Plane, cell_mm: f64) -> Vec<Level> {
    let mean = dot_planes(&field, &known) / known.sum().max(1.0);
    let mut apart = field;
    Zip::from(&mut apart)
        .and(&known)
        .par_for_each(|value, known| *value = (*value - mean) * known);
    let mut levels = vec![Level {
        apart,
        known,
        cell_mm,
    }];
    while let Some(last) = levels.last()
        && last.apart.nrows().min(last.apart.ncols()) > 2 * FURTHEST_CELLS
    {
        let share = block_mean(&last.known, 2);
        let known = share.mapv(|share| f32::from(u8::from(share >= 0.5)));
        let apart = block_mean(&last.apart, 2) / share.mapv(|share| share.max(0.25)) * &known;
        let cell_mm = 2.0 * last.cell_mm;
        levels.push(Level {
            apart,
            known,
            cell_mm,
        });
    }
    levels
}

fn dot_planes(a: &Plane, b: &Plane) -> f32 {
    let rows = a.rows().into_iter().zip(b.rows());
    rows.filter_map(|(a, b)| Some(dot(a.to_slice()?, b.to_slice()?)))
        .sum()
}

/// What to compare, from near to far: cells of which width, so many apart.
fn places(levels: &[Level], furthest_mm: f64) -> impl Iterator<Item = (&Level, usize)> {
    levels
        .iter()
        .enumerate()
        .flat_map(|(i, level)| {
            let nearest = if i == 0 { 1 } else { FURTHEST_CELLS / 2 + 1 };
            (nearest..=FURTHEST_CELLS).map(move |lag| (level, lag))
        })
        .filter(move |(level, lag)| *lag as f64 * level.cell_mm <= furthest_mm)
}

/// Distance, mm, at which the correlation first falls to 1/e; `None` where it does not.
fn falls<R: std::borrow::Borrow<Ring>>(
    variance: &Ring,
    rings: impl IntoIterator<Item = R>,
    weights: &[f64],
) -> Option<f64> {
    let target = (-1.0_f64).exp();
    let mean = variance.mean(weights);
    let variance = variance.covariance(weights, mean);
    let (mut before, mut at) = (1.0, 0.0);
    for ring in rings {
        let ring = ring.borrow();
        let here = ring.covariance(weights, mean) / variance;
        if here < target {
            let share = (before - target) / (before - here);
            return Some(at + share * (ring.distance_mm - at));
        }
        (before, at) = (here, ring.distance_mm);
    }
    None
}

/// Sums over pairs of cells at one distance, all round, window by window of the upper one.
struct Ring {
    distance_mm: f64,
    sums: Vec<f64>,
    products: Vec<f64>,
    pairs: Vec<f64>,
}

impl Ring {
    fn at_lag(level: &Level, lag: usize, windows: &Windows) -> Self {
        let (rows, cols) = level.apart.dim();
        let windows = windows.over_cells(rows, cols);
        let directions = if lag == 0 { 1 } else { DIRECTIONS };
        let ways: Vec<Ring> = (0..directions)
            .into_par_iter()
            .map(|turn| {
                let angle = std::f64::consts::PI * f64::from(turn) / f64::from(directions);
                let down = (lag as f64 * angle.sin()).round() as usize;
                let across = (lag as f64 * angle.cos()).round() as isize;
                let mut way = Ring::none(windows.count());
                way.distance_mm =
                    (down as f64).hypot(across as f64) * level.cell_mm / f64::from(directions);
                way.add(level, down, across, &windows);
                way
            })
            .collect();
        let all = Ring::none(windows.count());
        ways.into_iter().fold(all, Ring::plus)
    }

    fn none(windows: usize) -> Self {
        let none = || vec![0.0; windows];
        Ring {
            distance_mm: 0.0,
            sums: none(),
            products: none(),
            pairs: none(),
        }
    }

    fn plus(mut self, other: Ring) -> Self {
        let add = |to: &mut [f64], more: &[f64]| to.iter_mut().zip(more).for_each(|(a, b)| *a += b);
        self.distance_mm += other.distance_mm;
        add(&mut self.sums, &other.sums);
        add(&mut self.products, &other.products);
        add(&mut self.pairs, &other.pairs);
        self
    }

    /// Adds the pairs of cells so many rows and columns apart.
    fn add(&mut self, level: &Level, down: usize, across: isize, windows: &Windows) {
        let (rows, cols) = level.apart.dim();
        let first = across.min(0).unsigned_abs();
        let end = cols.saturating_sub(across.max(0).unsigned_abs());
        for r in (0..rows.saturating_sub(down)).step_by((rows / ROWS).max(1)) {
            let rows = (
                level.apart.row(r).to_slice(),
                level.apart.row(r + down).to_slice(),
                level.known.row(r).to_slice(),
                level.known.row(r + down).to_slice(),
            );
            let (Some(near), Some(far), Some(near_known), Some(far_known)) = rows else {
                continue;
            };
            for (window, range) in windows.along_row(r) {
                let (a, b) = (range.start.max(first), range.end.min(end));
                if a >= b {
                    continue;
                }
                let (here, there) = (
                    a..b,
                    a.wrapping_add_signed(across)..b.wrapping_add_signed(across),
                );
                self.products[window] += f64::from(dot(&near[here.clone()], &far[there.clone()]));
                self.sums[window] += f64::from(near[here.clone()].iter().sum::<f32>());
                self.pairs[window] += f64::from(dot(&near_known[here], &far_known[there]));
            }
        }
    }

    fn mean(&self, weights: &[f64]) -> f64 {
        bootstrap::dot(weights, &self.sums) / bootstrap::dot(weights, &self.pairs).max(1.0)
    }

    fn covariance(&self, weights: &[f64], mean: f64) -> f64 {
        let pairs = bootstrap::dot(weights, &self.pairs).max(1.0);
        bootstrap::dot(weights, &self.products) / pairs - mean * mean
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ops::smooth::gaussian;
    use rand::{RngExt, SeedableRng};

    #[test]
    fn noise_smoothed_by_a_gaussian_stays_alike_over_twice_its_sigma() {
        // exp(−h²/4σ²) falls to 1/e at 2σ. Some 700 and 80 patches of it: their scale is known to a few per cent.
        for (sigma_px, share) in [(4.0, 0.05), (12.0, 0.15)] {
            let mut rng = rand_pcg::Pcg64::seed_from_u64(5);
            let noise = Plane::from_shape_simple_fn((400, 400), || rng.random::<f32>() - 0.5);
            let field = gaussian(&noise, sigma_px);
            let spread = field.std(0.0);
            let quiet = Quiet::whole(field.mapv(|v| 0.7 + 0.1 * v / spread), 0.5);
            let scale_mm = Cloud::new(&quiet).scale_mm;
            let off = scale_mm / (2.0 * sigma_px * 0.5) - 1.0;
            assert!(off.abs() < share, "{sigma_px}: {scale_mm}");
        }
    }

    #[test]
    fn even_silver_has_no_clouds() {
        let quiet = Quiet::whole(Plane::from_elem((60, 80), 0.7), 0.5);
        assert!(Cloud::new(&quiet).even);
    }

    #[test]
    fn what_varies_by_half_of_what_is_seen_is_even() {
        let halves = |high: f32| {
            let field =
                Plane::from_shape_fn((60, 80), |(_, c)| 0.7 + if c < 40 { high } else { -high });
            Cloud::new(&Quiet::whole(field, 0.5))
        };
        // Neighbours two cells apart lie on either side of the line in 2 of 60 or 78 places.
        assert!(halves(0.0045).even && !halves(0.006).even);
        assert!((halves(0.0045).scale_mm - 0.5).abs() < 1e-12);
    }

    #[test]
    fn without_clouds_or_windows_there_is_a_reason() {
        use super::super::painted::exact;
        for level in [0.0, 1.0] {
            let of = exact(|_, _| level);
            let cloud = Cloud::new(&of.quiet);
            assert_eq!(
                cloud.measure(&of.windows, of.resamples()),
                Err(Unmeasured::EvenSilver)
            );
            assert_eq!(
                cloud.measure(&of.windows, None),
                Err(Unmeasured::PanelTooSmall)
            );
        }
    }

    #[test]
    fn a_single_row_or_cell_is_held_against_itself() {
        let row = Plane::from_shape_fn((1, 40), |(_, c)| (c / 10 % 2) as f32);
        assert!((Cloud::new(&Quiet::whole(row, 0.5)).scale_mm - 0.25).abs() < 1e-12);
        assert!(Cloud::new(&Quiet::whole(Plane::ones((1, 1)), 0.5)).even);
        // Nothing quiet is even.
        let nothing = Cloud::from_field(Plane::ones((30, 30)), Plane::zeros((30, 30)), 0.5);
        assert!(nothing.even);
    }
}
