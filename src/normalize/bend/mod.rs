//! How the light of a board bends over a photo, told by offcuts that lie about the panel.
//!
//! Two lamps at 45° leave a board darkest in the middle: a plane through offcuts outside the panel lies up to 7 % above the
//! panel's own light. An offcut tells the light where it lies and how it changes across it, and lamps light a board in few fits:
//! benches drawn by lot (two lamps, some nearer, higher, brighter, worse aimed) say how the light bends as a rule and how surely one
//! thing follows from another. What the offcuts say is put to that (Gaussian conditioning), for lamps as near as that, for ones
//! further away, and for light that does not bend at all, each weighed by how likely it makes what is seen; what is left open is the doubt.

mod offcut;
mod powers;
mod prior;

use nalgebra::{DMatrix, DVector};

use crate::frame::photo::Photo;
use crate::frame::quad::{Point, Quad};
use offcut::{Offcut, SLOPE};
use powers::{OF_PLANE, POWERS, Terms, terms};
use prior::PRIOR;

/// Fewer offcuts than this leave the light a plane.
const ENOUGH: usize = 3;

/// What is left open is so many times what the benches by lot say: real boards, lenses and offcuts do more than those. On path-traced
/// benches the light came out 0.1 to 5 % high where they said 0.6 to 0.9.
const MORE: f64 = 3.0;

/// How far the light bends against the benches by lot, and how likely that is before anything is seen: not at all, for most boards
/// are lit from afar, as of lamps a little further away, and as much.
const BENDS: [(f64, f64); 5] = [(0.0, 4.0), (0.1, 2.0), (0.25, 1.0), (0.5, 1.0), (1.0, 1.0)];

/// Where even the best of these is surprised by so much more than is usual, something else lies on the offcuts' light: the end of the
/// board, a shadow.
const MOST_SURPRISE: f64 = 3.0;

/// Offcuts this far apart, as a logarithm, are not lit by one whole board.
const MOST_APART: f64 = 0.2;

/// The doubt that is left then: half of what a plane is off before a near board.
const UNTOLD: f64 = 0.035;

/// The bend of the light: a factor at each place of the frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Bend {
    coefficients: Terms,
    scale: Scale,
}

/// The way from pixels of the photo to sides of the panel from its middle, or from shares of the frame.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Scale {
    middle: Point,
    side_px: f64,
    frame_px: [f64; 2],
}

impl Scale {
    fn new(photo: &Photo, panel: &Quad) -> Self {
        Scale {
            middle: panel.centre(),
            side_px: panel.area().sqrt(),
            frame_px: [photo.width as f64, photo.height as f64],
        }
    }

    fn of_px(&self, at: Point) -> Point {
        [0, 1].map(|a| (at[a] - self.middle[a]) / self.side_px)
    }

    fn of_share(&self, place: Point) -> Point {
        self.of_px([0, 1].map(|a| place[a] * self.frame_px[a]))
    }
}

impl Bend {
    /// Of the light at a place given as shares of the frame.
    pub(super) fn at(&self, place: Point) -> f64 {
        let terms = terms(self.scale.of_share(place));
        let each = self.coefficients.iter().zip(terms);
        each.map(|(a, b)| a * b).sum::<f64>().exp()
    }
}

/// What offcuts say of how the light bends.
pub(super) struct Told {
    /// `None` of too few offcuts.
    pub(super) bend: Option<Bend>,
    /// Standard deviation of the panel's full silver, as a share.
    pub(super) doubt: f64,
}

/// What offcuts say of the light over a panel.
pub(super) fn told(photo: &Photo, offcuts: &[Quad], panel: &Quad) -> Told {
    let scale = Scale::new(photo, panel);
    let seen: Vec<Offcut> = offcuts
        .iter()
        .filter_map(|quad| Offcut::new(photo, quad, scale))
        .collect();
    let Posterior {
        mut coefficients,
        doubt,
        surprise,
    } = posterior(&seen, &over(panel, scale));
    let levels = || seen.iter().map(|s| s.level);
    let apart = levels().fold(f64::MIN, f64::max) - levels().fold(f64::MAX, f64::min);
    if surprise > MOST_SURPRISE || apart > MOST_APART {
        return Told {
            bend: None,
            doubt: doubt.max(UNTOLD),
        };
    }
    if seen.len() < ENOUGH {
        return Told { bend: None, doubt };
    }
    // A plane is laid through the offcuts' own levels.
    coefficients[..OF_PLANE].fill(0.0);
    Told {
        bend: Some(Bend {
            coefficients,
            scale,
        }),
        doubt: MORE * doubt,
    }
}

