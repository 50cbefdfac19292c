//! One-way analysis of variance with random effects: how much of the scatter lies within groups, how much between them.
//!
//! y = m + group + error; mean squares MS_b = Σ nᵢ(mᵢ − m)²/(k − 1) and MS_w = Σ(y − mᵢ)²/(N − k); the variance within is
//! MS_w and that between (MS_b − MS_w)/n₀, with n₀ = (N − Σ nᵢ²/N)/(k − 1) for groups of unlike size (Searle, Casella &
//! McCulloch 1992, "Variance components", ch. 3). All figures are first centred on their mean, for squares of large
//! figures would swallow the small differences.

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
    pub fn of(groups: &[Vec<f64>]) -> Option<Self> {
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
        let found = OneWay::of(&[vec![1.0, 2.0, 3.0], vec![4.0, 5.0, 6.0]]).unwrap();
        assert_eq!((found.within_dof, found.between_dof), (4, 1));
        assert!((found.within - 1.0).abs() < 1e-15);
        assert!((found.f().unwrap() - 13.5).abs() < 1e-12);
        assert!((found.between_variance().unwrap() - 12.5 / 3.0).abs() < 1e-12);
    }

    #[test]
    fn groups_of_unlike_size_count_by_their_figures() {
        // N = 6, Σ nᵢ² = 20, k = 2: n₀ = 6 − 20/6.
        let found = OneWay::of(&[vec![0.0, 1.0], vec![4.0, 5.0, 6.0, 5.0]]).unwrap();
        assert!((found.group_size - (6.0 - 20.0 / 6.0)).abs() < 1e-12);
    }

    #[test]
    fn groups_that_differ_less_than_they_scatter_have_no_variance_between() {
        let found = OneWay::of(&[vec![0.0, 10.0], vec![1.0, 9.0]]).unwrap();
        assert!(found.between_variance_raw().unwrap() < 0.0);
        assert_eq!(found.between_variance(), Some(0.0));
    }

    #[test]
    fn one_group_tells_only_of_itself_and_single_figures_of_nothing() {
        let found = OneWay::of(&[vec![1.0, 2.0, 3.0]]).unwrap();
        assert!((found.within - 1.0).abs() < 1e-15);
        assert_eq!((found.f(), found.between_variance()), (None, None));
        assert_eq!(OneWay::of(&[vec![1.0], vec![2.0]]), None);
        assert_eq!(OneWay::of(&[vec![1.0, 2.0], vec![]]), None);
    }
}
