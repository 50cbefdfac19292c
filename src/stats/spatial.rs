//! Points in a rectangle: how far each lies from its nearest neighbour, and whether they clump, scatter or keep apart.
//!
//! Clark & Evans (1954): R is the mean nearest-neighbour distance over that of points scattered at random, 1/(2√λ) for λ
//! points a unit of area: 1 random, below 1 clumped, above 1 spaced out, at most 2.149 (a hexagonal lattice). Points near
//! the edge may have their nearest neighbour beyond it, so the mean is too long for that; Donnelly (1978) gives the
//! mean and its standard error for random points in a rectangle of area A and perimeter P:
//!
//! mean = √(A/n)/2 + (0.0514 + 0.0412/√n) P/n,  variance = 0.0703 A/n² + 0.037 P √(A/n⁵).
//!
//! His fit is meant for seven points or more in a rectangle that is no thin strip. Things that cannot overlap keep apart
//! by that alone.
//!
//! Sources: P. J. Clark & F. C. Evans, Ecology 35 (1954) 445–453; K. P. Donnelly, Simulations to determine the variance
//! and edge effect of total nearest-neighbour distance, in I. Hodder (ed.), Simulation Studies in Archaeology (1978).

use rayon::prelude::*;

/// How evenly points lie; distances in the unit of their coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClarkEvans {
    /// R against Donnelly's expectation: 1 random, below clumped, above spaced out.
    pub ratio: f64,
    /// R with nothing done about the edges.
    pub naive: f64,
    /// Mean distance to the nearest neighbour.
    pub mean_distance: f64,
    /// What it would be of as many random points in the same rectangle (Donnelly 1978).
    pub expected: f64,
    /// Standard error of the mean distance of as many random points (Donnelly 1978).
    pub standard_error: f64,
}

/// R of points in a rectangle from (0, 0) to (`width`, `height`); `None` for fewer than two points or no area.
#[must_use]
pub fn clark_evans(points: &[[f64; 2]], width: f64, height: f64) -> Option<ClarkEvans> {
    let (area, perimeter) = (width * height, 2.0 * (width + height));
    if points.len() < 2 || !area.is_normal() {
        return None;
    }
    let n = points.len() as f64;
    let mean_distance = nearest_distances(points, width, height).iter().sum::<f64>() / n;
    let boundless = 0.5 * (area / n).sqrt();
    let expected = expected_distance(n, width, height);
    let variance = 0.0703 * area / (n * n) + 0.037 * perimeter * (area / n.powi(5)).sqrt();
    Some(ClarkEvans {
        ratio: mean_distance / expected,
        naive: mean_distance / boundless,
        mean_distance,
        expected,
        standard_error: variance.sqrt(),
    })
}

/// Mean distance to the nearest neighbour of `n` random points in a rectangle (Donnelly 1978).
#[must_use]
pub fn expected_distance(n: f64, width: f64, height: f64) -> f64 {
    let perimeter = 2.0 * (width + height);
    0.5 * (width * height / n).sqrt() + (0.0514 + 0.0412 / n.sqrt()) * perimeter / n
}

/// Distance of each point to the nearest other one, exactly; nothing for fewer than two points.
///
/// The rectangle from (0, 0) to (`width`, `height`) says only how the points are sorted into cells: a point outside it
/// is found too. The work grows as the number of points unless most of them share a cell.
#[must_use]
pub fn nearest_distances(points: &[[f64; 2]], width: f64, height: f64) -> Vec<f64> {
    if points.len() < 2 {
        return Vec::new();
    }
    let cells = Cells::over(points, width, height);
    (0..points.len())
        .into_par_iter()
        .map(|i| cells.nearest(i))
        .collect()
}

/// Points an average cell holds.
const POINTS_A_CELL: f64 = 2.0;

/// Points sorted into square cells, row by row.
struct Cells<'a> {
    points: &'a [[f64; 2]],
    side: f64,
    rows: usize,
    cols: usize,
    /// Where each cell begins in `members`, and the end.
    starts: Vec<usize>,
    members: Vec<usize>,
}

impl<'a> Cells<'a> {
    fn over(points: &'a [[f64; 2]], width: f64, height: f64) -> Self {
        let n = points.len();
        // A rectangle thinner than a row of one point a cell is one row.
        let fair = (POINTS_A_CELL * width * height / n as f64).sqrt();
        let side = fair.max(width.max(height) / n as f64);
        let along = |length: f64| (length / side) as usize + 1;
        let (rows, cols) = (along(height), along(width));
        let mut cells = Cells {
            points,
            side,
            rows,
            cols,
            starts: vec![0; rows * cols + 1],
            members: vec![0; n],
        };
        let homes: Vec<usize> = points.iter().map(|p| cells.index(cells.home(p))).collect();
        homes.iter().for_each(|home| cells.starts[home + 1] += 1);
        for i in 0..rows * cols {
            cells.starts[i + 1] += cells.starts[i];
        }
        let mut next = cells.starts.clone();
        for (i, home) in homes.into_iter().enumerate() {
            cells.members[next[home]] = i;
            next[home] += 1;
        }
        cells
    }

