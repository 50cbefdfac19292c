//! How the light of a board bends over a photo, told by offcuts that lie about the panel.
//!
//! Two lamps at 45° leave a board darkest in the middle: a plane through offcuts outside the panel lies up to 7 % above the
//! panel's own light. An offcut tells the light where it lies and how it changes across it, and lamps light a board in few ways:
//! benches drawn by lot (two lamps, some nearer, higher, brighter, worse aimed) say how the light bends as a rule and how surely one
//! thing follows from another. What the offcuts say is put to that (Gaussian conditioning), for lamps as near as that, for ones
//! further away, and for light that does not bend at all, each as likely as it makes what is seen; what is left open is the doubt.

use std::sync::LazyLock;

use nalgebra::{DMatrix, DVector, Matrix3, Vector3};
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;

use crate::frame::photo::Photo;
use crate::frame::quad::{Point, Quad};
use crate::ops::transfer::LUMINANCE;
use crate::stats::order::median;

/// Powers of x and y, both in sides of the panel from its middle; the first three are level and plane.
const POWERS: [[i32; 2]; 15] = [
    [0, 0],
    [1, 0],
    [0, 1],
    [2, 0],
    [1, 1],
    [0, 2],
    [3, 0],
    [2, 1],
    [1, 2],
    [0, 3],
    [4, 0],
    [3, 1],
    [2, 2],
    [1, 3],
    [0, 4],
];
const OF_PLANE: usize = 3;

/// Fewer offcuts than this leave the light a plane.
const ENOUGH: usize = 3;

/// Benches drawn.
const BENCHES: usize = 400;

/// Places along each side of the part of the board in which they are compared, and its half sides in sides of the panel: a photo
/// shows about two.
const PLACES: usize = 9;
const HALF: [f64; 2] = [0.9, 0.68];

/// Deviation of an offcut's level (one sheet of silver from another, a finger's mark), and of its slope, a side of the panel.
const LEVEL: f64 = 0.004;
const SLOPE: f64 = 0.02;

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

/// A plane's own deviation: level free, slopes of a quarter over the panel.
const PLANE: [f64; OF_PLANE] = [10.0, 0.25, 0.25];

/// Cells along each side of an offcut, the share of its width they take, and pixels looked at along a cell.
const CELLS: usize = 6;
const INNER: f64 = 0.75;
const PX: usize = 8;

/// Cells this far off the offcut's middle light are its edge or dirt, as a logarithm.
const ODD: f64 = 0.05;

type Terms = [f64; POWERS.len()];

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
    fn of(photo: &Photo, panel: &Quad) -> Self {
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
    let scale = Scale::of(photo, panel);
    let seen: Vec<Seen> = offcuts
        .iter()
        .filter_map(|quad| Seen::new(photo, quad, scale))
        .collect();
    let Heard {
        mut coefficients,
        doubt,
        surprise,
    } = heard(&seen, &over(panel, scale));
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
    let scale = Scale::of(photo, panel);
    let seen = Seen {
        at: scale.of_px(at),
        level: 0.0,
        slope: slope_px.map(|s| s * scale.side_px),
        slope_doubt: [SLOPE; 2],
    };
    let Heard {
        coefficients,
        doubt,
        ..
    } = heard(&[seen], &over(panel, scale));
    let bend = Bend {
        coefficients,
        scale,
    };
    (bend, doubt)
}

/// What follows from what is seen.
struct Heard {
    coefficients: Terms,
    /// Standard deviation of the light over the panel.
    doubt: f64,
    /// Square of the surprise of the best way, of one thing heard: 1 is usual.
    surprise: f64,
}