/// How the light goes on from one place, a pixel of the photo, whose light changes by so much, as a logarithm, from pixel to pixel to
/// the right and down: 1 there; and its standard deviation over the panel, as a share.
pub(super) fn beyond(photo: &Photo, at: Point, slope_px: [f64; 2], panel: &Quad) -> (Bend, f64) {
    let scale = Scale::new(photo, panel);
    let seen = Offcut {
        at: scale.of_px(at),
        level: 0.0,
        slope: slope_px.map(|s| s * scale.side_px),
        slope_doubt: [SLOPE; 2],
    };
    let Posterior {
        coefficients,
        doubt,
        ..
    } = posterior(&[seen], &over(panel, scale));
    let bend = Bend {
        coefficients,
        scale,
    };
    (bend, doubt)
}

/// The mixture over all ways the light may bend, each by its evidence.
struct Posterior {
    coefficients: Terms,
    /// Standard deviation of the light over the panel.
    doubt: f64,
    /// Squared Mahalanobis distance of what is seen from what the best fit expects, by the number of things seen: 1 is usual.
    surprise: f64,
}

fn posterior(seen: &[Offcut], over: &DVector<f64>) -> Posterior {
    let (rule, spread) = &*PRIOR;
    let rows: Vec<(Terms, f64, f64)> = seen.iter().flat_map(Offcut::rows).collect();
    let looked = DMatrix::from_fn(rows.len(), POWERS.len(), |r, c| rows[r].0[c]);
    let noise = DMatrix::from_diagonal(&DVector::from_fn(rows.len(), |r, _| rows[r].2.powi(2)));
    let values = DVector::from_fn(rows.len(), |r, _| rows[r].1);
    let fits: Vec<Fit> = BENDS
        .iter()
        .filter_map(|(bend, before)| {
            let mut fit = Fit::new(&bent(rule, spread, *bend), &looked, &noise, &values)?;
            fit.log_evidence += before.ln();
            Some(fit)
        })
        .collect();
    let most = fits.iter().map(|w| w.log_evidence).fold(f64::MIN, f64::max);
    let weights: Vec<f64> = (fits.iter())
        .map(|w| (w.log_evidence - most).exp())
        .collect();
    let all: f64 = weights.iter().sum();
    let mean = |of: &dyn Fn(&Fit) -> f64| {
        let each = fits.iter().zip(&weights);
        each.map(|(fit, weight)| weight / all * of(fit))
            .sum::<f64>()
    };
    let level = |fit: &Fit| over.dot(&fit.mean);
    let usual = mean(&level);
    let within = |fit: &Fit| (over.transpose() * &fit.covariance * over)[(0, 0)].max(0.0);
    Posterior {
        coefficients: std::array::from_fn(|i| mean(&|fit| fit.mean[i])),
        doubt: mean(&|fit| within(fit) + (level(fit) - usual).powi(2)).sqrt(),
        surprise: (fits.iter().map(|w| w.surprise)).fold(f64::INFINITY, f64::min),
    }
}

/// Mean and covariance of coefficients that bend by a share of what benches by lot do.
fn bent(rule: &DVector<f64>, spread: &DMatrix<f64>, share: f64) -> (DVector<f64>, DMatrix<f64>) {
    let by = |i: usize| if i < OF_PLANE { 1.0 } else { share };
    (
        DVector::from_fn(rule.len(), |i, _| by(i) * rule[i]),
        DMatrix::from_fn(rule.len(), rule.len(), |r, c| {
            by(r) * by(c) * spread[(r, c)]
        }),
    )
}

