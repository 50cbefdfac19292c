//! How soft the edges of a dark area are.

use super::quantile;
use crate::synth::dark::DarkArea;
use crate::synth::field::Painted;

/// How far from its outline the fall at an edge is followed, mm.
const REACH_MM: f64 = 4.0;
/// Steps along it, pixels.
const STEP_PX: f64 = 0.25;
/// Where the level turns back by more than this, the edge runs into another; such a place tells nothing.
const TURN: f64 = 0.02;
/// Width from 10 to 90 % of a sharp outline, which is painted over one pixel, pixels: the least, and the most that is read
/// off between pixels, where it falls across two.
const SHARP_PX: [f64; 2] = [0.8, 1.7];

/// Median width over which the silver rises from 10 to 90 % at the outline of an area, mm: along the steepest way through
/// each pixel of the outline, from the lowest level of the area to what was there before it. 0 where a sharp outline would
/// read no less; else the width that one has in pixels is taken out in squares.
pub(super) fn softness_mm(painted: &Painted, area: &DarkArea) -> Option<f64> {
    let (rows, cols) = painted.silver.dim();
    let left = |r: usize, c: usize| {
        let base = f64::from(painted.base[[r, c]]);
        if base > 1e-3 {
            f64::from(painted.silver[[r, c]]) / base
        } else {
            1.0
        }
    };
    let at = |x: f64, y: f64| {
        let keep = |v: f64, n: usize| (v - 0.5).clamp(0.0, n as f64 - 1.001);
        let (x, y) = (keep(x, cols), keep(y, rows));
        let (r, c) = (y as usize, x as usize);
        let (v, u) = (y.fract(), x.fract());
        let along = |r: usize| left(r, c) * (1.0 - u) + left(r, c + 1) * u;
        along(r) * (1.0 - v) + along(r + 1) * v
    };
    let lowest = area
        .pixels()
        .map(|[r, c]| left(r, c))
        .fold(f64::MAX, f64::min);
    let [low, high] = [0.1, 0.9].map(|share| lowest + share * (1.0 - lowest));
    let far = (REACH_MM * painted.px_per_mm / STEP_PX) as usize;
    // From a place on, step by step, until a level is passed; `None` where it turns back before.
    let follow = |from: [f64; 2], step: [f64; 2], passed: &dyn Fn(f64) -> bool, rising: f64| {
        let mut last = at(from[0], from[1]);
        let mut most = last * rising;
        for k in 1..=far {
            let now = at(from[0] + k as f64 * step[0], from[1] + k as f64 * step[1]);
            if passed(now) {
                return Some((k, last, now));
            }
            most = most.max(now * rising);
            if now * rising < most - TURN {
                return None;
            }
            last = now;
        }
        None
    };
    let mut widths = Vec::new();
    for [r, c] in area.pixels() {
        if r == 0 || c == 0 || r + 1 == rows || c + 1 == cols {
            continue;
        }
        let beside = [[r - 1, c], [r + 1, c], [r, c - 1], [r, c + 1]];
        if beside.iter().all(|[r, c]| left(*r, *c) < 0.5) {
            continue;
        }
        let rise = [
            left(r, c + 1) - left(r, c - 1),
            left(r + 1, c) - left(r - 1, c),
        ];
        let steep = rise[0].hypot(rise[1]);
        if steep <= 0.0 {
            continue;
        }
        let step = rise.map(|v| v / steep * STEP_PX);
        let from = [c as f64 + 0.5, r as f64 + 0.5];
        let Some((out, before, after)) = follow(from, step, &|level| level >= high, 1.0) else {
            continue;
        };
        let top = out as f64 - (after - high) / (after - before);
        let turned = [0, 1].map(|i| from[i] + out as f64 * step[i]);
        let back = step.map(|v| -v);
        let Some((down, before, after)) = follow(turned, back, &|level| level <= low, -1.0) else {
            continue;
        };
        let bottom = out as f64 - (down as f64 - (low - after) / (before - after));
        widths.push((top - bottom) * STEP_PX);
    }
    let width = quantile(&widths, 0.5)?;
    let [least, most] = SHARP_PX;
    if width <= most {
        return Some(0.0);
    }
    Some((width * width - least * least).sqrt() / painted.px_per_mm)
}
