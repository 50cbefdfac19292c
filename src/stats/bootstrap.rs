//! Intervals by resampling whole windows of a panel (block bootstrap; Efron 1979, Künsch 1989).
//!
//! Pixels beside each other are alike, so they are never resampled one by one: windows are, each wider than the
//! pattern's own scale, and each among windows of its own kind (at the panel's edge, or not). The ends are the points of
//! the resampled statistic that are corrected for its bias and skewness (BCa; Efron 1987, Efron & Tibshirani 1993, ch. 14):
//! a panel with three blots may as well have had six. They are then moved apart about the value by √(n/(n−k)) · t/z for
//! n windows of k kinds: resampling shows a variance that much too small, and its normal tails are too short where n is
//! small (Student's t with n−k degrees of freedom).

use std::sync::Arc;

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use statrs::distribution::{ContinuousCDF, Normal};

use super::order::quantile;
use super::student;
use crate::units::Estimate;

/// Chance left outside an interval.
const ALPHA: f64 = 0.05;

/// How often each window was drawn in each resample.
#[derive(Debug, Clone)]
pub struct Resamples {
    windows: usize,
    draws: Arc<[Vec<f64>]>,
    widening: f64,
}

/// Furthest that bias and skewness may move an end, in standard deviations and in Efron's acceleration: beyond it a
/// thousand resamples hold no such points.
const MOST_BIAS: f64 = 0.5;
/// Most acceleration.
const MOST_ACCELERATION: f64 = 0.2;

impl Resamples {
    /// Draws `resamples` times `windows` windows with replacement. The same arguments give the same draws everywhere.
    ///
    /// `None` for fewer than two windows: one window says nothing of its own spread.
    #[must_use]
    pub fn draw(windows: usize, resamples: usize, seed: u64) -> Option<Self> {
        Resamples::draw_by_kind(&[(0..windows).collect()], resamples, seed)
    }

    /// The same with the windows of each kind, given by their numbers, drawn among themselves.
    #[must_use]
    pub fn draw_by_kind(kinds: &[Vec<usize>], resamples: usize, seed: u64) -> Option<Self> {
        let windows: usize = kinds.iter().map(Vec::len).sum();
        if kinds.iter().any(|kind| kind.len() < 2) || windows == 0 {
            return None;
        }
        let mut rng = Pcg64::seed_from_u64(seed);
        let draws = (0..resamples)
            .map(|_| {
                let mut weights = vec![0.0; windows];
                for kind in kinds {
                    for _ in kind {
                        weights[kind[rng.random_range(0..kind.len())]] += 1.0;
                    }
                }
                weights
            })
            .collect();
        Some(Resamples {
            windows,
            draws,
            widening: small_sample_widening(windows, kinds.len()),
        })
    }

    /// The same with every interval so many times as wide.
    #[must_use]
    pub fn widened(&self, by: f64) -> Self {
        Resamples {
            draws: Arc::clone(&self.draws),
            widening: by * self.widening,
            ..*self
        }
    }

    /// The 95 % interval about `value` of a statistic of window weights. Resamples in which the statistic has no value
    /// are left out; where more than half have none the interval is unbounded by them and so `None`.
    pub fn interval(
        &self,
        value: f64,
        statistic: impl Fn(&[f64]) -> Option<f64> + Sync,
    ) -> Option<Estimate> {
        let mut values: Vec<f64> = self.draws.par_iter().filter_map(|w| statistic(w)).collect();
        if values.len() * 2 < self.draws.len() {
            return None;
        }
        let [below, above] = self.points(value, &values, &statistic);
        let low = quantile(&mut values, below)?;
        let high = quantile(&mut values, above)?;
        Some(Estimate {
            value,
            low: value - (value - low).max(0.0) * self.widening,
            high: value + (high - value).max(0.0) * self.widening,
        })
    }

    /// The shares of the resampled values that lie under the ends, by BCa.
    fn points(
        &self,
        value: f64,
        values: &[f64],
        statistic: impl Fn(&[f64]) -> Option<f64> + Sync,
    ) -> [f64; 2] {
        let normal = Normal::standard();
        let count = |is: &dyn Fn(f64) -> bool| values.iter().filter(|v| is(**v)).count() as f64;
        let under = (count(&|v| v < value) + count(&|v| v <= value)) / 2.0 / values.len() as f64;
        let bias = normal.inverse_cdf(under.clamp(0.01, 0.99));
        let bias = bias.clamp(-MOST_BIAS, MOST_BIAS);
        let acceleration = self.acceleration(statistic);
        let z = normal.inverse_cdf(1.0 - ALPHA / 2.0);
        [-z, z].map(|z| {
            let moved = bias + z;
            normal.cdf(bias + moved / (1.0 - acceleration * moved))
        })
    }

