//! Intervals by resampling whole windows of a panel (block bootstrap; Efron 1979, Künsch 1989).
//!
//! Pixels beside each other are alike, so they are never resampled one by one: windows are, each wider than the
//! pattern's own scale. The 2.5 % and 97.5 % points of the resampled statistic are then moved apart about the value by
//! √(n/(n−1)) · t/z for n windows: resampling n windows shows a variance (n−1)/n too small, and its normal tails are
//! too short where n is small (Student's t with n−1 degrees of freedom).

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use super::order::quantile;
use crate::units::Estimate;

/// Chance left outside an interval.
const ALPHA: f64 = 0.05;

/// How often each window was drawn in each resample.
#[derive(Debug, Clone)]
pub struct Resamples {
    windows: usize,
    draws: Vec<Vec<f64>>,
    widening: f64,
}

impl Resamples {
    /// Draws `resamples` times `windows` windows with replacement. The same arguments give the same draws everywhere.
    ///
    /// `None` for fewer than two windows: one window says nothing of its own spread.
    #[must_use]
    pub fn draw(windows: usize, resamples: usize, seed: u64) -> Option<Self> {
        if windows < 2 {
            return None;
        }
        let mut rng = Pcg64::seed_from_u64(seed);
        let draws = (0..resamples)
            .map(|_| {
                let mut weights = vec![0.0; windows];
                for _ in 0..windows {
                    weights[rng.random_range(0..windows)] += 1.0;
                }
                weights
            })
            .collect();
        Some(Resamples {
            windows,
            draws,
            widening: small_sample_widening(windows),
        })
    }

    /// Windows in each resample.
    #[must_use]
    pub fn windows(&self) -> usize {
        self.windows
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
        let low = quantile(&mut values, ALPHA / 2.0)?;
        let high = quantile(&mut values, 1.0 - ALPHA / 2.0)?;
        Some(Estimate {
            value,
            low: value - (value - low).max(0.0) * self.widening,
            high: value + (high - value).max(0.0) * self.widening,
        })
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
    weights.iter().zip(values).map(|(w, v)| w * v).sum()
}

/// √(n/(n−1)) · t/z: how much further apart than their quantiles the ends of a 95 % interval from `n` windows are set.
#[must_use]
pub fn small_sample_widening(windows: usize) -> f64 {
    let n = windows as f64;
    let two_sided = 1.0 - ALPHA / 2.0;
    let t = StudentsT::new(0.0, 1.0, n - 1.0).map_or(f64::NAN, |d| d.inverse_cdf(two_sided));
    let z = Normal::standard().inverse_cdf(two_sided);
    (n / (n - 1.0)).sqrt() * t / z
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
        assert!((small_sample_widening(5) - expected).abs() < 1e-5);
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
