//! Control charts of figures in the order they were taken: whether what they come from has moved.
//!
//! Individuals and moving ranges show a jump: a figure lies outside where it is further than 3·MR̄/d₂ from the mean, and a
//! step from one figure to the next where it is over D₄·MR̄, MR̄ being the mean step (ISO 7870-2; NIST/SEMATECH e-Handbook
//! 6.3.2.2). The exponentially weighted moving average shows a drift: z_t = λx_t + (1 − λ)z_{t−1} from z₀ at the centre,
//! outside where further than 3s√(λ/(2 − λ)) from it, the limits it comes to after many figures (Roberts 1959,
//! Technometrics 1, 239–250; e-Handbook 6.3.2.4).

use std::f64::consts::{FRAC_2_SQRT_PI, PI};

use super::spread::Spread;

/// Standard deviations from the centre to a limit.
const REACH: f64 = 3.0;
/// d₂, the mean distance of two normal figures in standard deviations: 2/√π, which tables print as 1.128.
const MEAN_RANGE: f64 = FRAC_2_SQRT_PI;

/// The weight λ of the newest figure that is usual.
pub const USUAL_LAMBDA: f64 = 0.3;

/// Chart of individual figures and of their moving ranges.
#[derive(Debug, Clone, PartialEq)]
pub struct Individuals {
    /// Mean of the figures.
    pub centre: f64,
    /// Mean distance of each figure from the one before, MR̄, at least 0.
    pub mean_range: f64,
    /// Lower limit of a figure.
    pub low: f64,
    /// Upper limit of a figure.
    pub high: f64,
    /// Upper limit of a moving range; the lower is 0.
    pub range_high: f64,
    /// Figures outside their limits, by place from 0.
    pub outside: Vec<usize>,
    /// Moving ranges over their limit, by the place of the later figure, from 1.
    pub ranges_outside: Vec<usize>,
}

impl Individuals {
    /// `None` of fewer than two figures.
    #[must_use]
    pub fn new(values: &[f64]) -> Option<Self> {
        let centre = Spread::of(values)?.mean;
        let ranges: Vec<f64> = values.windows(2).map(|v| (v[1] - v[0]).abs()).collect();
        let mean_range = Spread::of(&ranges)?.mean;
        let reach = REACH * mean_range / MEAN_RANGE;
        let (low, high) = (centre - reach, centre + reach);
        let range_high = range_factor() * mean_range;
        Some(Individuals {
            centre,
            mean_range,
            low,
            high,
            range_high,
            outside: outside(values, low, high),
            ranges_outside: outside(&ranges, 0.0, range_high)
                .iter()
                .map(|step| step + 1)
                .collect(),
        })
    }
}

/// D₄ = 1 + 3·d₃/d₂, the limit of a moving range over its mean, which tables print as 3.267. d₃ = √(2 − 4/π) is the
/// standard deviation of the distance of two normal figures.
fn range_factor() -> f64 {
    1.0 + REACH * (2.0 - 4.0 / PI).sqrt() / MEAN_RANGE
}

/// Chart of the exponentially weighted moving average.
#[derive(Debug, Clone, PartialEq)]
pub struct Ewma {
    /// The average after each figure.
    pub points: Vec<f64>,
    /// Lower limit of the average.
    pub low: f64,
    /// Upper limit of the average.
    pub high: f64,
    /// Averages outside the limits, by place from 0.
    pub outside: Vec<usize>,
}

impl Ewma {
    /// The chart about a `centre`, of figures whose standard deviation is `sd`, at least 0, with the weight `lambda` of the
    /// newest, over 0 and at most 1. `None` of nothing, or where either is not so.
    #[must_use]
    pub fn new(values: &[f64], centre: f64, sd: f64, lambda: f64) -> Option<Self> {
        if values.is_empty() || sd.is_nan() || sd < 0.0 || !(lambda > 0.0 && lambda <= 1.0) {
            return None;
        }
        let points: Vec<f64> = values
            .iter()
            .scan(centre, |z, x| {
                *z += lambda * (x - *z);
                Some(*z)
            })
            .collect();
        let reach = REACH * sd * (lambda / (2.0 - lambda)).sqrt();
        let (low, high) = (centre - reach, centre + reach);
        Some(Ewma {
            outside: outside(&points, low, high),
            points,
            low,
            high,
        })
    }
}

/// The places of the values that lie under `low` or over `high`.
fn outside(values: &[f64], low: f64, high: f64) -> Vec<usize> {
    let beyond = |v: f64| v < low || v > high;
    (0..values.len()).filter(|i| beyond(values[*i])).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_jump_lies_outside_and_so_does_the_step_to_it() {
        // Mean 28/14; eleven steps of 1, one of 15, one of 10: MR̄ = 36/13, limits 2 ± 7.36, of a step 9.05.
        let mut values = [0.0, 1.0].repeat(6);
        values.extend([16.0, 6.0]);
        let found = Individuals::new(&values).unwrap();
        assert!((found.centre - 2.0).abs() < 1e-15);
        let mean_range = 36.0 / 13.0;
        assert!((found.mean_range - mean_range).abs() < 1e-15);
        assert!((found.high - 2.0 - 3.0 * mean_range * PI.sqrt() / 2.0).abs() < 1e-12);
        assert!((found.range_high / mean_range - 3.266_532).abs() < 1e-6);
        assert_eq!(found.outside, [12]);
        assert_eq!(found.ranges_outside, [12, 13]);
    }

    #[test]
    fn equal_figures_lie_within_limits_of_no_width() {
        let found = Individuals::new(&[0.1; 7]).unwrap();
        assert_eq!((found.low, found.high), (0.1, 0.1));
        assert!(found.outside.is_empty() && found.ranges_outside.is_empty());
        let found = Ewma::new(&[0.1; 7], 0.1, 0.0, USUAL_LAMBDA).unwrap();
        assert!(found.outside.is_empty());
    }

    #[test]
    fn one_figure_makes_no_step() {
        assert_eq!(Individuals::new(&[1.0]), None);
        assert_eq!(Individuals::new(&[]), None);
    }

    #[test]
    fn a_drift_too_small_for_one_figure_adds_up() {
        // λ = 0.5: 1, 1.5, 1.75 of 2s; limits ± 3s√(1/3) = 1.732.
        let found = Ewma::new(&[2.0; 3], 0.0, 1.0, 0.5).unwrap();
        assert_eq!(found.points, [1.0, 1.5, 1.75]);
        assert!((found.high - 3.0_f64.sqrt()).abs() < 1e-15);
        assert_eq!(found.outside, [2]);
    }

    #[test]
    fn an_average_needs_figures_a_spread_and_a_weight() {
        assert_eq!(Ewma::new(&[], 0.0, 1.0, USUAL_LAMBDA), None);
        for (sd, lambda) in [(-1.0, 0.3), (f64::NAN, 0.3), (1.0, 0.0), (1.0, 1.1)] {
            assert_eq!(Ewma::new(&[1.0], 0.0, sd, lambda), None);
        }
        // The newest alone.
        assert_eq!(
            Ewma::new(&[3.0, 5.0], 4.0, 1.0, 1.0).unwrap().points,
            [3.0, 5.0]
        );
    }
}
