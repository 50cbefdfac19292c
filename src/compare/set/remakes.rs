//! The fewest panels whose remaking makes a set agree.
//!
//! Panels that must not hang together are joined by a line; what has to go is the smallest set of panels that touches every line
//! (a minimum vertex cover), found exactly by branching on the panel with most lines: either it goes, or all it is joined
//! with do. Of covers of the same size the weightiest goes first. Where a set is so
//! much at odds that this takes too long, the best cover found so far is given.

/// Branches looked at before the best so far is taken: far more than 30 panels at odds all over need.
const MOST_BRANCHES: usize = 200_000;

/// Panels to remake, ascending. `unlike` says which may not hang together, `must` which go in any case, `weights` how far each
/// stands apart.
pub(super) fn fewest(unlike: &[Vec<bool>], must: &[bool], weights: &[f64]) -> Vec<usize> {
    let mut search = Search {
        unlike,
        weights,
        best: (0..must.len()).collect(),
        best_weight: f64::NEG_INFINITY,
        branches: 0,
    };
    search.branch(must.to_vec());
    search.best.sort_unstable();
    search.best
}

struct Search<'a> {
    unlike: &'a [Vec<bool>],
    weights: &'a [f64],
    best: Vec<usize>,
    best_weight: f64,
    branches: usize,
}

impl Search<'_> {
    fn branch(&mut self, gone: Vec<bool>) {
        self.branches += 1;
        let out = gone.iter().filter(|g| **g).count();
        if out > self.best.len() || self.branches > MOST_BRANCHES {
            return;
        }
        let lines = |i: usize| -> Vec<usize> {
            let joined = |j: &usize| !gone[*j] && self.unlike[i][*j];
            (0..gone.len()).filter(joined).collect()
        };
        let busiest = (0..gone.len())
            .filter(|i| !gone[*i])
            .map(|i| (i, lines(i)))
            .filter(|(_, joined)| !joined.is_empty())
            .max_by(|a, b| {
                (a.1.len(), self.weights[a.0])
                    .partial_cmp(&(b.1.len(), self.weights[b.0]))
                    .unwrap_or(std::cmp::Ordering::Equal)
            });
        let Some((panel, joined)) = busiest else {
            self.keep(&gone, out);
            return;
        };
        let without = |those: &[usize]| {
            let mut gone = gone.clone();
            those.iter().for_each(|i| gone[*i] = true);
            gone
        };
        self.branch(without(&[panel]));
        self.branch(without(&joined));
    }

    fn keep(&mut self, gone: &[bool], out: usize) {
        let cover: Vec<usize> = (0..gone.len()).filter(|i| gone[*i]).collect();
        let weight: f64 = cover.iter().map(|i| self.weights[*i]).sum();
        if out < self.best.len() || weight > self.best_weight {
            self.best = cover;
            self.best_weight = weight;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(n: usize, joined: &[(usize, usize)]) -> Vec<Vec<bool>> {
        let mut unlike = vec![vec![false; n]; n];
        for (a, b) in joined {
            (unlike[*a][*b], unlike[*b][*a]) = (true, true);
        }
        unlike
    }

    #[test]
    fn one_at_odds_with_all_goes_alone_and_a_set_that_agrees_loses_none() {
        let star = lines(5, &[(2, 0), (2, 1), (2, 3), (2, 4)]);
        assert_eq!(fewest(&star, &[false; 5], &[0.0; 5]), [2]);
        assert!(fewest(&lines(4, &[]), &[false; 4], &[0.0; 4]).is_empty());
    }

    #[test]
    fn a_ring_of_five_needs_three_and_two_alike_pairs_the_odder_half() {
        let ring = lines(5, &[(0, 1), (1, 2), (2, 3), (3, 4), (4, 0)]);
        assert_eq!(fewest(&ring, &[false; 5], &[0.0; 5]).len(), 3);
        let two_camps = lines(4, &[(0, 2), (0, 3), (1, 2), (1, 3)]);
        assert_eq!(
            fewest(&two_camps, &[false; 4], &[0.0, 0.0, 5.0, 5.0]),
            [2, 3]
        );
    }

    #[test]
    fn what_must_go_goes() {
        let line = lines(3, &[(0, 1)]);
        assert_eq!(fewest(&line, &[true, false, false], &[0.0; 3]), [0]);
        assert_eq!(
            fewest(&line, &[false, false, true], &[1.0, 0.0, 0.0]),
            [0, 2]
        );
    }
}
