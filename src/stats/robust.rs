//! Fits that a few odd figures cannot move: weights by distance, and the line through weighted points.

/// Standard deviation of normal figures over their median distance from the median (MAD).
pub const SD_OVER_MAD: f64 = 1.4826;

/// Tukey's biweight (1 − u²)² of a residual u in units of the distance at which a figure stops counting; 0 from there on
/// (Beaton & Tukey 1974, Technometrics 16, 147–185).
#[inline]
#[must_use]
pub fn biweight(u: f64) -> f64 {
    if u.abs() < 1.0 {
        (1.0 - u * u).powi(2)
    } else {
        0.0
    }
}

/// A line y = y₀ + slope · x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// y at x = 0.
    pub at_zero: f64,
    /// Change of y with x.
    pub slope: f64,
}

/// The line through points [x, y, weight] by least squares; `None` where Σw Σwx² − (Σwx)² is not above `least_spread`.
pub fn weighted_line(points: impl Iterator<Item = [f64; 3]>, least_spread: f64) -> Option<Line> {
    let (mut n, mut sx, mut sxx, mut sy, mut sxy) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for [x, y, w] in points {
        n += w;
        sx += w * x;
        sxx += w * x * x;
        sy += w * y;
        sxy += w * x * y;
    }
    let spread = n * sxx - sx * sx;
    if spread <= least_spread {
        return None;
    }
    let slope = (n * sxy - sx * sy) / spread;
    Some(Line {
        at_zero: (sy - slope * sx) / n,
        slope,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_biweight_falls_from_one_to_none() {
        assert!((biweight(0.0) - 1.0).abs() < 1e-15);
        assert!((biweight(-0.5) - 0.5625).abs() < 1e-15);
        assert!([1.0, -3.0].map(biweight).iter().all(|w| *w == 0.0));
    }

    #[test]
    fn a_point_of_no_weight_moves_no_line() {
        let points = [[0.0, 1.0, 1.0], [2.0, 5.0, 3.0], [1.0, 90.0, 0.0]];
        let line = weighted_line(points.into_iter(), 1e-6).unwrap();
        assert!((line.at_zero - 1.0).abs() < 1e-12 && (line.slope - 2.0).abs() < 1e-12);
        assert_eq!(weighted_line(points[..1].iter().copied(), 1e-6), None);
    }
}
