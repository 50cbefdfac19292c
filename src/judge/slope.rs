//! A value that changes evenly over the photo.

use nalgebra::{Matrix2, SymmetricEigen, Vector2};

use crate::frame::quad::{Point, Quad};

/// How the distance at which a value is left aside shrinks from round to round, in units of the last one.
const NARROWING: [f64; 6] = [8.0, 4.0, 2.8, 2.0, 1.4, 1.0];

/// Share of the values that must lie along a slope.
const MOST: f64 = 0.6;

/// A value at a place, and how it changes from pixel to pixel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slope {
    middle: Point,
    value: f64,
    /// Change for one pixel right and one pixel down.
    step: Vector2<f64>,
    /// Leaves of a step what lies along the directions in which the places are spread.
    told: Matrix2<f64>,
}

/// Most that the slopes of the quarters may scatter (root mean square), as a share of the whole: it is then at least 2.5
/// times its own standard error, half the scatter of four.
const APART: f64 = 0.8;

impl Slope {
    /// The least-squares slope through values at places; level in directions in which the places lie within `least_px`
    /// (root mean square) of each other.
    pub(super) fn through(values: &[(Point, f64)], least_px: f64) -> Self {
        let n = values.len().max(1) as f64;
        let mean = |of: &dyn Fn(&(Point, f64)) -> f64| values.iter().map(of).sum::<f64>() / n;
        let middle = [mean(&|v| v.0[0]), mean(&|v| v.0[1])];
        let value = mean(&|v| v.1);
        let (mut spread, mut pull) = (Matrix2::zeros(), Vector2::zeros());
        for (at, v) in values {
            let d = Vector2::new(at[0] - middle[0], at[1] - middle[1]);
            spread += d * d.transpose() / n;
            pull += d * (v - value) / n;
        }
        let axes = SymmetricEigen::new(spread);
        let (mut step, mut told) = (Vector2::zeros(), Matrix2::zeros());
        for (axis, variance) in axes.eigenvectors.column_iter().zip(&axes.eigenvalues) {
            if *variance > least_px * least_px {
                step += axis * (axis.dot(&pull) / variance);
                told += axis * axis.transpose();
            }
        }
        Slope {
            middle,
            value,
            step,
            told,
        }
    }

    /// The slope along which most values lie, to within `tolerance`; `None` where no three in five do.
    pub(super) fn of_most(values: &[(Point, f64)], tolerance: f64) -> Option<Self> {
        let mut slope = Slope::through(values, 1.0);
        let mut kept = values.to_vec();
        for wide in NARROWING {
            kept = values
                .iter()
                .copied()
                .filter(|(at, v)| (v - slope.at(*at)).abs() < wide * tolerance)
                .collect();
            slope = Slope::through(&kept, 1.0);
        }
        (!kept.is_empty() && kept.len() as f64 >= MOST * values.len() as f64).then_some(slope)
    }

    /// The slopes of the four quarters of the values, left and right, above and below, scatter about this one by little:
    /// those of light do, those of a chance heap of large clouds do not.
    pub(super) fn is_steady(&self, values: &[(Point, f64)], tolerance: f64) -> bool {
        let quarter = |v: &(Point, f64)| [0, 1].map(|a| v.0[a] < self.middle[a]);
        let apart = [[true, true], [true, false], [false, true], [false, false]].map(|which| {
            let inside: Vec<_> = values
                .iter()
                .copied()
                .filter(|v| quarter(v) == which)
                .collect();
            Slope::of_most(&inside, tolerance)
                .map_or(f64::INFINITY, |part| (part.step - self.step).norm_squared())
        });
        (apart.iter().sum::<f64>() / 4.0).sqrt() <= APART * self.step.norm()
    }

    pub(super) fn at(&self, at: Point) -> f64 {
        self.value + self.rise(at)
    }

    /// Change from the middle of the places to another.
    pub(super) fn rise(&self, at: Point) -> f64 {
        let d = Vector2::new(at[0] - self.middle[0], at[1] - self.middle[1]);
        self.step.dot(&d)
    }

    /// From the lowest to the highest of four corners.
    pub(super) fn across(&self, corners: &Quad) -> f64 {
        let rises = corners.0.map(|c| self.rise(c));
        rises.iter().copied().fold(f64::MIN, f64::max)
            - rises.iter().copied().fold(f64::MAX, f64::min)
    }

    /// What another slope says in the directions of which this one says nothing.
    pub(super) fn untold(&self, other: &Slope) -> Slope {
        Slope {
            step: other.step - self.told * other.step,
            ..*other
        }
    }

    /// What is left when another slope is taken off.
    pub(super) fn less(&self, other: &Slope) -> Slope {
        Slope {
            step: self.step - other.step,
            ..*self
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_places_tell_nothing_across_the_line_between_them() {
        let slope = Slope::through(&[([0.0, 0.0], 1.0), ([10.0, 0.0], 2.0)], 1.0);
        assert!((slope.at([5.0, 99.0]) - 1.5).abs() < 1e-12);
        let plane = Slope::through(
            &[
                ([0.0, 0.0], 0.0),
                ([10.0, 0.0], 3.0),
                ([0.0, 10.0], 5.0),
                ([10.0, 10.0], 8.0),
            ],
            1.0,
        );
        let square = Quad::rectangle(0.0, 0.0, 10.0, 10.0);
        assert!((plane.across(&square) - 8.0).abs() < 1e-9);
        assert!((slope.untold(&plane).across(&square) - 5.0).abs() < 1e-9);
    }

    #[test]
    fn a_third_of_strays_does_not_turn_a_slope_and_a_heap_has_none() {
        let at = |i: usize| [10.0 * (i % 6) as f64, 10.0 * (i / 6) as f64];
        let stray = |i: usize| if (i % 6 + i / 6) % 3 == 0 { -4.0 } else { 0.0 };
        let values: Vec<_> = (0..36)
            .map(|i| (at(i), at(i)[0] / 10.0 + stray(i)))
            .collect();
        let slope = Slope::of_most(&values, 0.5).unwrap();
        assert!((slope.at([50.0, 0.0]) - slope.at([0.0, 0.0]) - 5.0).abs() < 1e-9);
        assert!(slope.is_steady(&values, 0.5));
        let heap: Vec<_> = (0..36).map(|i| (at(i), (i * i % 17) as f64)).collect();
        assert!(Slope::of_most(&heap, 0.5).is_none());
    }
}
