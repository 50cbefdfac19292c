//! A smooth curve that never turns back: piecewise cubic through points that rise or fall.
//!
//! Tangents are the weighted harmonic means of the slopes on both sides, and 0 where these differ in sign (Fritsch &
//! Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300-304), which keeps them inside the region of monotone cubics of
//! Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246. Beyond its ends the curve goes straight on.

/// The curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Monotone {
    points: Vec<[f64; 2]>,
    tangents: Vec<f64>,
}

impl Monotone {
    /// The curve through points, x growing from each to the next; `None` for fewer than two, or where x does not grow.
    #[must_use]
    pub fn through(points: &[[f64; 2]]) -> Option<Self> {
        let steps: Vec<f64> = points.windows(2).map(|p| p[1][0] - p[0][0]).collect();
        if steps.is_empty() || !steps.iter().all(|h| *h > 0.0) {
            return None;
        }
        let slopes: Vec<f64> = points
            .windows(2)
            .zip(&steps)
            .map(|(p, h)| (p[1][1] - p[0][1]) / h)
            .collect();
        let last = slopes.len() - 1;
        let tangents = (0..points.len())
            .map(|i| match i {
                0 => slopes[0],
                i if i > last => slopes[last],
                i => between([steps[i - 1], steps[i]], [slopes[i - 1], slopes[i]]),
            })
            .collect();
        Some(Monotone {
            points: points.to_vec(),
            tangents,
        })
    }

    /// Its value.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        let after = self.points.partition_point(|p| p[0] <= x);
        let straight = |i: usize| self.points[i][1] + self.tangents[i] * (x - self.points[i][0]);
        if after == 0 || after == self.points.len() {
            return straight(after.saturating_sub(1));
        }
        let ([x0, y0], [x1, y1]) = (self.points[after - 1], self.points[after]);
        let (h, t) = (x1 - x0, (x - x0) / (x1 - x0));
        let (m0, m1) = (h * self.tangents[after - 1], h * self.tangents[after]);
        let rise = y1 - y0;
        y0 + t * (m0 + t * (3.0 * rise - 2.0 * m0 - m1 + t * (m0 + m1 - 2.0 * rise)))
    }
}

/// The tangent where two pieces of these lengths and slopes meet.
fn between([h0, h1]: [f64; 2], [d0, d1]: [f64; 2]) -> f64 {
    if d0 * d1 <= 0.0 {
        return 0.0;
    }
    let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
    (w0 + w1) / (w0 / d0 + w1 / d1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_line_stays_one_within_and_beyond_its_points() {
        let line = |x: f64| 0.5 - 2.0 * x;
        let curve = Monotone::through(&[0.0, 0.3, 1.0, 4.0].map(|x| [x, line(x)])).unwrap();
        for x in [-1.0, 0.0, 0.1, 0.9, 2.0, 4.0, 7.0] {
            assert!((curve.at(x) - line(x)).abs() < 1e-12);
        }
    }

    #[test]
    fn points_out_of_order_make_no_curve() {
        assert!(Monotone::through(&[[0.0, 0.0]]).is_none());
        assert!(Monotone::through(&[[0.0, 0.0], [0.0, 1.0]]).is_none());
    }
}
