//! One-way analysis of variance with random effects: how much of the scatter lies within groups, how much between them.
//!
//! y = m + group + error; mean squares MS_b = Σ nᵢ(mᵢ − m)²/(k − 1) and MS_w = Σ(y − mᵢ)²/(N − k); the variance within is
//! MS_w and that between (MS_b − MS_w)/n₀, with n₀ = (N − Σ nᵢ²/N)/(k − 1) for groups of unlike size (Searle, Casella &
//! McCulloch 1992, "Variance components", ch. 3). All figures are first centred on their mean, for squares of large
//! figures would swallow the small differences.

use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor};

use super::spread::Spread;

/// What scatters within groups and what between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneWay {
    /// Mean square within the groups, which is the variance within.
    pub within: f64,
    /// Its degrees of freedom, at least one.
    pub within_dof: usize,
    /// Mean square between the groups; 0 of a single group.
    pub between: f64,
    /// Its degrees of freedom; 0 of a single group.
    pub between_dof: usize,
    /// Figures a group, n₀.
    pub group_size: f64,
}

impl OneWay {
    /// `None` where no group holds two figures, or one holds none.
    #[must_use]
    pub fn new(groups: &[Vec<f64>]) -> Option<Self> {
        let all = groups.concat();
        let middle = Spread::of(&all)?.mean;
        let spreads = groups
            .iter()
            .map(|group| Spread::of(&group.iter().map(|v| v - middle).collect::<Vec<_>>()))
            .collect::<Option<Vec<Spread>>>()?;
        let (n, k) = (all.len(), groups.len());
        if n <= k {
            return None;
        }
        let total = n as f64;
        let over = |of: fn(&Spread, f64) -> f64| -> f64 {
            spreads.iter().map(|s| of(s, s.count as f64)).sum()
        };
        // The centred means add up to zero but for rounding.
        let between = over(|s, n| n * s.mean * s.mean) - over(|s, n| n * s.mean).powi(2) / total;
        let groups_apart = (k - 1).max(1) as f64;
        Some(OneWay {
            within: over(|s, _| s.squares) / (n - k) as f64,
            within_dof: n - k,
            between: between.max(0.0) / groups_apart,
            between_dof: k - 1,
            group_size: (total - over(|_, n| n * n) / total) / groups_apart,
        })
    }

    /// MS_b/MS_w; `None` of a single group or where nothing scatters within.
    #[must_use]
    pub fn f(&self) -> Option<f64> {
        (self.between_dof > 0 && self.within > 0.0).then(|| self.between / self.within)
    }

    /// Variance between the groups as it comes out, which may be under 0 by chance; `None` of a single group.
    #[must_use]
    pub fn between_variance_raw(&self) -> Option<f64> {
        (self.between_dof > 0).then(|| (self.between - self.within) / self.group_size)
    }

    /// Limits of the variance between groups of one size, at a confidence such as 0.95, by the modified large-sample method
    /// (Ting, Burdick, Graybill, Jeyaratnam & Lu, J. Stat. Comput. Simul. 35 (1990) 135–143; Burdick & Graybill 1992, eqs
    /// 3.3.1 and 3.3.2): exact where one mean square is nothing to the other, within a hundredth of the confidence elsewhere.
    /// For normal effects. The lower one may be under 0. `None` of a single group.
    #[must_use]
    pub fn between_limits(&self, confidence: f64) -> Option<(f64, f64)> {
        let tail = (1.0 - confidence) / 2.0;
        let (k, m) = (self.between_dof as f64, self.within_dof as f64);
        let (b, w) = (self.between, self.within);
        let square = |free: f64, below: f64| {
            ChiSquared::new(free)
                .ok()
                .map(|d| d.inverse_cdf(below) / free)
        };
        let ratio = FisherSnedecor::new(k, m).ok()?;
        // Ends with G for the side that shrinks and H for the one that grows.
        let end = |below: f64, other: f64| {
            let own = 1.0 - 1.0 / square(k, below)?;
            let across = 1.0 / square(m, other)? - 1.0;
            let f = ratio.inverse_cdf(below);
            let both = ((f - 1.0).powi(2) - (own * f).powi(2) - across * across) / f;
            let v = (own * b).powi(2) + (across * w).powi(2) + both * b * w;
            Some(v.max(0.0).sqrt() / self.group_size)
        };
        let middle = self.between_variance_raw()?;
        Some((
            middle - end(1.0 - tail, tail)?,
            middle + end(tail, 1.0 - tail)?,
        ))
    }

