//! What a curve may be, from a few of its points: a Gaussian process, averaged over how it may bend and how points scatter.
//!
//! Rasmussen & Williams 2006, "Gaussian Processes for Machine Learning": posterior (2.25, 2.26), evidence (2.30), a level and a slope
//! of their own (2.7). Each kind of curve is weighted by its evidence, so that three points do not settle how a curve bends.

use nalgebra::{Cholesky, DMatrix, DVector};

/// Standard deviations of the level and of the slope, where the figures span about one.
const LEVEL: f64 = 2.0;
const SLOPE: f64 = 1.5;

/// How far a curve leaves a straight line, over what length it bends, and how far points scatter about it.
const BENDS: [f64; 3] = [0.05, 0.2, 0.6];
const LENGTHS: [f64; 2] = [0.35, 0.7];
const SCATTERS: [f64; 4] = [0.01, 0.03, 0.08, 0.2];

/// Added to a variance so that rounding does not make it negative.
const ROUNDING: f64 = 1e-8;

/// A point of the curve, both figures scaled to span about one.
#[derive(Debug, Clone, Copy)]
pub struct Known {
    /// Where.
    pub x: f64,
    /// What was found there.
    pub y: f64,
    /// Its own standard error, beside what points scatter by.
    pub error: f64,
}

/// A kind of curve.
#[derive(Debug, Clone, Copy)]
struct Kind {
    bend: f64,
    length: f64,
    scatter: f64,
}

impl Kind {
    fn all() -> impl Iterator<Item = Kind> {
        BENDS.into_iter().flat_map(|bend| {
            LENGTHS.into_iter().flat_map(move |length| {
                SCATTERS.into_iter().map(move |scatter| Kind {
                    bend,
                    length,
                    scatter,
                })
            })
        })
    }

    fn covariance(self, a: f64, b: f64) -> f64 {
        let apart = (a - b) / self.length;
        LEVEL.powi(2) + SLOPE.powi(2) * a * b + self.bend.powi(2) * (-0.5 * apart * apart).exp()
    }
}

/// The curve at places of one's own, for one kind of curve.
#[derive(Debug, Clone)]
pub struct Posterior {
    /// How much this kind counts; all of them add up to 1.
    pub weight: f64,
    /// The mean at each place.
    pub mean: DVector<f64>,
    /// The covariance of the places.
    pub covariance: DMatrix<f64>,
    /// Standard deviation of points about the curve.
    pub scatter: f64,
}

impl Posterior {
    /// The curve at `places` after `known`, for every kind of curve that the points allow. None where none is known.
    #[must_use]
    pub fn of_all_kinds(known: &[Known], places: &[f64]) -> Vec<Posterior> {
        let found = Kind::all().filter_map(|kind| Posterior::of_kind(kind, known, places));
        let mut found: Vec<(f64, Posterior)> = found.collect();
        let most = found
            .iter()
            .map(|(log, _)| *log)
            .fold(f64::NEG_INFINITY, f64::max);
        let total: f64 = found.iter().map(|(log, _)| (log - most).exp()).sum();
        for (log, posterior) in &mut found {
            posterior.weight = (*log - most).exp() / total;
        }
        found.into_iter().map(|(_, posterior)| posterior).collect()
    }

    /// The same of one kind, not yet weighted, with the logarithm of its evidence.
    fn of_kind(kind: Kind, known: &[Known], places: &[f64]) -> Option<(f64, Posterior)> {
        if known.is_empty() {
            return None;
        }
        let (n, m) = (known.len(), places.len());
        let points = DMatrix::from_fn(n, n, |i, j| {
            let own = kind.scatter.powi(2) + known[i].error.powi(2);
            kind.covariance(known[i].x, known[j].x) + if i == j { own } else { 0.0 }
        });
        let root = Cholesky::new(points)?;
        let y = DVector::from_iterator(n, known.iter().map(|point| point.y));
        let weights = root.solve(&y);
        let log_determinant: f64 = root.l().diagonal().iter().map(|d| d.ln()).sum();
        let across = DMatrix::from_fn(n, m, |i, j| kind.covariance(known[i].x, places[j]));
        let told = root.l().solve_lower_triangular(&across)?;
        let before = DMatrix::from_fn(m, m, |i, j| kind.covariance(places[i], places[j]));
        let posterior = Posterior {
            weight: 0.0,
            mean: across.transpose() * &weights,
            covariance: before - told.transpose() * told,
            scatter: kind.scatter,
        };
        Some((-0.5 * y.dot(&weights) - log_determinant, posterior))
    }

