//! How well a reading repeats, within a group taken in one go and from one group to another, and which group is unlike.
//!
//! Of p groups of n repeats: repeatability s_r = √(Σ sᵢ²/p), between groups s_L = √(s_x̄² − s_r²/n), at least 0, with s_x̄ the
//! standard deviation of the group means, and reproducibility s_R = √(s_L² + s_r²) (ISO 5725-2; ASTM E691, where it is
//! max(s_r, √(s_x̄² + s_r²(n − 1)/n)), the same). Mandel's h = (x̄ᵢ − x̄)/s_x̄ tells a group whose mean, k = sᵢ/s_r one whose
//! scatter is unlike the others'.

use statrs::distribution::{ContinuousCDF, FisherSnedecor};

use super::student::{self, MOST_FREE};

use super::anova::OneWay;
use super::spread::Spread;

/// Chance that h, on either side, or k of a sound group is over its critical value, where only one is asked for (ASTM E691).
pub const USUAL_CHANCE: f64 = 0.005;
/// Two readings differ by more than so many standard deviations once in twenty: 1.96·√2 as both standards round it.
const DIFFERENCE: f64 = 2.8;

/// The precision of readings of one thing. Standard deviations are in the unit of the figures, and at least 0.
#[derive(Debug, Clone, PartialEq)]
pub struct Precision {
    /// Mean of all figures.
    pub mean: f64,
    /// Standard deviation of the group means, s_x̄.
    pub means_sd: f64,
    /// Standard deviation within groups, s_r.
    pub repeatability: f64,
    /// Standard deviation between groups, s_L.
    pub between: f64,
    /// Standard deviation of one reading in any group, s_R.
    pub reproducibility: f64,
    /// Each group, in the order given.
    pub groups: Vec<Group>,
}

/// One group beside the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Group {
    /// Mean of its figures.
    pub mean: f64,
    /// Their standard deviation.
    pub sd: f64,
    /// Its mean from that of all, in standard deviations of the means; `None` where these are equal.
    pub h: Option<f64>,
    /// Its standard deviation over s_r, 0 to √p; `None` where no group scatters.
    pub k: Option<f64>,
}

impl Precision {
    /// `None` of fewer than two groups, of groups of fewer than two figures, or of unlike size.
    #[must_use]
    pub fn new(groups: &[Vec<f64>]) -> Option<Self> {
        let repeats = groups.first()?.len();
        if groups.len() < 2 || repeats < 2 || groups.iter().any(|g| g.len() != repeats) {
            return None;
        }
        let mean = Spread::of(&groups.concat())?.mean;
        let found = OneWay::new(groups)?;
        let repeatability = found.within.sqrt();
        let means_sd = (found.between / repeats as f64).sqrt();
        let between = found.between_variance()?;
        let over = |what: f64, sd: f64| (sd > 0.0).then(|| what / sd);
        let group = |figures: &Vec<f64>| {
            let own = Spread::of(&figures.iter().map(|v| v - mean).collect::<Vec<_>>())?;
            let sd = own.sd()?;
            Some(Group {
                mean: mean + own.mean,
                sd,
                h: over(own.mean, means_sd),
                k: over(sd, repeatability),
            })
        };
        Some(Precision {
            mean,
            means_sd,
            repeatability,
            between: between.sqrt(),
            reproducibility: (between + found.within).sqrt(),
            groups: groups.iter().map(group).collect::<Option<_>>()?,
        })
    }

    /// What two readings in one group differ by at most, in 95 of 100 cases: r = 2.8·s_r.
    #[must_use]
    pub fn repeatability_limit(&self) -> f64 {
        DIFFERENCE * self.repeatability
    }

    /// What two readings in two groups differ by at most, in 95 of 100 cases: R = 2.8·s_R.
    #[must_use]
    pub fn reproducibility_limit(&self) -> f64 {
        DIFFERENCE * self.reproducibility
    }
}

/// The h, of p groups, that a sound one is within on either side but for a chance: (p − 1)t/√(p(t² + p − 2)), t the two-sided
/// point of Student's t with p − 2 degrees of freedom. `None` of fewer than three groups.
#[must_use]
pub fn h_critical(groups: usize, chance: f64) -> Option<f64> {
    let (p, free) = (groups as f64, groups.checked_sub(2)? as f64);
    let t = student::point(free, 1.0 - chance / 2.0)?;
    Some((p - 1.0) * t / (p * (t * t + free)).sqrt())
}

