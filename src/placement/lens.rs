//! What the lens bends, told by a panel's own sides: they are straight, and one distortion must straighten all of them.

use rayon::prelude::*;

use super::bow::{bow, traced};
use crate::frame::lens::Lens;
use crate::frame::photo::Photo;
use crate::frame::quad::{Point, Quad};

/// Largest bow that is left alone, share of a side's length.
const MOST_LEFT: f64 = 0.005;

/// A lens is taken out where a side bows by more than this share of its length, and this many pixels: less moves nothing.
const LEAST: f64 = 0.0005;
const LEAST_PX: f64 = 1.0;

/// Fewest sides that tell it, and the largest share of their squared bows that one distortion may leave.
const FEWEST: usize = 3;
const MOST_UNTOLD: f64 = 0.1;

/// Largest distortion that is taken out: beyond it one figure no longer tells a lens.
const WIDEST: f64 = 0.13;

/// Rounds of the Gauss-Newton method, and the step of its derivative.
const ROUNDS: usize = 5;
const STEP: f64 = 1e-4;

/// What the sides of panels say.
pub(super) struct Told {
    /// The lens, where it bends enough to matter and all sides agree on it.
    pub(super) lens: Option<Lens>,
    /// A side bows that no lens straightens.
    pub(super) bowed: bool,
}

/// Reads the sides of panels in a photo.
pub(super) fn told(photo: &Photo, panels: &[Quad]) -> Told {
    let sides: Vec<Vec<Point>> = panels
        .par_iter()
        .flat_map(|panel| {
            (0..4_usize)
                .into_par_iter()
                .filter_map(|side| traced(photo, panel, side))
        })
        .collect();
    let bows = |k1: f64| bows(&sides, Lens::over(photo, k1));
    let most = |bows: &[[f64; 2]]| {
        bows.iter()
            .map(|[bow, length]| bow.abs() / length)
            .fold(0.0, f64::max)
    };
    let seen = bows(0.0);
    let k1 = (0..ROUNDS).fold(0.0, |k1, _| {
        let (here, there) = (bows(k1), bows(k1 + STEP));
        let slope = |i: usize| (there[i][0] - here[i][0]) / STEP;
        let (pull, squares) = (0..here.len()).fold((0.0, 0.0), |(pull, squares), i| {
            (pull + slope(i) * here[i][0], squares + slope(i) * slope(i))
        });
        (k1 - pull / f64::max(squares, 1e-9)).clamp(-2.0 * WIDEST, 2.0 * WIDEST)
    });
    let left = bows(k1);
    let sum = |bows: &[[f64; 2]]| bows.iter().map(|[bow, _]| bow * bow).sum::<f64>();
    let bends = seen
        .iter()
        .any(|[bow, length]| bow.abs() > LEAST_PX.max(LEAST * length));
    let agreed = seen.len() >= FEWEST && sum(&left) < MOST_UNTOLD * sum(&seen);
    if bends && agreed && k1.abs() < WIDEST {
        Told {
            lens: Some(Lens::over(photo, k1)),
            bowed: most(&left) > MOST_LEFT,
        }
    } else {
        Told {
            lens: None,
            bowed: most(&seen) > MOST_LEFT,
        }
    }
}

/// Bow and length of each side, pixels, once a lens is taken out.
fn bows(sides: &[Vec<Point>], lens: Lens) -> Vec<[f64; 2]> {
    let of = |side: &Vec<Point>| {
        let straight: Vec<Point> = side.iter().map(|p| lens.straight(*p)).collect();
        let (first, last) = (straight.first()?, straight.last()?);
        let length = (last[0] - first[0]).hypot(last[1] - first[1]);
        Some([bow(&straight)?, length])
    };
    sides.iter().filter_map(of).collect()
}
