//! Figures that stand apart from the rest of their set.
//!
//! Modified z: 0.6745 (x − median)/MAD, MAD being the median distance from the median, which a few odd figures cannot move
//! (Iglewicz & Hoaglin 1993, "How to detect and handle outliers"; NIST/SEMATECH e-Handbook 1.3.5.17). Grubbs's test of the
//! one figure furthest out: G = |x − mean|/s against (n − 1)/√n · √(t²/(n − 2 + t²)), t the point of Student's t with n − 2
//! degrees of freedom that leaves α/n above it, or α/(2n) where the odd one may lie on either side (Grubbs 1969,
//! Technometrics 11, 1–21; e-Handbook 1.3.5.17.1).

use super::student;

use super::order::median;
use super::spread::Spread;

/// Half of all normal figures lie within so many standard deviations of their middle.
const HALF_WITHIN: f64 = 0.6745;
/// Least chance of which Student's t is asked for its point: it is not to be found much further out.
const LEAST_TAIL: f64 = 1e-14;

/// A figure is odd whose modified z is further from 0 (Iglewicz & Hoaglin).
pub const ODD: f64 = 3.5;

/// The modified z of each figure; `None` of nothing, or where more than half of them are equal.
#[must_use]
pub fn modified_z(values: &[f64]) -> Option<Vec<f64>> {
    modified_z_over(values, 0.0)
}

/// The same with the standard deviation, MAD/0.6745, never taken for less than `least_sd`, so that figures which differ by
/// less than can be measured are not odd. `None` of nothing, or where both are 0.
#[must_use]
pub fn modified_z_over(values: &[f64], least_sd: f64) -> Option<Vec<f64>> {
    let middle = median(&mut values.to_vec())?;
    let mut distances: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
    let sd = (median(&mut distances)? / HALF_WITHIN).max(least_sd);
    (sd > 0.0).then(|| values.iter().map(|v| (v - middle) / sd).collect())
}

/// The figure furthest from the mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grubbs {
    /// Its place from 0; the first of several as far out.
    pub index: usize,
    /// Its distance from the mean in standard deviations, G, at most (n − 1)/√n.
    pub g: f64,
}

/// The figure furthest out; `None` of fewer than three, or where all are equal.
#[must_use]
pub fn grubbs(values: &[f64]) -> Option<Grubbs> {
    let spread = Spread::of(values).filter(|s| s.count > 2)?;
    let sd = spread.sd().filter(|sd| *sd > 0.0)?;
    values
        .iter()
        .map(|v| (v - spread.mean).abs() / sd)
        .enumerate()
        .rev()
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(index, g)| Grubbs { index, g })
}

/// The G that the furthest of `n` normal figures exceeds with a chance of `alpha`, between 0 and 1: the furthest on either
/// side, or on one chosen beforehand. `None` for fewer than three figures, any other `alpha`, or one under 2n·10⁻¹⁴.
#[must_use]
pub fn grubbs_critical(n: usize, alpha: f64, two_sided: bool) -> Option<f64> {
    let (figures, free) = (n as f64, n.checked_sub(2)? as f64);
    let tail = alpha / figures / if two_sided { 2.0 } else { 1.0 };
    if tail.is_nan() || tail < LEAST_TAIL || alpha >= 1.0 {
        return None;
    }
    let t = student::point(free, tail)?;
    Some((figures - 1.0) / (figures * (1.0 + free / (t * t))).sqrt())
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    #[test]
    fn the_middle_and_its_distances_measure_each_figure() {
        // Median 3; distances 2, 1, 0, 1, 97: MAD 1.
        let found = modified_z(&[1.0, 2.0, 3.0, 4.0, 100.0]).unwrap();
        let worked = [-1.349, -0.6745, 0.0, 0.6745, 65.4265];
        assert!(found.iter().zip(worked).all(|(f, w)| (f - w).abs() < 1e-12));
        assert!(found.iter().all(|z| (z.abs() > ODD) == (*z > 60.0)));
    }

    #[test]
    fn more_than_half_equal_leave_no_measure_but_a_given_one() {
        let values = [5.0, 5.0, 5.0, 6.0];
        assert_eq!(modified_z(&values), None);
        assert_eq!(modified_z_over(&values, 0.5).unwrap(), [0.0, 0.0, 0.0, 2.0]);
        assert_eq!(modified_z_over(&[7.0], 0.5).unwrap(), [0.0]);
        assert_eq!(modified_z_over(&[], 0.5), None);
    }

    #[test]
    fn a_least_spread_counts_only_where_the_figures_lie_closer() {
        let values = [1.0, 2.0, 3.0, 4.0, 100.0];
        assert_eq!(modified_z_over(&values, 1.4), modified_z(&values));
        let found = modified_z_over(&values, 9.7).unwrap();
        assert!((found[4] - 10.0).abs() < 1e-12);
    }

    #[test]
    fn the_furthest_figure_is_found_on_either_side() {
        // Mean 2, squares 4 + 1 + 0 + 1 + 4 = 10 over 4; 0 and 4 are as far out.
        let found = grubbs(&[1.0, 0.0, 2.0, 3.0, 4.0]).unwrap();
        assert_eq!(found.index, 1);
        assert!((found.g - 2.0 / 2.5_f64.sqrt()).abs() < 1e-15);
        // None is further out than one apart from all others where these are equal: (n − 1)/√n.
        let found = grubbs(&[0.0, 0.0, 0.0, 9.0]).unwrap();
        assert_eq!(found.index, 3);
        assert!((found.g - 1.5).abs() < 1e-15);
    }

    #[test]
    fn two_figures_and_equal_ones_have_no_furthest() {
        assert_eq!(grubbs(&[1.0, 2.0]), None);
        assert_eq!(grubbs(&[0.1; 5]), None);
        assert_eq!(grubbs(&[]), None);
    }

    #[test]
    fn three_figures_are_held_to_a_point_of_the_cauchy_distribution() {
        // One degree of freedom: t = cot(πα/n), G = 2/√3 · cos(πα/n); two-sided cos(πα/2n).
        let most = 2.0 / 3.0_f64.sqrt();
        let one = grubbs_critical(3, 0.05, false).unwrap();
        assert!((one - most * (PI * 0.05 / 3.0).cos()).abs() < 1e-9);
        let two = grubbs_critical(3, 0.05, true).unwrap();
        assert!((two - most * (PI * 0.05 / 6.0).cos()).abs() < 1e-9);
        assert_eq!(grubbs_critical(2, 0.05, true), None);
        assert!([0.0, 1e-14, 1.0, f64::NAN].map(|a| grubbs_critical(9, a, true)) == [None; 4]);
    }
}
