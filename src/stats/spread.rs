//! The middle and the spread of a handful of figures, safe where large figures differ little.
//!
//! Two passes, each corrected by what rounding left over: mean = c + Σ(x − c)/n about a first mean c, and
//! Σ(x − mean)² − (Σ(x − mean))²/n (Chan, Golub & LeVeque 1983, "Algorithms for computing the sample variance").

/// How many figures there are, where their middle is, and how far they lie about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// How many.
    pub count: usize,
    /// Arithmetic mean.
    pub mean: f64,
    /// Sum of the squared differences from the mean.
    pub squares: f64,
}

impl Spread {
    /// `None` of nothing.
    #[must_use]
    pub fn of(values: &[f64]) -> Option<Self> {
        if values.is_empty() {
            return None;
        }
        let n = values.len() as f64;
        let first = values.iter().sum::<f64>() / n;
        let mean = first + values.iter().map(|v| v - first).sum::<f64>() / n;
        let left = values.iter().map(|v| v - mean);
        let squares = left.clone().map(|d| d * d).sum::<f64>() - left.sum::<f64>().powi(2) / n;
        Some(Spread {
            count: values.len(),
            mean,
            squares: squares.max(0.0),
        })
    }

    /// Sample standard deviation, √(squares/(n − 1)); `None` of fewer than two figures.
    #[must_use]
    pub fn sd(&self) -> Option<f64> {
        (self.count > 1).then(|| (self.squares / (self.count - 1) as f64).sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shift_moves_the_mean_and_nothing_else() {
        let small = Spread::of(&[1.0, 2.0, 4.0]).unwrap();
        assert!((small.mean - 7.0 / 3.0).abs() < 1e-15);
        // Squares 14/3 over n − 1 = 2.
        assert!((small.sd().unwrap() - (7.0_f64 / 3.0).sqrt()).abs() < 1e-15);
        let far = Spread::of(&[1e9 + 1.0, 1e9 + 2.0, 1e9 + 4.0]).unwrap();
        assert!((far.sd().unwrap() - small.sd().unwrap()).abs() < 1e-9);
    }

    #[test]
    fn one_figure_has_no_spread_and_none_has_no_middle() {
        assert_eq!(Spread::of(&[3.0]).unwrap().sd(), None);
        assert_eq!(Spread::of(&[]), None);
    }
}