/// The k, of p groups of n repeats, that a sound one is under but for a chance: √(p/(1 + (p − 1)/F)), F the upper point of its
/// variance over that of all other groups, with n − 1 and (p − 1)(n − 1) degrees of freedom. `None` of fewer than two of
/// either.
#[must_use]
pub fn k_critical(groups: usize, repeats: usize, chance: f64) -> Option<f64> {
    let (others, free) = (groups.checked_sub(1)?, repeats.checked_sub(1)? as f64);
    let f = FisherSnedecor::new(free.min(MOST_FREE), (others as f64 * free).min(MOST_FREE)).ok()?;
    let f = f.inverse_cdf(1.0 - chance);
    Some((groups as f64 / (1.0 + others as f64 / f)).sqrt())
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    #[track_caller]
    fn same(found: f64, worked: f64) {
        assert!((found - worked).abs() < 1e-12, "{found}, {worked}");
    }

    #[test]
    fn two_groups_worked_by_hand() {
        // Means 2, 8, their variance 18; variances 2, 8, their mean 5; between 18 − 5/2.
        let found = Precision::new(&[vec![1.0, 3.0], vec![6.0, 10.0]]).unwrap();
        same(found.mean, 5.0);
        same(found.means_sd, 18.0_f64.sqrt());
        same(found.repeatability, 5.0_f64.sqrt());
        same(found.between, 15.5_f64.sqrt());
        same(found.reproducibility, 20.5_f64.sqrt());
        same(found.repeatability_limit(), 2.8 * 5.0_f64.sqrt());
        let [one, other] = [found.groups[0], found.groups[1]];
        same(other.mean, 8.0);
        same(other.sd, 8.0_f64.sqrt());
        same(one.h.unwrap(), -0.5_f64.sqrt());
        same(one.k.unwrap(), 0.4_f64.sqrt());
        same(other.k.unwrap(), 1.6_f64.sqrt());
    }

    #[test]
    fn groups_that_differ_less_than_they_scatter_reproduce_as_they_repeat() {
        let found = Precision::new(&[vec![0.0, 10.0], vec![1.0, 9.0]]).unwrap();
        same(found.between, 0.0);
        same(found.reproducibility, found.repeatability);
        assert_eq!(found.groups[0].h, None);
    }

    #[test]
    fn figures_without_scatter_have_no_k() {
        let found = Precision::new(&[vec![1.0; 3], vec![3.0; 3]]).unwrap();
        same(found.reproducibility, 2.0_f64.sqrt());
        assert!(found.groups.iter().all(|g| g.k.is_none() && g.h.is_some()));
    }

    #[test]
    fn too_few_and_uneven_groups_are_refused() {
        assert_eq!(Precision::new(&[]), None);
        assert_eq!(Precision::new(&[vec![1.0, 2.0]]), None);
        assert_eq!(Precision::new(&[vec![1.0], vec![2.0]]), None);
        assert_eq!(Precision::new(&[vec![1.0, 2.0], vec![1.0]]), None);
    }

    #[test]
    fn few_groups_are_held_to_points_known_in_closed_form() {
        // Three groups: t = cot(πα/2), h = 2/√3 · cos(πα/2).
        let h = 2.0 / 3.0_f64.sqrt() * (PI * USUAL_CHANCE / 2.0).cos();
        assert!((h_critical(3, USUAL_CHANCE).unwrap() - h).abs() < 1e-9);
        // Two groups of three: F with 2 and 2 is 1/α − 1, k = √(2(1 − α)).
        let k = (2.0 * (1.0 - USUAL_CHANCE)).sqrt();
        assert!((k_critical(2, 3, USUAL_CHANCE).unwrap() - k).abs() < 1e-9);
        assert!([0, 1, 2].map(|p| h_critical(p, USUAL_CHANCE)) == [None; 3]);
        assert!(
            [(0, 3), (1, 3), (3, 0), (3, 1)].map(|(p, n)| k_critical(p, n, USUAL_CHANCE))
                == [None; 4]
        );
    }
}
