//! Sides laid through many edge points, finer and finer, corners where they cross.
//!
//! Across each side many profiles are read, and in each the steepest changes of light are marked to a fraction of a pixel.
//! The straight line that most profiles agree on is the side (blots and lost silver at the rim make changes too, but no
//! line); then it is laid by least squares with Tukey's biweight through the nearest change of each profile.

use super::lines::{Line, quad_within};
use crate::frame::photo::Photo;
use crate::frame::quad::Quad;
use crate::frame::side::Side;
use crate::placement::profile::light_across;
use crate::stats::order::median;
use crate::stats::parabola::vertex;
use crate::stats::robust::{biweight, weighted_line};

/// Profiles across a side.
const PROFILES: usize = 160;

/// Share of a side left out at each end.
const ENDS: f64 = 0.03;

/// Changes marked in a profile at most.
const MOST_MARKS: usize = 3;

/// A change counts from this share of the side's usual one on.
const LEAST_CHANGE: f64 = 0.2;

/// Places along the side read for one value of a profile, pixels apart.
const TAPS: [f64; 3] = [-1.3, 0.0, 1.3];

/// A profile agrees with a line within this, pixels.
const AGREES_PX: f64 = 1.0;

/// A refined quad.
#[derive(Debug, Clone, Copy)]
pub(super) struct Refined {
    pub(super) quad: Quad,
    /// Share of the profiles of each side that agree with it: top, right, bottom, left.
    pub(super) agreed: [f64; 4],
}

/// A change of light in a profile: where along the side (0 to 1), how far inside of it, how strong.
struct Mark {
    along: f64,
    inside: f64,
    strength: f64,
}

/// The quad with its sides moved by at most `reach` pixels to where the light changes; `None` where a side has none.
pub(super) fn refine(photo: &Photo, quad: &Quad, reach: f64) -> Option<Refined> {
    let first = once(photo, quad, reach)?;
    again(photo, &first.quad).or(Some(first))
}

/// The quad laid anew close by.
pub(super) fn again(photo: &Photo, quad: &Quad) -> Option<Refined> {
    once(photo, quad, 4.0)
}

fn once(photo: &Photo, quad: &Quad, reach: f64) -> Option<Refined> {
    let side = |i| laid_side(photo, &Side::new(quad, i), reach);
    let two = |i| rayon::join(|| side(i), || side(i + 1));
    let ((top, right), (bottom, left)) = rayon::join(|| two(0), || two(2));
    let (top, right, bottom, left) = (top?, right?, bottom?, left?);
    let quad = quad_within([&top.0, &right.0, &bottom.0, &left.0])?;
    quad.is_convex().then_some(Refined {
        quad,
        agreed: [top.1, right.1, bottom.1, left.1],
    })
}

/// The side as most profiles have it, and the share of them that do.
fn laid_side(photo: &Photo, side: &Side, reach: f64) -> Option<(Line, f64)> {
    let marks = marks(photo, side, reach)?;
    let ends = laid(&marks, agreed_by_most(&marks, reach))?;
    let (from, to) = (side.at(0.0, ends[0]), side.at(1.0, ends[1]));
    let near = |mark: &&Mark| (mark.inside - at(ends, mark.along)).abs() < AGREES_PX;
    let mut agreeing: Vec<f64> = marks.iter().filter(near).map(|m| m.along).collect();
    agreeing.dedup();
    Some((
        Line {
            point: from,
            along: [to[0] - from[0], to[1] - from[1]],
            of_frame: false,
        },
        agreeing.len() as f64 / PROFILES as f64,
    ))
}

/// A line given by how far inside the side it lies at the side's two ends.
fn at(ends: [f64; 2], along: f64) -> f64 {
    ends[0] + along * (ends[1] - ends[0])
}

/// The changes of light in all profiles, profile by profile.
fn marks(photo: &Photo, side: &Side, reach: f64) -> Option<Vec<Mark>> {
    let count = 2 * reach.ceil() as usize + 5;
    let profiles: Vec<(f64, Vec<f64>)> = (0..PROFILES)
        .map(|i| {
            let t = ENDS + (1.0 - 2.0 * ENDS) * (i as f64 + 0.5) / PROFILES as f64;
            let inside = (0..count).map(|j| j as f64 - (count / 2) as f64);
            (t, light_across(photo, side, t, inside, &TAPS))
        })
        .collect();
    let change = |p: &[f64], j: usize| (p[j + 1] - p[j - 1]).abs();
    let mut largest: Vec<f64> = (profiles.iter())
        .map(|(_, p)| (1..count - 1).map(|j| change(p, j)).fold(0.0, f64::max))
        .collect();
    let usual = median(&mut largest)?;
    let mut marks = Vec::new();
    for (t, p) in &profiles {
        let mut here: Vec<Mark> = (2..count - 2)
            .filter_map(|j| {
                let [before, top, after] = [change(p, j - 1), change(p, j), change(p, j + 1)];
                let highest = top > before && top >= after && top > LEAST_CHANGE * usual;
                let shift = vertex(after - before, 2.0 * top - before - after);
                highest.then(|| Mark {
                    along: *t,
                    inside: j as f64 - (count / 2) as f64 + shift,
                    strength: (top / usual).min(1.0),
                })
            })
            .collect();
        here.sort_by(|a, b| b.strength.total_cmp(&a.strength));
        here.truncate(MOST_MARKS);
        marks.extend(here);
    }
    Some(marks)
}

/// The line that most changes lie on, of all whose ends lie on a half-pixel grid.
fn agreed_by_most(marks: &[Mark], reach: f64) -> [f64; 2] {
    let steps = (4.0 * reach) as usize;
    let end = |i: usize| 0.5 * i as f64 - reach;
    let mut best = ([0.0; 2], 0.0);
    for i in 0..=steps {
        for j in 0..=steps {
            let ends = [end(i), end(j)];
            let votes: f64 = marks
                .iter()
                .map(|m| {
                    let off = m.inside - at(ends, m.along);
                    m.strength * (1.0 - off * off).max(0.0)
                })
                .sum();
            if votes > best.1 {
                best = (ends, votes);
            }
        }
    }
    best.0
}

/// The line laid through the changes near it.
fn laid(marks: &[Mark], start: [f64; 2]) -> Option<[f64; 2]> {
    let mut ends = start;
    for reach in [2.0, 1.5, 1.0, 1.0] {
        let weighed = marks.iter().map(|mark| {
            let off = (mark.inside - at(ends, mark.along)) / reach;
            [mark.along, mark.inside, mark.strength * biweight(off)]
        });
        let line = weighted_line(weighed, 1e-6)?;
        ends = [line.at_zero, line.at_zero + line.slope];
    }
    Some(ends)
}
