//! Streak spacing: how far it is from ridge to ridge, mm, across them.
//!
//! The autocorrelation of the slope across the ridges, along lines that cross them: it falls low half a ridge on and comes back to a peak a whole ridge on, where the spacing is read. The slope and not the silver itself, so that
//! clouds do not tilt the peak. There is no spacing where there is no direction, or where no peak stands out: runs and
//! wipes may have a direction without any regular distance. Spacings from 1.5 mm to 60 mm, or a third of the short side.

use rayon::prelude::*;

use super::quiet::Quiet;
use super::streak::Slopes;
use super::windows::Windows;
use crate::ops::reduce::dot;
use crate::stats::bootstrap::{self, Resamples};
use crate::units::{Measure, Unmeasured};

/// Distance between the lines, mm.
const LINES_MM: f64 = 4.0;

/// Lines enough on a large panel.
const MOST_LINES: f64 = 80.0;

/// Widest spacing looked for, mm: first among the usual ones, then among all.
const WIDEST_MM: [f64; 2] = [20.0, 60.0];

/// And as a share of the panel's short side: three ridges at least.
const WIDEST_SHARE: f64 = 1.0 / 3.0;

/// Where the peak is looked for, as multiples of the distance to the trough: it lies at twice that.
const PEAK_WITHIN: (f64, f64) = (1.4, 3.0);

/// A trough is deep with this share of the depth of the deepest.
const DEEP: f64 = 0.6;

/// Least height of the peak, as a correlation.
const LEAST_PEAK: f64 = 0.1;

/// The peak is looked for again in each resample within this share of its distance.
const PEAK_MOVES: f64 = 0.25;

