//! The statistics drawn together for a quick search: of four directions their mean and two differences at right angles; of
//! amplitudes' amplitudes also how much more they vary along than across.

use super::statistic::{COUNT, Drawn, KINDS, Kind};
use crate::ops::steer::DIRECTIONS;

/// Figures of a summary.
pub const SUMMARY: usize = {
    let (mut sum, mut i) = (0, 0);
    while i < KINDS.len() {
        sum += KINDS[i].count / KINDS[i].drawn.size() * KINDS[i].drawn.left();
        i += 1;
    }
    sum
};

/// The summary of statistics given about the middle of their kinds.
pub(super) fn summary(mean: &[f64; COUNT]) -> [f64; SUMMARY] {
    let mut out = [0.0; SUMMARY];
    let mut places = out.iter_mut();
    let mut rest: &[f64] = mean;
    let mut put = |values: &[f64], kind: &Kind| {
        for value in values {
            if let Some(place) = places.next() {
                *place = value / f64::from(kind.usual);
            }
        }
    };
    for kind in &KINDS {
        let (own, after) = rest.split_at(kind.count);
        rest = after;
        for few in own.chunks(kind.drawn.size()) {
            match kind.drawn {
                Drawn::Alone => put(few, kind),
                Drawn::Directions => put(&directions(|d| few[d]), kind),
                Drawn::DirectionsBothWays => {
                    put(&directions(|d| (few[2 * d] + few[2 * d + 1]) / 2.0), kind);
                    let more_along = (0..DIRECTIONS).map(|d| few[2 * d] - few[2 * d + 1]);
                    put(&[more_along.sum::<f64>() / DIRECTIONS as f64], kind);
                }
            }
        }
    }
    out
}

fn directions(of: impl Fn(usize) -> f64) -> [f64; 3] {
    let [a, b, c, d] = [0, 1, 2, 3].map(of);
    [(a + b + c + d) / 4.0, (a - c) / 2.0, (b - d) / 2.0]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_directions_make_a_mean_and_two_differences() {
        assert_eq!(directions(|_| 2.0).to_vec(), vec![2.0, 0.0, 0.0]);
        assert_eq!(
            directions(|d| [4.0, 0.0, 2.0, 6.0][d]).to_vec(),
            vec![3.0, 1.0, -3.0]
        );
    }

    #[test]
    fn each_statistic_counts_by_how_far_it_usually_differs() {
        assert_eq!(summary(&[0.0; COUNT]).to_vec(), vec![0.0; SUMMARY]);
        let mut mean = [0.0; COUNT];
        mean[0] = 0.14;
        let found = summary(&mean);
        assert!((found[0] - 2.0).abs() < 1e-6, "{}", found[0]);
        assert!(found[1..].iter().all(|v| v.abs() < 1e-12));
        // The last kind closes the last figure.
        let mut last = [0.0; COUNT];
        last[COUNT - 1] = 1.0;
        assert!(summary(&last)[SUMMARY - 1] > 0.0);
    }
}
