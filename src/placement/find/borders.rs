//! How much of a line borders the surround, from any corner to any other.

use super::lines::Line;
use super::thumbnail::Thumbnail;
use crate::frame::quad::Point;

/// Share of a side left out at each end, where two sides meet.
const ENDS: f64 = 0.04;

/// Distances from the side at which its two faces are looked at, pixels of the thumbnail.
const ASIDE_PX: [f64; 2] = [2.5, 4.0];

/// Distances outwards that lie past the cut edge of thick glass, pixels of the thumbnail.
const PAST_GLASS_PX: [f64; 2] = [5.0, 7.0];

/// A line, and what lies on both sides of it pixel by pixel.
pub(super) struct BorderedLine {
    pub(super) line: Line,
    /// The line runs down the picture rather than across it.
    upright: bool,
    /// Two running counts along the line, from the frame's edge on: how many pixels lie in the frame, and how many of them border the
    /// surround. The first list is for the surround to the left or above, the second for the surround to the right or below.
    borders: [Vec<(u32, u32)>; 2],
}

impl BorderedLine {
    pub(super) fn new(thumbnail: &Thumbnail, line: Line, upright: bool) -> Self {
        let (rows, cols) = thumbnail.dim();
        let (axis, length) = if upright { (1, rows) } else { (0, cols) };
        let per_px = 1.0 / line.along[axis];
        let d = line.along.map(|v| v * per_px);
        let size = d[0].hypot(d[1]);
        // Towards the left of an upright line, towards the top of a level one.
        let mut outwards = [-d[1] / size, d[0] / size];
        if outwards[1 - axis] > 0.0 {
            outwards = outwards.map(|v| -v);
        }
        let borders = [1.0, -1.0].map(|sign| {
            let outwards = outwards.map(|v| sign * v);
            let (mut seen, mut held) = (0, 0);
            let mut counts = vec![(0, 0)];
            for i in 0..length {
                let t = i as f64 + 0.5 - line.point[axis];
                let at = [0, 1].map(|k| line.point[k] + t * d[k]);
                if let Some(borders) = borders(thumbnail, at, outwards) {
                    seen += 1;
                    held += u32::from(borders);
                }
                counts.push((seen, held));
            }
            counts
        });
        BorderedLine {
            line,
            upright,
            borders,
        }
    }

    /// Share of the stretch from one corner to the other that borders the surround, which lies before the line (`way` 0) or
    /// after it (1).
    pub(super) fn support(&self, a: Point, b: Point, way: usize) -> f64 {
        let axis = usize::from(self.upright);
        let (from, to) = (a[axis].min(b[axis]), a[axis].max(b[axis]));
        let left_out = ENDS * (to - from);
        let counts = &self.borders[way];
        let count = |at: f64| counts[(at.max(0.0).round() as usize).min(counts.len() - 1)];
        let (first, last) = (count(from + left_out), count(to - left_out));
        let seen = f64::from(last.0 - first.0).max((to - from) / 4.0);
        f64::from(last.1 - first.1) / seen
    }
}

/// Whether the surround lies outwards of a point and something else inwards; `None` where what lies inwards is not in the frame. Where
/// what lies outwards is not in the frame, the inner side alone decides.
fn borders(thumbnail: &Thumbnail, at: Point, outwards: Point) -> Option<bool> {
    let face = |aside_px: [f64; 2], sign: f64| {
        let level =
            |aside: f64| thumbnail.calm_at([0, 1].map(|k| at[k] + sign * aside * outwards[k]));
        match aside_px.map(level) {
            [Some(near), Some(far)] => Some((near + far) / 2.0),
            [one, other] => one.or(other),
        }
    };
    let surround = &thumbnail.surround;
    let inside = face(ASIDE_PX, -1.0)?;
    let ends =
        |outside: f32| surround.may_be(outside) && (inside - outside).abs() > surround.step();
    Some(match face(ASIDE_PX, 1.0) {
        Some(outside) => ends(outside) || face(PAST_GLASS_PX, 1.0).is_some_and(ends),
        None => !surround.has(inside),
    })
}
