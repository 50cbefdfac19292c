//! Counts: the limits of a Poisson count, and the weight of what a frame shows whole.

use statrs::distribution::{ContinuousCDF, Gamma};

/// Exact two-sided limits of the mean of a Poisson count, at a confidence such as 0.95 (Garwood, Biometrika 28 (1936)
/// 437–442). None counted still leaves room for up to 3.689 at 0.95.
///
/// For counts of things that lie at random; clumped ones vary more.
#[must_use]
pub fn poisson_limits(count: usize, confidence: f64) -> (f64, f64) {
    let tail = (1.0 - confidence) / 2.0;
    // The mean of a count is gamma distributed, a chi-squared of twice the degrees over two.
    let limit = |events: usize, below: f64| {
        Gamma::new(events as f64, 1.0).map_or(0.0, |d| d.inverse_cdf(below))
    };
    (limit(count, tail), limit(count + 1, 1.0 - tail))
}

/// What a thing counts for that lies uncut in a frame: one over the chance that a box as large as its own, dropped at
/// random, lies in the frame whole, H·W / ((H−h)(W−w)); infinite where it spans the frame
/// (Miles 1974, Lantuéjoul 1980). Rows and columns, pixels.
#[must_use]
pub fn uncut_weight(frame: (usize, usize), span: (usize, usize)) -> f64 {
    let chance = |side: usize, span: usize| 1.0 - span as f64 / side as f64;
    1.0 / (chance(frame.0, span.0) * chance(frame.1, span.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_hold_the_promised_share_of_counts() {
        // The chance of at most, and of at least, the count at its own limits is 2.5 % each: for 0, e^−3.689.
        let (low, high) = poisson_limits(0, 0.95);
        assert!(low.abs() < 1e-12 && ((-high).exp() - 0.025).abs() < 1e-9);
        // For 1: at least one, 1 − e^−low; at most one, (1 + high) e^−high.
        let (low, high) = poisson_limits(1, 0.95);
        assert!((1.0 - (-low).exp() - 0.025).abs() < 1e-9);
        assert!(((1.0 + high) * (-high).exp() - 0.025).abs() < 1e-9);
    }

    #[test]
    fn a_thing_half_as_wide_as_the_frame_counts_double() {
        assert!((uncut_weight((10, 20), (0, 10)) - 2.0).abs() < 1e-12);
        assert!(uncut_weight((10, 20), (10, 3)).is_infinite());
    }
}
