//! Long straight borders of the surround in the thumbnail: the Hough transform with gradients (Duda & Hart 1972;
//! Ballard 1981), each line then laid through its own edge points by robust least squares.

use super::edges::{ASTRAY, Edge, STEEPEST, edges};
use super::thumbnail::{Surround, Thumbnail};
use crate::frame::Plane;
use crate::frame::quad::{Point, Quad};
use crate::frame::side::Side;
use crate::stats::robust::{biweight, weighted_line};

/// Steps of slope.
const SLOPES: usize = 51;

/// Width of a bin of place, pixels.
const BIN_PX: f64 = 1.5;

/// Lines kept of each direction.
const MOST_LINES: usize = 16;

/// A line needs this many votes: a panel that spans a quarter of the thumbnail, half of its side seen.
const LEAST_VOTES: f32 = 24.0;

/// Lines this near at both ends are one, pixels.
const ALIKE_PX: f64 = 2.5;

/// Edges this near to a line are its own, pixels.
const ON_LINE_PX: f64 = 2.0;

/// A straight line in the thumbnail.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    /// A point of it.
    pub(super) point: Point,
    pub(super) along: Point,
    /// The line is an edge of the frame.
    pub(super) of_frame: bool,
}

impl Line {
    /// The line along a side, so far inside it.
    pub(super) fn beside(side: &Side, inside: f64) -> Self {
        Line {
            point: [0, 1].map(|k| side.from[k] + inside * side.inwards[k]),
            along: side.to_next,
            of_frame: false,
        }
    }

    pub(super) fn crossing(&self, other: &Line) -> Option<Point> {
        let ([px, py], [dx, dy]) = (self.point, self.along);
        let ([qx, qy], [ex, ey]) = (other.point, other.along);
        let across = dx * ey - dy * ex;
        let t = ((qx - px) * ey - (qy - py) * ex) / across;
        (across.abs() > 1e-9).then_some([px + t * dx, py + t * dy])
    }
}

/// The quad whose sides lie on these lines: top, right, bottom, left.
pub(super) fn quad_within([top, right, bottom, left]: [&Line; 4]) -> Option<Quad> {
    Some(Quad([
        top.crossing(left)?,
        top.crossing(right)?,
        bottom.crossing(right)?,
        bottom.crossing(left)?,
    ]))
}

/// A line as `aside = place + slope * (along - half)`.
#[derive(Clone, Copy)]
struct Upright {
    place: f64,
    slope: f64,
}

impl Upright {
    fn at(&self, along: f64) -> f64 {
        self.place + self.slope * along
    }
}

/// The upright and the level lines of some panels that lie beside each other, the frame's edges last. Two sides on nearly one line
/// share their votes, so for each further panel the edge points that lie on no line yet are searched once more.
pub(super) fn lines(thumbnail: &Thumbnail, panels: usize) -> [Vec<Line>; 2] {
    let (rows, cols) = thumbnail.dim();
    let turned = (transposed(&thumbnail.level), transposed(&thumbnail.calm));
    let (upright, level) = rayon::join(
        || {
            found(
                &thumbnail.level,
                &thumbnail.calm,
                &thumbnail.surround,
                panels,
            )
        },
        || found(&turned.0, &turned.1, &thumbnail.surround, panels),
    );
    let line = |upright: bool, place: f64, slope: f64, half: f64, of_frame| Line {
        point: if upright {
            [place, half]
        } else {
            [half, place]
        },
        along: if upright { [slope, 1.0] } else { [1.0, slope] },
        of_frame,
    };
    let all = |is_upright: bool, found: Vec<Upright>, length: usize, end: usize| {
        let half = length as f64 / 2.0;
        (found.into_iter())
            .map(|l| line(is_upright, l.place, l.slope, half, false))
            .chain([0.0, end as f64].map(|at| line(is_upright, at, 0.0, half, true)))
            .collect()
    };
    [
        all(true, upright, rows, cols),
        all(false, level, cols, rows),
    ]
}