    /// Row and column of a point's cell; of the nearest cell for a point outside.
    fn home(&self, [x, y]: &[f64; 2]) -> (usize, usize) {
        let along = |at: f64, cells: usize| ((at / self.side) as usize).min(cells - 1);
        (along(*y, self.rows), along(*x, self.cols))
    }

    fn index(&self, (row, col): (usize, usize)) -> usize {
        row * self.cols + col
    }

    /// Distance from point `i` to the nearest other: the cells about it are searched, twice as far each time, until what
    /// was found is nearer than anything beyond them can be.
    fn nearest(&self, i: usize) -> f64 {
        let here = self.points[i];
        let (row, col) = self.home(&here);
        let squared = |j: &usize| {
            let [x, y] = self.points[*j];
            (x - here[0]).powi(2) + (y - here[1]).powi(2)
        };
        let mut reach = 1;
        loop {
            let first = col.saturating_sub(reach);
            let last = (col + reach).min(self.cols - 1);
            let best = (row.saturating_sub(reach)..=(row + reach).min(self.rows - 1))
                .flat_map(|r| {
                    let (from, to) = (self.index((r, first)), self.index((r, last)) + 1);
                    &self.members[self.starts[from]..self.starts[to]]
                })
                .filter(|j| **j != i)
                .map(squared)
                .fold(f64::INFINITY, f64::min)
                .sqrt();
            if best <= reach as f64 * self.side || reach >= self.rows.max(self.cols) {
                return best;
            }
            reach *= 2;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};

    fn random(n: usize, width: f64, height: f64, seed: u64) -> Vec<[f64; 2]> {
        let mut rng = rand_pcg::Pcg64::seed_from_u64(seed);
        (0..n)
            .map(|_| [rng.random::<f64>() * width, rng.random::<f64>() * height])
            .collect()
    }

    fn by_all_pairs(points: &[[f64; 2]]) -> Vec<f64> {
        let to =
            |a: &[f64; 2], b: &[f64; 2]| ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2)).sqrt();
        let nearest = |i: usize| {
            let others = (0..points.len()).filter(|j| *j != i);
            others
                .map(|j| to(&points[i], &points[j]))
                .fold(f64::INFINITY, f64::min)
        };
        (0..points.len()).map(nearest).collect()
    }

    #[test]
    fn distances_are_those_of_all_pairs() {
        let even = random(500, 70.0, 30.0, 1);
        let clumped: Vec<[f64; 2]> = even.iter().map(|[x, y]| [x * 0.01, y * 0.02]).collect();
        let strip: Vec<[f64; 2]> = even.iter().map(|[x, _]| [*x, 0.0]).collect();
        let outside: Vec<[f64; 2]> = even.iter().map(|[x, y]| [x - 35.0, y + 15.0]).collect();
        let same = vec![[3.0, 4.0]; 20];
        let pair = vec![[0.0, 0.0], [70.0, 30.0]];
        for points in [even, clumped, strip, outside, same, pair] {
            assert_eq!(
                nearest_distances(&points, 70.0, 30.0),
                by_all_pairs(&points)
            );
        }
        let line = random(50, 70.0, 0.0, 2);
        assert_eq!(nearest_distances(&line, 70.0, 0.0), by_all_pairs(&line));
    }

    #[test]
    fn random_points_have_donnellys_mean_and_spread() {
        let trials = 400;
        let scores: Vec<f64> = (0..trials)
            .map(|seed| {
                let c = clark_evans(&random(100, 300.0, 150.0, seed), 300.0, 150.0).unwrap();
                (c.mean_distance - c.expected) / c.standard_error
            })
            .collect();
        let mean = scores.iter().sum::<f64>() / trials as f64;
        let square = scores.iter().map(|z| z * z).sum::<f64>() / trials as f64;
        // Four standard errors of the mean of 400 normal scores, and of that of their squares.
        assert!(mean.abs() < 0.2, "{mean}");
        assert!((square - 1.0).abs() < 0.29, "{square}");
    }

    #[test]
    fn one_point_has_no_neighbour() {
        assert!(clark_evans(&[[1.0, 1.0]], 2.0, 2.0).is_none());
        assert!(clark_evans(&[[1.0, 0.0], [2.0, 0.0]], 3.0, 0.0).is_none());
        assert!(nearest_distances(&[], 1.0, 1.0).is_empty());
    }
}
