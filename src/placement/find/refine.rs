//! Sides laid through many edge points, finer and finer, corners where they cross.
//!
//! Across each side many profiles are read, and in each the steepest changes of light are marked to a fraction of a pixel.
//! The straight line that most profiles agree on is the side (blots and lost silver at the rim make changes too, but no
//! line); then it is laid by least squares with Tukey's biweight through the nearest change of each profile.

use super::lines::Line;
use crate::frame::photo::Photo;
use crate::frame::quad::{Point, Quad};
use crate::ops::transfer::LUMINANCE;

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
    /// Corners in the photo.
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
    let side = |i| side_of(photo, quad, i, reach);
    let two = |i| rayon::join(|| side(i), || side(i + 1));
    let ((top, right), (bottom, left)) = rayon::join(|| two(0), || two(2));
    let (top, right, bottom, left) = (top?, right?, bottom?, left?);
    let corner = |a: &(Line, f64), b: &(Line, f64)| a.0.crossing(&b.0);
    let quad = Quad([
        corner(&top, &left)?,
        corner(&top, &right)?,
        corner(&bottom, &right)?,
        corner(&bottom, &left)?,
    ]);
    quad.is_convex().then_some(Refined {
        quad,
        agreed: [top.1, right.1, bottom.1, left.1],
    })
}

/// The side as most profiles have it, and the share of them that do.
fn side_of(photo: &Photo, quad: &Quad, side: usize, reach: f64) -> Option<(Line, f64)> {
    let (a, b) = (quad.0[side], quad.0[(side + 1) % 4]);
    let d = [b[0] - a[0], b[1] - a[1]];
    let length = d[0].hypot(d[1]);
    let along = [d[0] / length, d[1] / length];
    let inwards = [-along[1], along[0]];
    let point = |t: f64, inside: f64| {
        [
            a[0] + t * d[0] + inside * inwards[0],
            a[1] + t * d[1] + inside * inwards[1],
        ]
    };
    let marks = marks(photo, reach, along, point)?;
    let ends = laid(&marks, agreed_by_most(&marks, reach))?;
    let (from, to) = (point(0.0, ends[0]), point(1.0, ends[1]));
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
fn marks(
    photo: &Photo,
    reach: f64,
    along: Point,
    point: impl Fn(f64, f64) -> Point,
) -> Option<Vec<Mark>> {
    let count = 2 * reach.ceil() as usize + 5;
    let profiles: Vec<(f64, Vec<f64>)> = (0..PROFILES)
        .map(|i| {
            let t = ENDS + (1.0 - 2.0 * ENDS) * (i as f64 + 0.5) / PROFILES as f64;
            let profile = (0..count).map(|j| {
                let p = point(t, j as f64 - (count / 2) as f64);
                let light = |s: &f64| light_at(photo, [p[0] + s * along[0], p[1] + s * along[1]]);
                TAPS.iter().map(light).sum::<f64>() / TAPS.len() as f64
            });
            (t, profile.collect())
        })
        .collect();
    let change = |p: &[f64], j: usize| (p[j + 1] - p[j - 1]).abs();
    let mut largest: Vec<f64> = (profiles.iter())
        .map(|(_, p)| (1..count - 1).map(|j| change(p, j)).fold(0.0, f64::max))
        .collect();
    let usual = crate::stats::order::median(&mut largest)?;
    let mut marks = Vec::new();
    for (t, p) in &profiles {
        let mut here: Vec<Mark> = (2..count - 2)
            .filter_map(|j| {
                let [before, top, after] = [change(p, j - 1), change(p, j), change(p, j + 1)];
                let highest = top > before && top >= after && top > LEAST_CHANGE * usual;
                let bend = 2.0 * top - before - after;
                highest.then(|| Mark {
                    along: *t,
                    inside: j as f64 - (count / 2) as f64 + 0.5 * (after - before) / bend,
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

/// Luminance between four pixels; the nearest pixel's outside the frame.
pub(in super::super) fn light_at(photo: &Photo, [x, y]: Point) -> f64 {
    let keep = |v: f64, n: usize| (v - 0.5).clamp(0.0, n as f64 - 1.0);
    let (x, y) = (keep(x, photo.width), keep(y, photo.height));
    let (c, r) = (x as usize, y as usize);
    let (u, v) = (x - c as f64, y - r as f64);
    let mut pair = [[0.0; 4]; 2];
    let span = pair.len().min(photo.width - c);
    let mut row = |r: usize| {
        photo.light_along(r.min(photo.height - 1), c, &mut pair[..span]);
        let [left, right] =
            pair.map(|p| (0..3).map(|i| LUMINANCE[i] * f64::from(p[i])).sum::<f64>());
        if span < 2 {
            left
        } else {
            left + u * (right - left)
        }
    };
    let (above, below) = (row(r), row(r + 1));
    above + v * (below - above)
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
        let (mut n, mut su, mut suu, mut sv, mut suv) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for mark in marks {
            let off = (mark.inside - at(ends, mark.along)) / reach;
            if off.abs() < 1.0 {
                // Tukey's biweight.
                let w = mark.strength * (1.0 - off * off).powi(2);
                n += w;
                su += w * mark.along;
                suu += w * mark.along * mark.along;
                sv += w * mark.inside;
                suv += w * mark.along * mark.inside;
            }
        }
        let spread = n * suu - su * su;
        if spread <= 1e-6 {
            return None;
        }
        let slope = (n * suv - su * sv) / spread;
        let first = (sv - slope * su) / n;
        ends = [first, first + slope];
    }
    Some(ends)
}