fn transposed(plane: &Plane) -> Plane {
    plane.t().as_standard_layout().into_owned()
}

/// The upright lines of a picture.
fn found(level: &Plane, calm: &Plane, surround: &Surround, panels: usize) -> Vec<Upright> {
    let mut edges = edges(level, calm, surround);
    let (rows, cols) = level.dim();
    let half = rows as f64 / 2.0;
    let mut lines: Vec<Upright> = Vec::new();
    for _ in 0..panels {
        for start in peaks(&edges, half, cols) {
            let Some(line) = laid(&edges, start) else {
                continue;
            };
            let alike = |other: &Upright| {
                [-half, half]
                    .iter()
                    .all(|end| (other.at(*end) - line.at(*end)).abs() < ALIKE_PX)
            };
            if !lines.iter().any(alike) {
                lines.push(line);
            }
        }
        let off = |edge: &Edge, line: &Upright| (edge.aside - line.at(edge.along)).abs();
        edges.retain(|edge| lines.iter().all(|line| off(edge, line) > ON_LINE_PX));
    }
    lines
}

/// The places and slopes that most edges lie on.
fn peaks(edges: &[Edge], half: f64, cols: usize) -> Vec<Upright> {
    let step = 2.0 * STEEPEST / (SLOPES - 1) as f64;
    // A line may cross the middle of the picture outside it.
    let margin = STEEPEST * half;
    let bins = ((cols as f64 + 2.0 * margin) / BIN_PX) as usize + 2;
    let mut votes = vec![0.0_f32; SLOPES * bins];
    for edge in edges {
        let slope_bin = |s: f64| {
            ((s + STEEPEST) / step)
                .round()
                .clamp(0.0, (SLOPES - 1) as f64) as usize
        };
        for s in slope_bin(edge.slope - ASTRAY)..=slope_bin(edge.slope + ASTRAY) {
            let slope = s as f64 * step - STEEPEST;
            let u = (edge.aside - slope * edge.along + margin) / BIN_PX;
            if u >= 0.0 && (u as usize) + 1 < bins {
                let t = (u - u.floor()) as f32;
                votes[s * bins + u as usize] += 1.0 - t;
                votes[s * bins + u as usize + 1] += t;
            }
        }
    }
    let mut tops = Vec::new();
    for s in 0..SLOPES {
        for b in 1..bins - 1 {
            let here = votes[s * bins + b];
            if here < LEAST_VOTES {
                continue;
            }
            let around = (s.saturating_sub(2)..(s + 3).min(SLOPES))
                .flat_map(|i| (b.saturating_sub(2)..(b + 3).min(bins)).map(move |j| (i, j)));
            let mut around = around.filter(|at| *at != (s, b));
            if around.all(|(i, j)| {
                let other = votes[i * bins + j];
                other < here || (other <= here && (i, j) > (s, b))
            }) {
                tops.push((here, s, b));
            }
        }
    }
    tops.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    tops.truncate(MOST_LINES);
    tops.iter()
        .map(|(_, s, b)| Upright {
            place: *b as f64 * BIN_PX - margin,
            slope: *s as f64 * step - STEEPEST,
        })
        .collect()
}

/// A line laid through the edges near it; those farther away count less each time.
fn laid(edges: &[Edge], start: Upright) -> Option<Upright> {
    let mut line = start;
    for reach in [5.0, 3.0, 1.5, 1.5] {
        let alike = edges
            .iter()
            .filter(|edge| (edge.slope - line.slope).abs() < 2.0 * ASTRAY);
        let weighed = alike.map(|edge| {
            let weight = biweight((edge.aside - line.at(edge.along)) / reach);
            [edge.along, edge.aside, weight]
        });
        let laid = weighted_line(weighed, 1.0)?;
        line = Upright {
            place: laid.at_zero,
            slope: laid.slope,
        };
    }
    (line.slope.abs() <= STEEPEST).then_some(line)
}
