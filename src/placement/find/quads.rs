//! Quads of two upright and two level lines, and how far each looks like a panel on the surround.

use rayon::prelude::*;

use super::borders::BorderedLine;
use super::lines::{Line, quad_within};
use super::thumbnail::Thumbnail;
use crate::frame::quad::Quad;

/// The panel spans at least this share of the frame, one way or the other; and one of any proportions, as a sample is.
const LEAST_SPAN: f64 = 0.25;
const LEAST_SPAN_OF_ANY: f64 = 0.12;

/// A side of which less borders the surround is weak.
const LEAST_SUPPORT: f64 = 0.25;

/// Width over height may be off by this factor: 1.035 for a tilt of 15°, 1.064 for 20°, and as much again for perspective.
pub(super) const MOST_OFF: f64 = 1.15;

/// Opposite sides differ by at most this factor.
const MOST_PERSPECTIVE: f64 = 1.5;

/// Sine of the sharpest angle at a corner.
const SHARPEST: f64 = 0.85;

/// A corner this far outside the frame, as a share of its long side, is cut off.
const SLACK: f64 = 0.006;

/// A quad that may be the panel.
#[derive(Debug, Clone, Copy)]
pub(super) struct Candidate {
    /// Its corners in the thumbnail, from the top left, clockwise.
    pub(super) quad: Quad,
    /// Share of each side along which the surround ends there: top, right, bottom, left.
    pub(super) support: [f64; 4],
    /// The frame cuts it: at the top, right, bottom, left.
    pub(super) cut: [bool; 4],
}

impl Candidate {
    /// How far the whole outline stands out, 0 to 1: the weakest side counts as much as all together.
    pub(super) fn score(&self) -> f64 {
        let weakest = self.support.iter().copied().fold(1.0, f64::min);
        (self.support.iter().sum::<f64>() / 4.0 + weakest) / 2.0
    }

    pub(super) fn is_cut(&self) -> bool {
        self.cut.contains(&true)
    }
}

/// Every quad that could be a panel of these proportions, or of any where they are not known, the best first.
pub(super) fn candidates(
    thumbnail: &Thumbnail,
    lines: &[Vec<Line>; 2],
    expected: Option<f64>,
) -> Vec<Candidate> {
    let seen = |upright: bool| -> Vec<BorderedLine> {
        let lines = &lines[usize::from(!upright)];
        (lines.par_iter())
            .map(|line| BorderedLine::new(thumbnail, *line, upright))
            .collect()
    };
    let (upright, level) = (seen(true), seen(false));
    let (sides, ends) = (pairs(&upright, 0), pairs(&level, 1));
    let mut found: Vec<Candidate> = sides
        .par_iter()
        .flat_map_iter(|[left, right]| {
            ends.iter().filter_map(|[top, bottom]| {
                let outline = [*top, *right, *bottom, *left];
                let candidate = shaped(thumbnail, outline.map(|seen| &seen.line), expected)?;
                supported(outline, candidate)
            })
        })
        .collect();
    found.sort_by(|a, b| b.score().total_cmp(&a.score()));
    found
}

/// Every two of the lines, the one nearer to the frame's beginning first.
fn pairs(lines: &[BorderedLine], axis: usize) -> Vec<[&BorderedLine; 2]> {
    let mut pairs = Vec::new();
    for (i, a) in lines.iter().enumerate() {
        for b in &lines[i + 1..] {
            let in_order = a.line.point[axis] < b.line.point[axis];
            pairs.push(if in_order { [a, b] } else { [b, a] });
        }
    }
    pairs
}

/// The quad of four lines, where its shape can be a panel's.
fn shaped(thumbnail: &Thumbnail, outline: [&Line; 4], expected: Option<f64>) -> Option<Candidate> {
    let quad = quad_within(outline)?;
    if !quad.is_convex() || !quad.is_clockwise() {
        return None;
    }
    let (rows, cols) = thumbnail.dim();
    let (width, height) = (cols as f64, rows as f64);
    let slack = SLACK * width.max(height);
    let beyond = |i: usize| {
        let [x, y] = quad.0[i];
        [
            y < -slack,
            x > width + slack,
            y > height + slack,
            x < -slack,
        ]
    };
    let mut cut = outline.map(|l| l.of_frame);
    for i in 0..4 {
        for (side, out) in cut.iter_mut().zip(beyond(i)) {
            *side |= out;
        }
    }
    let lengths = quad.side_lengths();
    let span = (lengths[0].min(lengths[2]) / width).max(lengths[1].min(lengths[3]) / height);
    let least = if expected.is_some() {
        LEAST_SPAN
    } else {
        LEAST_SPAN_OF_ANY
    };
    if span < least || lengths.iter().any(|l| *l < 0.1 * height.min(width)) {
        return None;
    }
    let found = quad.proportions();
    let off = expected.map_or(1.0, |expected| (found / expected).max(expected / found));
    // Of a panel that the frame cuts the proportions are not seen.
    if !cut.contains(&true) && off > MOST_OFF {
        return None;
    }
    let unlike = |a: f64, b: f64| (a / b).max(b / a) > MOST_PERSPECTIVE;
    if unlike(lengths[0], lengths[2]) || unlike(lengths[1], lengths[3]) {
        return None;
    }
    let sharp = (0..4).any(|i| {
        let (a, b, c) = (quad.0[(i + 3) % 4], quad.0[i], quad.0[(i + 1) % 4]);
        let (u, v) = ([a[0] - b[0], a[1] - b[1]], [c[0] - b[0], c[1] - b[1]]);
        let sine = (u[0] * v[1] - u[1] * v[0]).abs() / (u[0].hypot(u[1]) * v[0].hypot(v[1]));
        sine < SHARPEST
    });
    (!sharp).then_some(Candidate {
        quad,
        support: [0.0; 4],
        cut,
    })
}

/// The candidate with its sides looked at; `None` where two of them are no border of the surround.
fn supported(outline: [&BorderedLine; 4], mut candidate: Candidate) -> Option<Candidate> {
    const WAYS: [usize; 4] = [0, 1, 1, 0];
    let quad = candidate.quad.0;
    candidate.support =
        [0, 1, 2, 3].map(|i| outline[i].support(quad[i], quad[(i + 1) % 4], WAYS[i]));
    let weak = candidate.support.iter().filter(|s| **s < LEAST_SUPPORT);
    (weak.count() < 2).then_some(candidate)
}

/// Two quads outline the same thing: every corner lies within `reach` of the other's.
pub(super) fn alike(a: &Quad, b: &Quad, reach: f64) -> bool {
    (a.0.iter().zip(&b.0)).all(|(p, q)| (p[0] - q[0]).hypot(p[1] - q[1]) < reach)
}
