//! Where on a panel silver is gone, and where most of something lies: what the sentences beside charts are made of.
//!
//! The thirds of a panel are set against each other, downwards and across. They differ plainly where the largest and the least
//! lie further apart than chance takes three means in 95 of 100 panels, and than half the starting allowance of the silver
//! left. The doubt is that of the silver left: a third of the area is known √3 times as badly as the whole.

use ndarray::Axis;

use super::say::seen::{Lie, Third};
use crate::fingerprint::metric::COVERAGE;
use crate::frame::Plane;
use crate::measure::Measurements;
use crate::stats::NINETY_FIVE;

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
pub(super) fn lie(gone: &Plane, m: &Measurements) -> Option<Lie> {
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
        return Some(Lie::Evenly(clear.map(|e| e.value > 0.0)));
    }
    Some(Lie::Unevenly { most, least })
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

/// The narrowest run of neighbours that holds two thirds of all amounts: its first and the one after its last. Of runs as
/// narrow the fullest; `None` of nothing.
pub(super) fn most(amounts: &[f64]) -> Option<(usize, usize)> {
    let wanted = amounts.iter().sum::<f64>() * 2.0 / 3.0;
    if wanted <= 0.0 {
        return None;
    }
    // Sums of many floats may miss the whole by a little.
    let enough = |sum: f64| sum >= wanted * (1.0 - 1e-9);
    (1..=amounts.len()).find_map(|width| {
        let runs = amounts.windows(width).enumerate();
        runs.map(|(from, run)| (from, run.iter().sum::<f64>()))
            .filter(|(_, sum)| enough(*sum))
            .reduce(|best, next| if next.1 > best.1 { next } else { best })
            .map(|(from, _)| (from, from + width))
    })
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

    #[test]
    fn most_lies_in_the_narrowest_run() {
        assert_eq!(most(&[0.0, 1.0, 8.0, 1.0]), Some((2, 3)));
        assert_eq!(most(&[3.0, 3.0, 3.0]), Some((0, 2)));
        assert_eq!(most(&[1.0, 3.0, 4.0, 2.0]), Some((1, 3)));
        assert_eq!(most(&[0.0, 0.0]), None);
        assert_eq!(most(&[]), None);
    }
}