fn heard(seen: &[Seen], over: &DVector<f64>) -> Heard {
    let (rule, spread) = &*BY_LOT;
    let rows: Vec<(Terms, f64, f64)> = seen.iter().flat_map(Seen::rows).collect();
    let looked = DMatrix::from_fn(rows.len(), POWERS.len(), |r, c| rows[r].0[c]);
    let noise = DMatrix::from_diagonal(&DVector::from_fn(rows.len(), |r, _| rows[r].2.powi(2)));
    let values = DVector::from_fn(rows.len(), |r, _| rows[r].1);
    let ways: Vec<Way> = BENDS
        .iter()
        .filter_map(|(bend, before)| {
            let mut way = Way::new(&bent(rule, spread, *bend), &looked, &noise, &values)?;
            way.likely += before.ln();
            Some(way)
        })
        .collect();
    let likeliest = ways.iter().map(|w| w.likely).fold(f64::MIN, f64::max);
    let weights: Vec<f64> = (ways.iter())
        .map(|w| (w.likely - likeliest).exp())
        .collect();
    let all: f64 = weights.iter().sum();
    let mean = |of: &dyn Fn(&Way) -> f64| {
        let each = ways.iter().zip(&weights);
        each.map(|(way, weight)| weight / all * of(way))
            .sum::<f64>()
    };
    let level = |way: &Way| over.dot(&way.found);
    let usual = mean(&level);
    let within = |way: &Way| (over.transpose() * &way.left * over)[(0, 0)].max(0.0);
    Heard {
        coefficients: std::array::from_fn(|i| mean(&|way| way.found[i])),
        doubt: mean(&|way| within(way) + (level(way) - usual).powi(2)).sqrt(),
        surprise: (ways.iter().map(|w| w.surprise)).fold(f64::INFINITY, f64::min),
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

/// What is heard put to one way the light may bend.
struct Way {
    /// Coefficients, and their covariance.
    found: DVector<f64>,
    left: DMatrix<f64>,
    /// Logarithm of how likely it makes what is heard.
    likely: f64,
    /// Square of the surprise, of one thing heard: 1 is usual.
    surprise: f64,
}

impl Way {
    fn new(
        (rule, spread): &(DVector<f64>, DMatrix<f64>),
        looked: &DMatrix<f64>,
        noise: &DMatrix<f64>,
        heard: &DVector<f64>,
    ) -> Option<Self> {
        let surprise = heard - looked * rule;
        let of_heard = spread * looked.transpose();
        let scatter = (looked * &of_heard + noise).cholesky()?;
        let solved = scatter.solve(&surprise);
        let root: f64 = (scatter.l().diagonal().iter()).map(|d| d.ln()).sum();
        Some(Way {
            found: rule + &of_heard * &solved,
            left: spread - &of_heard * scatter.solve(&of_heard.transpose()),
            likely: -0.5 * surprise.dot(&solved) - root,
            surprise: surprise.dot(&solved) / heard.len().max(1) as f64,
        })
    }
}

fn terms([x, y]: Point) -> Terms {
    POWERS.map(|[i, j]| x.powi(i) * y.powi(j))
}

/// How the terms change along x and along y.
fn slopes([x, y]: Point) -> [Terms; 2] {
    let power = |v: f64, k: i32| if k < 0 { 0.0 } else { v.powi(k) };
    [
        POWERS.map(|[i, j]| f64::from(i) * power(x, i - 1) * power(y, j)),
        POWERS.map(|[i, j]| f64::from(j) * power(x, i) * power(y, j - 1)),
    ]
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

/// An offcut: where it lies, in sides of the panel, the logarithm of its light, and how that changes.
struct Seen {
    at: Point,
    level: f64,
    slope: [f64; 2],
    slope_doubt: [f64; 2],
}

impl Seen {
    /// The plane through most of its cells.
    fn new(photo: &Photo, quad: &Quad, scale: Scale) -> Option<Self> {
        let share = |k: usize, of: usize| 0.5 + INNER * ((k as f64 + 0.5) / of as f64 - 0.5);
        let cells: Vec<(Point, f64)> = (0..CELLS * CELLS)
            .map(|cell| {
                let mut light = 0.0;
                let mut at = [0.0; 2];
                for k in 0..PX * PX {
                    let u = share(cell % CELLS * PX + k % PX, CELLS * PX);
                    let v = share(cell / CELLS * PX + k / PX, CELLS * PX);
                    let [x, y] = quad.within(u, v);
                    let row = (y.max(0.0) as usize).min(photo.height - 1);
                    let col = (x.max(0.0) as usize).min(photo.width - 1);
                    let here = photo.light(row, col);
                    light += (0..3)
                        .map(|c| LUMINANCE[c] * f64::from(here[c]))
                        .sum::<f64>();
                    let place = scale.of_px([x, y]);
                    (0..2).for_each(|a| at[a] += place[a] / (PX * PX) as f64);
                }
                (at, (light / (PX * PX) as f64).max(1e-6).ln())
            })
            .collect();
        let n = cells.len() as f64;
        let at = [0, 1].map(|a| cells.iter().map(|c| c.0[a]).sum::<f64>() / n);
        let usual = median(&mut cells.iter().map(|c| c.1).collect::<Vec<_>>())?;
        let mut kept: Vec<_> = (cells.iter())
            .filter(|c| (c.1 - usual).abs() < ODD)
            .collect();
        let mut plane = Vector3::zeros();
        let mut off = 0.0;
        for _ in 0..3 {
            let row = |c: &Point| Vector3::new(1.0, c[0] - at[0], c[1] - at[1]);
            let (mut squares, mut pull) = (Matrix3::zeros(), Vector3::zeros());
            for (place, level) in kept.iter().copied() {
                squares += row(place) * row(place).transpose();
                pull += row(place) * *level;
            }
            plane = squares.try_inverse()? * pull;
            let residual = |c: &(Point, f64)| (c.1 - plane.dot(&row(&c.0))).abs();
            off = 1.4826 * median(&mut kept.iter().map(|c| residual(c)).collect::<Vec<_>>())?;
            kept.retain(|c| residual(c) <= 3.0 * off.max(1e-3));
        }
        let wide = |a: usize| (kept.iter().map(|c| (c.0[a] - at[a]).powi(2)).sum::<f64>()).sqrt();
        Some(Seen {
            at,
            level: plane[0],
            slope: [plane[1], plane[2]],
            slope_doubt: [0, 1].map(|a| (off / wide(a).max(1e-9)).hypot(SLOPE)),
        })
    }

    /// What it says of the coefficients: the terms, what they come to, and how surely.
    fn rows(&self) -> [(Terms, f64, f64); 3] {
        let [across, down] = slopes(self.at);
        [
            (terms(self.at), self.level, LEVEL),
            (across, self.slope[0], self.slope_doubt[0]),
            (down, self.slope[1], self.slope_doubt[1]),
        ]
    }
}

static BY_LOT: LazyLock<(DVector<f64>, DMatrix<f64>)> = LazyLock::new(benches);

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
struct Bench {
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
    fn by_lot(rng: &mut Pcg64) -> Self {
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
    fn light(&self, [x, y]: Point) -> f64 {
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
    fn slopes_are_those_of_the_terms() {
        let at = [0.21, -0.13];
        let step = 1e-6;
        for (axis, slope) in slopes(at).iter().enumerate() {
            let mut further = at;
            further[axis] += step;
            for ((a, b), s) in terms(further).iter().zip(terms(at)).zip(slope) {
                assert!(((a - b) / step - s).abs() < 1e-5);
            }
        }
    }

    #[test]
    fn two_lamps_aside_leave_a_board_dark_in_the_middle_and_darker_above() {
        let (rule, spread) = benches();
        assert!(rule[3] > 0.0 && rule[5] < 0.0, "{rule}");
        assert!((0..POWERS.len()).all(|i| spread[(i, i)] > 0.0));
    }
}
