//! How the light of boards bends as a rule: benches drawn by lot, the mean of their coefficients and how these go together.

use std::sync::LazyLock;

use nalgebra::{DMatrix, DVector, Vector3};
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;

use super::powers::{OF_PLANE, POWERS, terms};
use crate::frame::quad::Point;

/// Benches drawn.
const BENCHES: usize = 400;

/// Places along each side of the part of the board in which they are compared, and its half sides in sides of the panel: a photo
/// shows about two.
const PLACES: usize = 9;
const HALF: [f64; 2] = [0.9, 0.68];

/// A plane's own deviation: level free, slopes of a quarter over the panel.
const PLANE: [f64; OF_PLANE] = [10.0, 0.25, 0.25];

/// Mean and covariance of the coefficients, the same in every run.
pub(super) static PRIOR: LazyLock<(DVector<f64>, DMatrix<f64>)> = LazyLock::new(benches);

/// Mean and covariance of the coefficients of benches by lot.
fn benches() -> (DVector<f64>, DMatrix<f64>) {
    let mut rng = Pcg64::seed_from_u64(1);
    let place = |i: usize| {
        let side = |k: usize, half: f64| half * (2.0 * k as f64 / (PLACES - 1) as f64 - 1.0);
        [side(i % PLACES, HALF[0]), side(i / PLACES, HALF[1])]
    };
    let all = PLACES * PLACES;
    let powers = DMatrix::from_fn(all, POWERS.len(), |r, c| terms(place(r))[c]);
    let fit = powers
        .pseudo_inverse(1e-12)
        .unwrap_or_else(|_| DMatrix::zeros(POWERS.len(), all));
    let drawn: Vec<DVector<f64>> = (0..BENCHES)
        .map(|_| {
            let bench = Bench::by_lot(&mut rng);
            &fit * DVector::from_fn(all, |r, _| bench.light(place(r)).ln())
        })
        .collect();
    let n = BENCHES as f64;
    let mean = drawn.iter().sum::<DVector<f64>>() / n;
    let mut spread = drawn
        .iter()
        .map(|d| (d - &mean) * (d - &mean).transpose())
        .sum::<DMatrix<f64>>()
        / n;
    let mut mean = mean;
    for (i, deviation) in PLANE.iter().enumerate() {
        mean[i] = 0.0;
        spread.row_mut(i).fill(0.0);
        spread.column_mut(i).fill(0.0);
        spread[(i, i)] = deviation.powi(2);
    }
    (mean, spread)
}

/// A board lit by two lamps, all lengths in sides of the panel as it is mirrored in it. The figures of the lot are common practice, no
/// source: lamps at 45° (deviation 6°) to either side, or above and below, two to eight sides away.
pub(super) struct Bench {
    /// Where each lamp stands, where it points, and how bright it is.
    lamps: [(Vector3<f64>, Vector3<f64>, f64); 2],
    /// The board's rise to the right and upwards.
    tilt: [f64; 2],
    /// Where the middle of the panel mirrors it.
    middle: Point,
    /// How much the room adds, and how much the lens takes at the corners.
    room: f64,
    corners: f64,
}

impl Bench {
    pub(super) fn by_lot(rng: &mut Pcg64) -> Self {
        let mut by = |deviation: f64| deviation * rng.sample::<f64, _>(StandardNormal);
        let middle = [by(0.16), by(0.16)];
        let tilt = [by(0.15), by(0.15)];
        let turn = by(0.12);
        let lamp = [(); 2].map(|()| {
            let angle = 45_f64.to_radians() + by(0.1);
            let (farther, brighter) = (by(0.06).exp(), by(0.1).exp());
            (angle, farther, brighter, [by(0.2), by(0.2)])
        });
        let mut share = || rng.random::<f64>();
        let far = 2.0 * 4_f64.powf(share());
        let turn = turn
            + if share() < 0.25 {
                std::f64::consts::FRAC_PI_2
            } else {
                0.0
            };
        let (room, corners) = (0.1 * share(), 0.06 * share());
        let stand = |side: f64, (angle, farther, bright, aim): (f64, f64, f64, Point)| {
            let aside = side * angle.sin();
            let stands =
                far * farther * Vector3::new(aside * turn.cos(), aside * turn.sin(), angle.cos());
            let points = (Vector3::new(aim[0], aim[1], 0.0) - stands).normalize();
            (stands, points, bright * far * far)
        };
        Bench {
            lamps: [stand(1.0, lamp[0]), stand(-1.0, lamp[1])],
            tilt,
            middle,
            room,
            corners,
        }
    }

    /// Light of the board at a place of the frame: of flat lamps, by the cosines at both ends over the distance squared.
    pub(super) fn light(&self, [x, y]: Point) -> f64 {
        let [tx, ty] = self.tilt;
        let (bx, by) = (x + self.middle[0], y + self.middle[1]);
        let here = Vector3::new(bx, by, tx * bx + ty * by);
        let facing = Vector3::new(-tx, -ty, 1.0).normalize();
        let lit: f64 = (self.lamps.iter())
            .map(|(stands, points, bright)| {
                let way = stands - here;
                let far = way.norm();
                let falls = (way.dot(&facing) / far).max(0.0) * (-way.dot(points) / far).max(0.0);
                bright * falls / (far * far)
            })
            .sum();
        let reach = HALF[0].powi(2) + HALF[1].powi(2);
        (lit + self.room).max(1e-3) * (1.0 - self.corners * (x * x + y * y) / reach)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_lamps_aside_leave_a_board_dark_in_the_middle_and_darker_above() {
        let (rule, spread) = benches();
        assert!(rule[3] > 0.0 && rule[5] < 0.0, "{rule}");
        assert!((0..POWERS.len()).all(|i| spread[(i, i)] > 0.0));
    }
}
