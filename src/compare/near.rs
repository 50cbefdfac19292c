//! The nearest of many looks, by a scan that gives up on each as soon as it is too far: twenty figures each are read faster than
//! any tree is walked, and the answer is that of the exhaustive search.

use std::num::NonZero;

use rayon::prelude::*;

use crate::fingerprint::look::{DIMENSIONS, Look};

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
