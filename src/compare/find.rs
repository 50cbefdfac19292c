//! The nearest of many looks, by a scan that gives up on each as soon as it is too far: a hundred figures each are read faster than
//! any tree is walked. Of those that it brings the looks themselves are then set apart, and so put in order.

use std::num::NonZero;

use rayon::prelude::*;

use crate::fingerprint::apart::apart;
use crate::fingerprint::look::{DIMENSIONS, Look};
use crate::fingerprint::metric::LOOK;
use crate::measure::Texture;

/// Looks scanned by one thread in one go.
const CHUNK: usize = 8192;

/// One of the nearest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Near {
    /// Number of the finish.
    pub id: i64,
    /// How far, in allowances: the root of the mean squared difference over all coordinates.
    pub distance: f64,
}

/// The `most` nearest, the nearest first; of equally near ones the lower number first.
#[must_use]
pub fn nearest(looks: &[(i64, Look)], wanted: &Look, most: NonZero<usize>) -> Vec<Near> {
    let of_chunk = |chunk: &[(i64, Look)]| {
        let mut best = Best::new(most);
        chunk
            .iter()
            .for_each(|(id, look)| best.offer(*id, look, wanted));
        best.found
    };
    let mut all: Vec<(f32, i64)> = looks.par_chunks(CHUNK).flat_map_iter(of_chunk).collect();
    all.sort_unstable_by(order);
    all.truncate(most.get());
    let distance = |squared: f32| (f64::from(squared) / DIMENSIONS as f64).sqrt();
    all.into_iter()
        .map(|(squared, id)| Near {
            id,
            distance: distance(squared),
        })
        .collect()
}

fn order(a: &(f32, i64), b: &(f32, i64)) -> std::cmp::Ordering {
    a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))
}

/// How many that the scan brings are looked at more closely, beside those that are wanted.
pub const LOOKED_AT: usize = 40;

/// How near a finish is.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub enum HowNear {
    /// By its look: D², and then its distance in allowances of the look, 0 or more.
    Look(f64),
    /// By its figures, where one of the two is too small for more, in allowances.
    Figures(f64),
}

impl HowNear {
    /// The distance of a finish that the scan brought.
    #[must_use]
    pub fn of(near: &Near, panel: &Texture, finish: &Texture) -> Self {
        apart(panel, finish).map_or(HowNear::Figures(near.distance), |a| {
            HowNear::Look(a.squared)
        })
    }

    /// In allowances: up to 1 they are as like as two panels of one finish.
    #[must_use]
    pub fn in_allowances(self) -> f64 {
        match self {
            HowNear::Look(squared) => squared.max(0.0).sqrt() / LOOK.allowance,
            HowNear::Figures(distance) => distance / FIGURES_ALLOWANCE,
        }
    }
}

/// Panels of one painted finish lie so far apart by their figures, at most.
const FIGURES_ALLOWANCE: f64 = 0.6;

/// The nearest so far, sorted.
struct Best {
    most: usize,
    found: Vec<(f32, i64)>,
}

impl Best {
    fn new(most: NonZero<usize>) -> Self {
        Best {
            most: most.get(),
            found: Vec::new(),
        }
    }

    fn offer(&mut self, id: i64, look: &Look, wanted: &Look) {
        let full = self.found.len() == self.most;
        let bound = match self.found.last() {
            Some((furthest, _)) if full => *furthest,
            _ => f32::INFINITY,
        };
        let Some(squared) = look.squared_distance(wanted, bound) else {
            return;
        };
        let offered = (squared, id);
        let place = self
            .found
            .partition_point(|kept| order(kept, &offered).is_lt());
        if place < self.most {
            self.found.insert(place, offered);
            self.found.truncate(self.most);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_many_as_are_wanted_come_nearest_first() {
        let look = |level: f32| Look([level; DIMENSIONS]);
        let all: Vec<(i64, Look)> = [(4, 0.5), (1, 0.1), (9, 0.3), (2, 0.3), (3, 0.0)]
            .map(|(id, level)| (id, look(level)))
            .to_vec();
        let found = |most: usize| -> Vec<i64> {
            let found = nearest(&all, &look(0.0), NonZero::new(most).unwrap());
            assert!(
                found
                    .windows(2)
                    .all(|two| two[0].distance <= two[1].distance)
            );
            found.iter().map(|near| near.id).collect()
        };
        // Of equally near ones the lower number first.
        assert_eq!(found(9), [3, 1, 2, 9, 4]);
        assert_eq!(found(3), [3, 1, 2]);
        assert_eq!(found(1), [3]);
        assert!(nearest(&[], &look(0.0), NonZero::<usize>::MIN).is_empty());
        let itself = nearest(&all[..1], &look(0.5), NonZero::<usize>::MIN);
        assert!(itself[0].distance.abs() < 1e-12);
        let away = nearest(&all[..1], &look(0.0), NonZero::<usize>::MIN);
        assert!(
            (away[0].distance - 0.5).abs() < 1e-6,
            "{}",
            away[0].distance
        );
    }

    #[test]
    fn looks_are_told_by_their_root_and_figures_by_their_own_allowance() {
        for (near, wanted) in [
            (HowNear::Look(0.0), 0.0),
            // By chance nearer than nothing.
            (HowNear::Look(-0.1), 0.0),
            (HowNear::Look(LOOK.allowance.powi(2)), 1.0),
            (HowNear::Look((2.0 * LOOK.allowance).powi(2)), 2.0),
            (HowNear::Figures(0.0), 0.0),
            (HowNear::Figures(0.6), 1.0),
        ] {
            assert!((near.in_allowances() - wanted).abs() < 1e-9, "{near:?}");
        }
    }
}
