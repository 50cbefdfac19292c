//! Edge points of the surround, row by row.

use super::thumbnail::Surround;
use crate::frame::Plane;
use crate::stats::parabola::vertex;

/// Steepest border looked at, pixels aside for a pixel along: a turn of 15° in a tilt of 15° is 0.36.
pub(super) const STEEPEST: f64 = 0.5;

/// The slope that a gradient says may differ from the border's slope by this.
pub(super) const ASTRAY: f64 = 0.12;

/// Distance at which the two sides of a border are looked at, pixels.
const ASIDE: usize = 3;

/// A point on a border: how far along and aside, and the slope its gradient says.
pub(super) struct Edge {
    pub(super) along: f64,
    pub(super) aside: f64,
    pub(super) slope: f64,
}

/// Points where the level changes most from left to right, with the surround on one side only.
pub(super) fn edges(level: &Plane, calm: &Plane, surround: &Surround) -> Vec<Edge> {
    let (rows, cols) = level.dim();
    let half = rows as f64 / 2.0;
    let mut edges = Vec::new();
    let (level, calm) = (
        level.as_slice().unwrap_or_default(),
        calm.as_slice().unwrap_or_default(),
    );
    let mut rise = vec![0.0_f32; cols];
    for r in 2..rows.saturating_sub(2) {
        let line = |r: usize| &level[r * cols..(r + 1) * cols];
        let (above, here, below) = (line(r - 1), line(r), line(r + 1));
        for c in 1..cols - 1 {
            let across = |l: &[f32]| l[c + 1] - l[c - 1];
            rise[c] = across(above) + 2.0 * across(here) + across(below);
        }
        let calm = &calm[r * cols..(r + 1) * cols];
        for c in ASIDE..cols - ASIDE {
            let [before, gx, after] = [rise[c - 1].abs(), rise[c].abs(), rise[c + 1].abs()];
            if gx < before || gx <= after {
                continue;
            }
            let (left, right) = (calm[c - ASIDE], calm[c + ASIDE]);
            if surround.has(left) == surround.has(right) || (left - right).abs() < surround.step() {
                continue;
            }
            let down = |c: usize| below[c] - above[c];
            let gy = down(c - 1) + 2.0 * down(c) + down(c + 1);
            let slope = -f64::from(gy / rise[c]);
            if slope.abs() <= STEEPEST + ASTRAY {
                let (rise, bend) = (after - before, 2.0 * gx - before - after);
                let shift = vertex(f64::from(rise), f64::from(bend));
                edges.push(Edge {
                    along: r as f64 + 0.5 - half,
                    aside: c as f64 + 0.5 + shift,
                    slope,
                });
            }
        }
    }
    edges
}