    /// Variance between the groups, never under 0; `None` of a single group.
    #[must_use]
    pub fn between_variance(&self) -> Option<f64> {
        self.between_variance_raw().map(|v| v.max(0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_worked_by_hand() {
        // Means 2, 5; squares within 2 + 2 over 4; between 6 × 1.5² over 1; n₀ = 3.
        let found = OneWay::new(&[vec![1.0, 2.0, 3.0], vec![4.0, 5.0, 6.0]]).unwrap();
        assert_eq!((found.within_dof, found.between_dof), (4, 1));
        assert!((found.within - 1.0).abs() < 1e-15);
        assert!((found.f().unwrap() - 13.5).abs() < 1e-12);
        assert!((found.between_variance().unwrap() - 12.5 / 3.0).abs() < 1e-12);
    }

    #[test]
    fn groups_of_unlike_size_count_by_their_figures() {
        // N = 6, Σ nᵢ² = 20, k = 2: n₀ = 6 − 20/6.
        let found = OneWay::new(&[vec![0.0, 1.0], vec![4.0, 5.0, 6.0, 5.0]]).unwrap();
        assert!((found.group_size - (6.0 - 20.0 / 6.0)).abs() < 1e-12);
    }

    #[test]
    fn limits_hold_a_known_variance_as_often_as_they_promise() {
        use rand::{RngExt, SeedableRng};
        use rand_distr::StandardNormal;
        // The lower limit is 0 exactly where the groups' F is its own upper point.
        let mut found = OneWay::new(&[vec![1.0, 2.0, 3.0], vec![4.0, 5.0, 6.0]]).unwrap();
        let upper = FisherSnedecor::new(1.0, 4.0).unwrap().inverse_cdf(0.975);
        found.between = upper * found.within;
        assert!(found.between_limits(0.95).unwrap().0.abs() < 1e-6);
        let mut rng = rand_pcg::Pcg64::seed_from_u64(11);
        for between in [0.0_f64, 0.1, 1.0, 10.0] {
            let trials = 400;
            let mut held = 0;
            for _ in 0..trials {
                let groups: Vec<Vec<f64>> = (0..16)
                    .map(|_| {
                        let group = between.sqrt() * rng.sample::<f64, _>(StandardNormal);
                        (0..16)
                            .map(|_| group + rng.sample::<f64, _>(StandardNormal))
                            .collect()
                    })
                    .collect();
                let (low, high) = OneWay::new(&groups).unwrap().between_limits(0.95).unwrap();
                held += usize::from(low <= between && between <= high);
            }
            // 95 % of 400 less and more four standard errors.
            assert!((362..=398).contains(&held), "{between}: {held}");
        }
    }

    #[test]
    fn groups_that_differ_less_than_they_scatter_have_no_variance_between() {
        let found = OneWay::new(&[vec![0.0, 10.0], vec![1.0, 9.0]]).unwrap();
        assert!(found.between_variance_raw().unwrap() < 0.0);
        assert_eq!(found.between_variance(), Some(0.0));
    }

    #[test]
    fn one_group_tells_only_of_itself_and_single_figures_of_nothing() {
        let found = OneWay::new(&[vec![1.0, 2.0, 3.0]]).unwrap();
        assert!((found.within - 1.0).abs() < 1e-15);
        assert_eq!((found.f(), found.between_variance()), (None, None));
        assert_eq!(OneWay::new(&[vec![1.0], vec![2.0]]), None);
        assert_eq!(OneWay::new(&[vec![1.0, 2.0], vec![]]), None);
    }
}