/// Spacing of the ridges that run along `axis`, with its interval by resampled windows.
pub(super) fn measure(
    quiet: &Quiet,
    slopes: &Slopes,
    axis: Measure,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Measure {
    let resamples = resamples.ok_or(Unmeasured::PanelTooSmall)?;
    let (rows, cols) = slopes.down.dim();
    let furthest = rows.min(cols) as f64 * WIDEST_SHARE;
    let lines = lines(quiet, slopes, axis?.value, windows);
    let all = vec![1.0; windows.count()];
    let within = |widest_mm: f64| {
        let widest = (widest_mm / quiet.cell_mm).min(furthest) as usize;
        let lags = Lags::along(&lines, widest, windows);
        peak(&lags.correlation(&all)).map(|peak| (lags, peak))
    };
    let found = WIDEST_MM.into_iter().find_map(within);
    let (lags, peak) = found.ok_or(Unmeasured::NoSpacing)?;
    let widest = lags.products.len();
    // Each resample needs the lags about the peak only.
    let near = (peak * (1.0 - PEAK_MOVES)) as usize
        ..((peak * (1.0 + PEAK_MOVES)) as usize + 2).min(widest);
    let lags = lags.within(near.clone());
    let of = |weights: &[f64]| {
        let at = highest(&lags.correlation(weights), 0..near.len())?;
        Some((near.start as f64 + at) * quiet.cell_mm)
    };
    resamples
        .interval(peak * quiet.cell_mm, of)
        .ok_or(Unmeasured::PanelTooSmall)
}

/// Slopes along one line across the ridges, a cell apart; 0 where there is none to be had.
#[derive(Default)]
struct Line {
    slope: Vec<f32>,
    /// 1 where there is a slope.
    known: Vec<f32>,
    window: Vec<usize>,
}

fn lines(quiet: &Quiet, slopes: &Slopes, axis_deg: f64, windows: &Windows) -> Vec<Line> {
    let (rows, cols) = slopes.down.dim();
    let (sin, cos) = axis_deg.to_radians().sin_cos();
    // x right and y down: along the ridges is (cos, −sin), across them (sin, cos).
    let (half_across, half_along) = (
        (cols as f64 * sin.abs() + rows as f64 * cos.abs()) / 2.0,
        (cols as f64 * cos.abs() + rows as f64 * sin.abs()) / 2.0,
    );
    let apart = (LINES_MM / quiet.cell_mm).max(2.0 * half_along / MOST_LINES);
    let count = (2.0 * half_along / apart) as usize;
    let inside = |at: f64, n: usize| (at >= 0.0 && at < n as f64).then_some(at as usize);
    (0..count)
        .into_par_iter()
        .map(|i| {
            let shift = (i as f64 + 0.5) * apart - half_along;
            let mut line = Line::default();
            for step in 0..(2.0 * half_across) as usize {
                let across = step as f64 + 0.5 - half_across;
                let x = cols as f64 / 2.0 + shift * cos + across * sin;
                let y = rows as f64 / 2.0 - shift * sin + across * cos;
                let (Some(r), Some(c)) = (inside(y, rows), inside(x, cols)) else {
                    continue;
                };
                let known = slopes.own[[r, c]];
                let slope = slopes.along[[r, c]] * sin as f32 + slopes.down[[r, c]] * cos as f32;
                line.slope.push(slope * known);
                line.known.push(known);
                line.window
                    .push(windows.at(y * quiet.cell_px as f64, x * quiet.cell_px as f64));
            }
            line
        })
        .collect()
}

/// Sums of products of slopes so many cells apart, and their numbers, window by window of the nearer one.
struct Lags {
    products: Vec<Vec<f64>>,
    pairs: Vec<Vec<f64>>,
}

impl Lags {
    fn along(lines: &[Line], widest: usize, windows: &Windows) -> Self {
        let none = || vec![vec![0.0; windows.count()]; widest];
        let empty = || Lags {
            products: none(),
            pairs: none(),
        };
        lines
            .par_chunks(lines.len().div_ceil(8).max(1))
            .map(|lines| {
                let mut lags = empty();
                lines.iter().for_each(|line| lags.add(line));
                lags
            })
            .collect::<Vec<_>>()
            .into_iter()
            .fold(empty(), Lags::plus)
    }

    fn add(&mut self, line: &Line) {
        let mut start = 0;
        for stretch in line.window.chunk_by(|a, b| a == b) {
            let (window, end) = (stretch[0], start + stretch.len());
            for lag in 0..self.products.len().min(line.slope.len() - start) {
                let end = end.min(line.slope.len() - lag);
                if start >= end {
                    break;
                }
                let (near, far) = (start..end, start + lag..end + lag);
                self.products[lag][window] +=
                    f64::from(dot(&line.slope[near.clone()], &line.slope[far.clone()]));
                self.pairs[lag][window] += f64::from(dot(&line.known[near], &line.known[far]));
            }
            start = end;
        }
    }

    fn plus(mut self, other: Self) -> Self {
        let add = |sums: &mut [Vec<f64>], more: Vec<Vec<f64>>| {
            for (sum, v) in sums.iter_mut().flatten().zip(more.into_iter().flatten()) {
                *sum += v;
            }
        };
        add(&mut self.products, other.products);
        add(&mut self.pairs, other.pairs);
        self
    }

    fn within(self, lags: std::ops::Range<usize>) -> Self {
        let take = |of: Vec<Vec<f64>>| of[lags.clone()].to_vec();
        Lags {
            products: take(self.products),
            pairs: take(self.pairs),
        }
    }

    /// Mean product at each lag, as a share of the first.
    fn correlation(&self, weights: &[f64]) -> Vec<f64> {
        let mean = |(products, pairs): (&Vec<f64>, &Vec<f64>)| {
            bootstrap::dot(weights, products) / bootstrap::dot(weights, pairs).max(1.0)
        };
        let means: Vec<f64> = self.products.iter().zip(&self.pairs).map(mean).collect();
        let first = means.first().copied().unwrap_or(0.0).max(f64::MIN_POSITIVE);
        means.iter().map(|m| m / first).collect()
    }
}

/// Lag of the peak past the first deep trough, in cells; `None` where there is none.
fn peak(correlation: &[f64]) -> Option<f64> {
    let deepest = correlation.iter().copied().reduce(f64::min)?;
    let trough = correlation
        .windows(3)
        .position(|c| c[1] <= c[0] && c[1] <= c[2] && c[1] < DEEP * deepest)?
        + 1;
    let from = (trough as f64 * PEAK_WITHIN.0) as usize;
    let to = ((trough as f64 * PEAK_WITHIN.1) as usize).min(correlation.len());
    let peak = highest(correlation, from..to)?;
    (correlation[peak as usize] >= LEAST_PEAK).then_some(peak)
}

/// Where a stretch is highest, between the samples by a parabola; `None` where that is at its end.
fn highest(values: &[f64], within: std::ops::Range<usize>) -> Option<f64> {
    let top = within
        .clone()
        .max_by(|a, b| values[*a].total_cmp(&values[*b]))?;
    if top == within.start || top + 1 == within.end || top + 1 == values.len() {
        return None;
    }
    let (left, here, right) = (values[top - 1], values[top], values[top + 1]);
    let curve = left - 2.0 * here + right;
    Some(
        top as f64
            + if curve < 0.0 {
                (left - right) / (2.0 * curve)
            } else {
                0.0
            },
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_peak_of_a_fading_wave_is_a_wave_away() {
        for spacing in [5.3, 12.0, 31.7] {
            let wave: Vec<f64> = (0..100)
                .map(|lag| {
                    let turns = f64::from(lag) / spacing;
                    (-0.15 * turns).exp() * (std::f64::consts::TAU * turns).cos()
                })
                .collect();
            // The fading draws the peak in by 0.15 / (2π)² of the spacing.
            assert!(
                (peak(&wave).unwrap() / spacing - 1.0).abs() < 0.01,
                "{spacing}"
            );
        }
    }

    #[test]
    fn what_only_falls_off_has_no_peak() {
        let cloud: Vec<f64> = (0..60)
            .map(|lag| {
                (1.0 - f64::from(lag).powi(2) / 32.0) * (-f64::from(lag).powi(2) / 64.0).exp()
            })
            .collect();
        assert_eq!(peak(&cloud), None);
    }

    #[test]
    fn the_top_of_a_parabola_lies_between_the_samples() {
        assert_eq!(highest(&[0.0, 1.0, 0.0], 0..3), Some(1.0));
        // 1 − (x − 2.25)² at whole numbers.
        let parabola: Vec<f64> = (0..5)
            .map(|x| 1.0 - (f64::from(x) - 2.25).powi(2))
            .collect();
        let top = highest(&parabola, 0..5).unwrap();
        assert!((top - 2.25).abs() < 1e-12, "{top}");
        // What still rises at an end has its top elsewhere.
        assert_eq!(highest(&[0.0, 1.0, 2.0], 0..3), None);
        assert_eq!(highest(&[2.0, 1.0, 0.0], 0..3), None);
        assert_eq!(highest(&[], 0..0), None);
    }

    #[test]
    fn a_peak_under_a_tenth_is_none() {
        let wave = |high: f64| vec![1.0, 0.0, -0.5, 0.0, high, 0.0, -0.1];
        assert_eq!(peak(&wave(0.1)), Some(4.0));
        assert_eq!(peak(&wave(0.09)), None);
        assert_eq!(peak(&[]), None);
        assert_eq!(peak(&[1.0; 9]), None);
    }

    #[test]
    fn straight_ridges_have_their_distance_and_even_silver_none() {
        use super::super::painted::exact;
        use crate::units::Estimate;
        let axis = |value| {
            Ok(Estimate {
                value,
                low: value,
                high: value,
            })
        };
        for (along_rows, degrees) in [(true, 90.0), (false, 0.0)] {
            let of = exact(|r, c| {
                let at = if along_rows { c } else { r } as f32;
                0.7 + 0.1 * (std::f32::consts::TAU * at / 30.0).sin()
            });
            let slopes = Slopes::new(&of.quiet);
            let spacing = |axis| measure(&of.quiet, &slopes, axis, &of.windows, of.resamples());
            let found = spacing(axis(degrees)).unwrap().value;
            assert!((found - 3.0).abs() < 0.05, "{found}");
            // Along the ridges nothing comes back.
            assert_eq!(spacing(axis(90.0 - degrees)), Err(Unmeasured::NoSpacing));
            assert_eq!(
                spacing(Err(Unmeasured::NoDirection)),
                Err(Unmeasured::NoDirection)
            );
        }
        let of = exact(|_, _| 1.0);
        let slopes = Slopes::new(&of.quiet);
        let found = measure(&of.quiet, &slopes, axis(0.0), &of.windows, of.resamples());
        assert_eq!(found, Err(Unmeasured::NoSpacing));
        let none = measure(&of.quiet, &slopes, axis(0.0), &of.windows, None);
        assert_eq!(none, Err(Unmeasured::PanelTooSmall));
    }
}