    /// A curve that it may be: `normal` gives standard normal figures.
    pub fn drawn(&self, mut normal: impl FnMut() -> f64) -> impl FnMut() -> Option<DVector<f64>> {
        let places = self.mean.len();
        let rounding = DMatrix::identity(places, places) * ROUNDING;
        let root = Cholesky::new(&self.covariance + rounding).map(Cholesky::unpack);
        let mean = self.mean.clone();
        move || {
            let normals = DVector::from_fn(places, |_, _| normal());
            Some(&mean + root.as_ref()? * normals)
        }
    }

    /// How much the variance at a place falls by one more point at another, whose own standard error is `error`.
    #[must_use]
    pub fn fall(&self, at: usize, by: usize, error: f64) -> f64 {
        let point = self.covariance[(by, by)] + self.scatter.powi(2) + error.powi(2);
        self.covariance[(at, by)].powi(2) / point
    }

    /// The covariances after one more point at a place: what was found there does not matter for them.
    pub fn add(&mut self, by: usize, error: f64) {
        let point = self.covariance[(by, by)] + self.scatter.powi(2) + error.powi(2);
        let column = self.covariance.column(by).clone_owned();
        self.covariance -= &column * column.transpose() / point;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(xs: &[f64]) -> Vec<Known> {
        let known = xs.iter().map(|&x| Known {
            x,
            y: 0.8 * x,
            error: 0.0,
        });
        known.collect()
    }

    /// The weighted mean at one place.
    fn mean(posteriors: &[Posterior], place: usize) -> f64 {
        posteriors.iter().map(|p| p.weight * p.mean[place]).sum()
    }

    #[test]
    fn points_on_a_line_foretell_the_line() {
        let found = Posterior::of_all_kinds(&line(&[-0.5, -0.2, 0.1, 0.5]), &[0.0, 0.3]);
        assert!((mean(&found, 0) - 0.0).abs() < 0.01);
        assert!((mean(&found, 1) - 0.24).abs() < 0.01);
        let weights: f64 = found.iter().map(|p| p.weight).sum();
        assert!((weights - 1.0).abs() < 1e-12);
    }

    #[test]
    fn nothing_known_foretells_nothing() {
        assert!(Posterior::of_all_kinds(&[], &[0.0]).is_empty());
    }

    #[test]
    fn one_more_point_leaves_what_reckoning_it_anew_leaves() {
        let places = [-0.4, 0.0, 0.4];
        let mut more = line(&[-0.5, 0.5]);
        let mut before = Posterior::of_all_kinds(&more, &places);
        more.extend(line(&[0.0]));
        let after = Posterior::of_all_kinds(&more, &places);
        for (before, after) in before.iter_mut().zip(&after) {
            let fallen = before.covariance[(2, 2)] - before.fall(2, 1, 0.0);
            before.add(1, 0.0);
            assert!((before.covariance.clone() - &after.covariance).abs().max() < 1e-9);
            assert!((fallen - after.covariance[(2, 2)]).abs() < 1e-9);
        }
    }

    #[test]
    fn a_drawn_curve_passes_close_to_what_is_known() {
        let found = Posterior::of_all_kinds(&line(&[-0.5, 0.0, 0.5]), &[-0.5, 0.5]);
        let best = found
            .iter()
            .max_by(|a, b| a.weight.total_cmp(&b.weight))
            .unwrap();
        let curve = best.drawn(|| 0.0)().unwrap();
        assert!((curve[0] + 0.4).abs() < 0.05 && (curve[1] - 0.4).abs() < 0.05);
    }
}
