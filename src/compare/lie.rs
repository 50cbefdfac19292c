//! Where on a panel silver is gone.
//!
//! The thirds of a panel are set against each other, downwards and across. They differ plainly where the largest and the least
//! lie further apart than chance takes three means in 95 of 100 panels, and than half the starting allowance of the silver
//! left. The doubt is that of the silver left: a third of the area is known √3 times as badly as the whole.

use ndarray::Axis;
use serde::Serialize;

use super::squares::{Level, gone};
use crate::fingerprint::metric::COVERAGE;
use crate::frame::Plane;
use crate::measure::Measurements;
use crate::stats::NINETY_FIVE;

/// Squares along a panel's long side by which it is told: as few as still show a place.
pub const SQUARES: f64 = 22.0;

/// Where silver is gone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case", tag = "lies")]
pub enum Lie {
    /// Hardly anywhere.
    Hardly,
    /// No third of the panel has plainly lost more than another.
    Evenly {
        /// The edges have lost more than the inside, or less.
        more_along_edges: Option<bool>,
    },
    /// Where most is gone and where least, as far as that is clear.
    Unevenly {
        /// Most.
        most: Spot,
        /// Least.
        least: Spot,
    },
}

/// A place on a panel as it hangs: its third downwards and across, as far as they are known.
pub type Spot = [Option<Third>; 2];

/// One of three thirds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Third {
    /// Top or left.
    First,
    /// Between.
    Middle,
    /// Bottom or right.
    Last,
}

/// How far apart the largest and the least of three equal means lie in 95 of 100 cases, in standard errors of one: the
/// studentised range of three, its error known (tables print 3.31).
const RANGE_OF_THREE: f64 = 3.31;

/// What is under this share of the starting allowance is not seen.
const SEEN: f64 = 0.5;

/// The third between the other two goes with one of them where it is nearer to it than this share of what these differ by.
const ALIKE: f64 = 0.25;

/// Under so much, as a share of full silver, hardly any is gone.
const HARDLY: f64 = 0.01;

/// Where silver is gone; `gone` in squares. `None` where how sure its mean is is not known.
#[must_use]
pub fn lie(gone: &Plane, m: &Measurements) -> Option<Lie> {
    let coverage = m.coverage.ok()?;
    if gone.mean().is_none_or(|gone| f64::from(gone) < HARDLY) {
        return Some(Lie::Hardly);
    }
    let seen = SEEN * COVERAGE.allowance;
    let error_of_third = (coverage.high - coverage.low) / 2.0 / NINETY_FIVE * 3_f64.sqrt();
    let apart = seen.max(RANGE_OF_THREE * error_of_third);
    let [(low, high), (left, right)] =
        [0, 1].map(|axis| thirds(gone, Axis(axis)).map_or((None, None), |t| ends(t, apart)));
    let (most, least) = ([low, left], [high, right]);
    if most == [None; 2] && least == [None; 2] {
        let edges = m.edge_loss.ok().filter(|e| e.value.abs() >= seen);
        let clear = edges.filter(|e| e.low > 0.0 || e.high < 0.0);
        return Some(Lie::Evenly {
            more_along_edges: clear.map(|e| e.value > 0.0),
        });
    }
    Some(Lie::Unevenly { most, least })
}

/// The same of a silver level as a whole.
#[must_use]
pub fn of_silver(silver: Level<'_>, m: &Measurements) -> Option<Lie> {
    let (plane, px_per_mm) = silver;
    let long = plane.nrows().max(plane.ncols());
    lie(&gone(silver, long as f64 / px_per_mm / SQUARES), m)
}

/// Means of the three thirds along an axis; `None` of fewer than three squares.
fn thirds(gone: &Plane, axis: Axis) -> Option<[f64; 3]> {
    let n = gone.len_of(axis);
    let (mut sums, mut counts) = ([0.0; 3], [0.0; 3]);
    for (i, lane) in gone.axis_iter(axis).enumerate() {
        let third = (2 * i + 1) * 3 / (2 * n);
        sums[third] += f64::from(lane.mean()?);
        counts[third] += 1.0;
    }
    (n >= 3).then(|| [0, 1, 2].map(|i| sums[i] / counts[i]))
}

/// The third with most and the one with least, each where it is plainly so and no other is like it.
fn ends(thirds: [f64; 3], apart: f64) -> (Option<Third>, Option<Third>) {
    let mut order = [Third::First, Third::Middle, Third::Last]
        .into_iter()
        .zip(thirds)
        .collect::<Vec<_>>();
    order.sort_by(|a, b| a.1.total_cmp(&b.1));
    let [least, between, most] = order.as_slice() else {
        return (None, None);
    };
    let spread = most.1 - least.1;
    if spread < apart {
        return (None, None);
    }
    let alone = |step: f64| step >= ALIKE * spread;
    (
        alone(most.1 - between.1).then_some(most.0),
        alone(between.1 - least.1).then_some(least.0),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirds_are_named_where_they_differ_plainly() {
        use Third::{First, Last, Middle};
        for (thirds, wanted) in [
            ([0.20, 0.21, 0.22], (None, None)),
            ([0.10, 0.20, 0.30], (Some(Last), Some(First))),
            ([0.10, 0.11, 0.30], (Some(Last), None)),
            ([0.30, 0.29, 0.10], (None, Some(Last))),
            ([0.30, 0.10, 0.30], (None, Some(Middle))),
        ] {
            assert_eq!(ends(thirds, 0.05), wanted, "{thirds:?}");
        }
    }

    #[test]
    fn thirds_are_means_of_their_squares() {
        let gone = Plane::from_shape_fn((2, 7), |(_, c)| if c < 2 { 0.5 } else { 0.1 });
        let across = thirds(&gone, Axis(1)).unwrap();
        for (found, wanted) in across.iter().zip([0.5, 0.1, 0.1]) {
            assert!((found - wanted).abs() < 1e-6, "{across:?}");
        }
        assert!(thirds(&gone, Axis(0)).is_none());
    }
}