    /// A sixth of the skewness of the statistic, from leaving out each window in turn.
    fn acceleration(&self, statistic: impl Fn(&[f64]) -> Option<f64> + Sync) -> f64 {
        let without = |i: usize| {
            let mut weights = vec![1.0; self.windows];
            weights[i] = 0.0;
            statistic(&weights)
        };
        let left: Vec<f64> = (0..self.windows)
            .into_par_iter()
            .filter_map(without)
            .collect();
        let mean = left.iter().sum::<f64>() / left.len().max(1) as f64;
        let sum = |power: i32| left.iter().map(|v| (mean - v).powi(power)).sum::<f64>();
        let scale = 6.0 * sum(2).powf(1.5);
        if scale > 0.0 {
            (sum(3) / scale).clamp(-MOST_ACCELERATION, MOST_ACCELERATION)
        } else {
            0.0
        }
    }

    /// [`Self::interval`] of a ratio of two window sums.
    #[must_use]
    pub fn ratio(&self, top: &[f64], bottom: &[f64]) -> Option<Estimate> {
        let ratio = |weights: &[f64]| {
            let bottom = dot(weights, bottom);
            (bottom > 0.0).then(|| dot(weights, top) / bottom)
        };
        let value = ratio(&vec![1.0; self.windows])?;
        self.interval(value, ratio)
    }
}

/// Sum of products.
#[must_use]
pub fn dot(weights: &[f64], values: &[f64]) -> f64 {
    // Four sums side by side, so that none waits for the last.
    let mut lanes = [0.0; 4];
    let (weights, rest) = weights.as_chunks::<4>();
    let (values, last) = values.as_chunks::<4>();
    for (w, v) in weights.iter().zip(values) {
        (0..4).for_each(|i| lanes[i] += w[i] * v[i]);
    }
    let rest: f64 = rest.iter().zip(last).map(|(w, v)| w * v).sum();
    lanes.iter().sum::<f64>() + rest
}

/// √(n/(n−k)) · t/z: how much further apart than their quantiles the ends of a 95 % interval from `n` windows of k kinds are
/// set.
#[must_use]
pub fn small_sample_widening(windows: usize, kinds: usize) -> f64 {
    let (n, free) = (windows as f64, (windows - kinds) as f64);
    let two_sided = 1.0 - ALPHA / 2.0;
    let t = student::point(free, two_sided).unwrap_or(f64::NAN);
    let z = Normal::standard().inverse_cdf(two_sided);
    (n / free).sqrt() * t / z
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mean_of_many_windows_has_the_textbook_interval() {
        // 400 windows of a uniform 0..1 sample: standard error √(1/12/400) = 0.01443.
        let mut rng = Pcg64::seed_from_u64(3);
        let values: Vec<f64> = (0..400).map(|_| rng.random::<f64>()).collect();
        let ones = vec![1.0; 400];
        let interval = Resamples::draw(400, 1000, 1)
            .unwrap()
            .ratio(&values, &ones)
            .unwrap();
        let half = (interval.high - interval.low) / 2.0;
        // 1000 resamples fix a 95 % half-width to about 4 %.
        assert!((half / (1.96 * 0.01443) - 1.0).abs() < 0.1, "{half}");
    }

    #[test]
    fn few_windows_widen_by_student_t() {
        // t(0.975, 4) = 2.776445 (table of Student's t), z = 1.959964.
        let expected = (5.0f64 / 4.0).sqrt() * 2.776_445 / 1.959_964;
        assert!((small_sample_widening(5, 1) - expected).abs() < 1e-5);
    }

    #[test]
    fn draws_repeat_and_one_window_is_refused() {
        assert!(Resamples::draw(1, 10, 1).is_none());
        let (a, b) = (
            Resamples::draw(9, 10, 5).unwrap(),
            Resamples::draw(9, 10, 5).unwrap(),
        );
        assert_eq!(a.draws, b.draws);
        assert!(
            a.draws
                .iter()
                .all(|w| (w.iter().sum::<f64>() - 9.0).abs() < 1e-12)
        );
    }
}