/// The Gaussian of the coefficients, conditioned on what is seen, for one way the light may bend.
struct Fit {
    /// Coefficients, and their covariance.
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
    /// Logarithm of how likely it makes what is seen, but for a constant (marginal likelihood).
    log_evidence: f64,
    /// Squared Mahalanobis distance of what is seen from what it expects, by the number of things seen: 1 is usual.
    surprise: f64,
}

impl Fit {
    fn new(
        (mean, covariance): &(DVector<f64>, DMatrix<f64>),
        looked: &DMatrix<f64>,
        noise: &DMatrix<f64>,
        values: &DVector<f64>,
    ) -> Option<Self> {
        let surprise = values - looked * mean;
        let cross = covariance * looked.transpose();
        let scatter = (looked * &cross + noise).cholesky()?;
        let solved = scatter.solve(&surprise);
        let root: f64 = (scatter.l().diagonal().iter()).map(|d| d.ln()).sum();
        Some(Fit {
            mean: mean + &cross * &solved,
            covariance: covariance - &cross * scatter.solve(&cross.transpose()),
            log_evidence: -0.5 * surprise.dot(&solved) - root,
            surprise: surprise.dot(&solved) / values.len().max(1) as f64,
        })
    }
}

/// The terms' mean over the panel.
fn over(panel: &Quad, scale: Scale) -> DVector<f64> {
    const SIDE: usize = 7;
    let mut mean = DVector::zeros(POWERS.len());
    for i in 0..SIDE * SIDE {
        let [u, v] = [i % SIDE, i / SIDE].map(|k| (k as f64 + 0.5) / SIDE as f64);
        mean += DVector::from_row_slice(&terms(scale.of_px(panel.within(u, v))));
    }
    mean / (SIDE * SIDE) as f64
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_pcg::Pcg64;

    use super::prior::Bench;
    use super::*;

    /// Four places about a panel of side 1, and the mean of the terms over it.
    const ABOUT: [Point; 4] = [[0.7, 0.4], [0.7, -0.4], [-0.7, -0.4], [-0.7, 0.1]];

    fn over_the_panel() -> DVector<f64> {
        let scale = Scale {
            middle: [0.0, 0.0],
            side_px: 1.0,
            frame_px: [2.0, 1.5],
        };
        over(&Quad::rectangle(-0.5, -0.5, 1.0, 1.0), scale)
    }

    fn seen(log_light: impl Fn(Point) -> f64) -> Vec<Offcut> {
        const STEP: f64 = 1e-4;
        let slope = |[x, y]: Point| {
            [
                (log_light([x + STEP, y]) - log_light([x - STEP, y])) / (2.0 * STEP),
                (log_light([x, y + STEP]) - log_light([x, y - STEP])) / (2.0 * STEP),
            ]
        };
        let one = |at: Point| Offcut {
            at,
            level: log_light(at),
            slope: slope(at),
            slope_doubt: [SLOPE; 2],
        };
        ABOUT.map(one).into_iter().collect()
    }

    #[test]
    fn a_light_that_slopes_evenly_is_not_bent() {
        let light = |[x, y]: Point| -0.4 + 0.1 * x - 0.05 * y;
        let over = over_the_panel();
        let found = posterior(&seen(light), &over);
        let level = over.dot(&DVector::from_row_slice(&found.coefficients));
        assert!((level + 0.4).abs() < 0.003, "{level}");
    }

    #[test]
    fn benches_not_among_those_drawn_are_told_within_the_doubt() {
        let over = over_the_panel();
        let mut rng = Pcg64::seed_from_u64(7);
        let mut within = 0;
        for _ in 0..40 {
            let bench = Bench::by_lot(&mut rng);
            let light = |at: Point| bench.light(at).ln();
            let found = posterior(&seen(light), &over);
            let level = over.dot(&DVector::from_row_slice(&found.coefficients));
            let mean = (0..49)
                .map(|i| light([i % 7, i / 7].map(|k| (f64::from(k) + 0.5) / 7.0 - 0.5)))
                .sum::<f64>()
                / 49.0;
            within += i32::from((level - mean).abs() < MORE * found.doubt);
        }
        assert!(within >= 38, "{within} of 40");
    }
}
