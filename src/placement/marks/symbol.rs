//! One mark: its frame to a small part of a pixel, and what its code says.

use nalgebra::{Matrix2, SymmetricEigen};
use rqrr::{Grid, SimpleGrid};

use super::finder::Finder;
use crate::frame::mark::{BAR, CODE, CODE_MODULES, FRAME, FRAME_END, Mark};
use crate::frame::photo::Photo;
use crate::frame::quad::{Homography, Point, Quad};
use crate::ops::sample::luminance_within;

/// From the middle of one square of a code to that of the next, modules.
const BETWEEN: f64 = 14.0;

/// Middle of a square from the code's edge, modules.
const MIDDLE: f64 = 3.5;

/// Middle of the frame's bars, modules of the mark.
pub(super) const BARS: [f64; 2] = [FRAME + BAR / 2.0, FRAME_END - BAR / 2.0];

/// How far to both sides of a bar's middle it is looked at, modules: onto the white beside it, not past the paper.
const BESIDE: f64 = 1.85;

/// Places along each bar that are looked at.
const PLACES: usize = 48;

/// At least this share of them must show a bar.
const ENOUGH: f64 = 0.6;

/// The bars are looked for where they seem to be, then where they were found.
const ROUNDS: usize = 3;

/// A mark that was read.
#[derive(Debug, Clone, Copy)]
pub(super) struct ReadMark {
    pub(super) mark: Mark,
    /// Corners of the square that the middles of its bars make, in the photo, in the order of the mark's own coordinates:
    /// far, along x, near, along y.
    pub(super) frame: Quad,
}

impl ReadMark {
    /// Where a point of the mark, in modules, lies in the photo.
    pub(super) fn at(&self, p: Point) -> Option<Point> {
        Homography::between(&square(), &self.frame.0).map(|h| h.apply(p))
    }
}

/// The square that the middles of the bars make, modules of the mark.
pub(super) fn square() -> [Point; 4] {
    let [far, near] = BARS;
    [[far, far], [near, far], [near, near], [far, near]]
}

/// The codes that squares make up: of each, the square at its corner, along its x and along its y.
pub(super) fn triples(finders: &[Finder]) -> Vec<[Finder; 3]> {
    let from = |a: &Finder, b: &Finder| [b.at[0] - a.at[0], b.at[1] - a.at[1]];
    let far_enough = |a: &Finder, b: &Finder| {
        let [dx, dy] = from(a, b);
        let module = a.module_px.midpoint(b.module_px);
        // Turned by 15°, runs along a row are longer than modules by 4 %; tilted by 15°, shorter by as much.
        (0.75..1.3).contains(&(dx.hypot(dy) / (BETWEEN * module)))
            && (0.67..1.5).contains(&(a.module_px / b.module_px))
    };
    let mut found = Vec::new();
    for corner in finders {
        let others: Vec<&Finder> = finders.iter().filter(|f| far_enough(corner, f)).collect();
        for x in &others {
            for y in &others {
                let (u, v) = (from(corner, x), from(corner, y));
                let lengths = u[0].hypot(u[1]) * v[0].hypot(v[1]);
                let cross = (u[0] * v[1] - u[1] * v[0]) / lengths;
                let same = u[0].hypot(u[1]) / v[0].hypot(v[1]);
                // A square angle, 70° to 110°, clockwise as printed; a mirror shows it the other way round.
                if cross > 0.94 && (0.8..1.25).contains(&same) {
                    found.push([*corner, **x, **y]);
                }
            }
        }
    }
    found
}

/// Reads the mark whose code has these squares; `None` where there is none.
pub(super) fn read(photo: &Photo, [corner, x, y]: [Finder; 3]) -> Option<ReadMark> {
    let far = CODE + MIDDLE;
    let near = far + BETWEEN;
    let fourth = [0, 1].map(|i| x.at[i] + y.at[i] - corner.at[i]);
    let squares = [[far, far], [near, far], [near, near], [far, near]];
    let mut to_photo = Homography::between(&squares, &[corner.at, x.at, fourth, y.at])?;
    let mut frame = Quad(square());
    for _ in 0..ROUNDS {
        frame = bars(photo, &to_photo)?;
        to_photo = Homography::between(&square(), &frame.0)?;
    }
    let mark = Mark::of_code(&says(photo, &to_photo)?)?;
    Some(ReadMark { mark, frame })
}

/// The square that the bars make in the photo.
fn bars(photo: &Photo, to_photo: &Homography) -> Option<Quad> {
    let [far, near] = BARS;
    // Above, right, below, left, as the mark's own coordinates run.
    let sides = [(1, far), (0, near), (1, near), (0, far)].map(|(axis, at)| {
        let places: Vec<Point> = (0..PLACES)
            .filter_map(|i| {
                let t = far + 2.0 + (near - far - 4.0) * (i as f64 + 0.5) / PLACES as f64;
                bar(photo, to_photo, axis, at, t)
            })
            .collect();
        (places.len() as f64 >= ENOUGH * PLACES as f64)
            .then(|| straight(places))
            .flatten()
    });
    let [above, right, below, left] = sides;
    quad_within([&above?, &right?, &below?, &left?])
}

/// Middle of the bar that crosses `axis` near `at`, at `t` along it: the centre of its darkness against the white on both
/// sides. Blur and spread ink widen a bar to both sides alike and leave its middle where it is.
fn bar(photo: &Photo, to_photo: &Homography, axis: usize, at: f64, t: f64) -> Option<Point> {
    const STEPS: usize = 24;
    let point = |off: f64| {
        let mut p = [t; 2];
        p[axis] = at + off;
        to_photo.apply(p)
    };
    let off = |i: usize| BESIDE * (2.0 * (i as f64 + 0.5) / STEPS as f64 - 1.0);
    let mut seen = [0.0; STEPS];
    for (i, value) in seen.iter_mut().enumerate() {
        *value = luminance_within(photo, point(off(i)))?;
    }
    let (before, after) = (
        seen[0].midpoint(seen[1]),
        seen[STEPS - 2].midpoint(seen[STEPS - 1]),
    );
    let black = seen.iter().copied().fold(f64::MAX, f64::min);
    let white = before.midpoint(after);
    let (mut dark, mut moment) = (0.0, 0.0);
    for (i, value) in seen.iter().enumerate() {
        let ground = before + (after - before) * (i as f64 + 0.5) / STEPS as f64;
        let depth = (ground - value).max(0.0);
        dark += depth;
        moment += depth * off(i);
    }
    let width = dark / (white - black) * 2.0 * BESIDE / STEPS as f64;
    let is_bar = black < 0.5 * before.min(after)
        && before.min(after) > 0.5 * before.max(after)
        && (0.6 * BAR..1.5 * BAR).contains(&width);
    is_bar.then(|| point(moment / dark))
}

/// A straight line in the photo: the points p with normal · p = distance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Straight {
    normal: Point,
    distance: f64,
}

impl Straight {
    /// Signed distance of a point, pixels.
    pub(super) fn off(&self, p: Point) -> f64 {
        self.normal[0] * p[0] + self.normal[1] * p[1] - self.distance
    }

    fn meets(&self, other: &Straight) -> Option<Point> {
        let [a, b] = [self.normal, other.normal];
        let rows = Matrix2::new(a[0], a[1], b[0], b[1]).try_inverse()?;
        let p = rows * nalgebra::Vector2::new(self.distance, other.distance);
        Some([p[0], p[1]])
    }
}

/// The quad whose sides lie on these lines: top, right, bottom, left.
pub(super) fn quad_within([top, right, bottom, left]: [&Straight; 4]) -> Option<Quad> {
    Some(Quad([
        left.meets(top)?,
        right.meets(top)?,
        right.meets(bottom)?,
        left.meets(bottom)?,
    ]))
}

/// The line through the points, by least squared distances, without those that lie far off the others.
pub(super) fn straight(mut points: Vec<Point>) -> Option<Straight> {
    /// Deviations of a fit beyond which a point is no part of the line.
    const FAR: f64 = 3.0;
    let least = points.len().div_ceil(2);
    loop {
        let line = through(&points)?;
        let mean = points.iter().map(|p| line.off(*p).powi(2)).sum::<f64>() / points.len() as f64;
        let bound = FAR * mean.sqrt().max(0.05);
        let count = points.len();
        points.retain(|p| line.off(*p).abs() <= bound);
        if points.len() == count {
            return Some(line);
        }
        if points.len() < least {
            return None;
        }
    }
}

fn through(points: &[Point]) -> Option<Straight> {
    if points.len() < 2 {
        return None;
    }
    let n = points.len() as f64;
    let mean = [0, 1].map(|i| points.iter().map(|p| p[i]).sum::<f64>() / n);
    let moment = |i: usize, j: usize| {
        points
            .iter()
            .map(|p| (p[i] - mean[i]) * (p[j] - mean[j]))
            .sum::<f64>()
    };
    let spread = SymmetricEigen::new(Matrix2::new(
        moment(0, 0),
        moment(0, 1),
        moment(1, 0),
        moment(1, 1),
    ));
    let normal = spread.eigenvectors.column(spread.eigenvalues.imin());
    let normal = [normal[0], normal[1]];
    Some(Straight {
        normal,
        distance: normal[0] * mean[0] + normal[1] * mean[1],
    })
}

/// What the code says; `None` where it cannot be read.
fn says(photo: &Photo, to_photo: &Homography) -> Option<String> {
    let mut dots = Vec::with_capacity(CODE_MODULES * CODE_MODULES);
    for row in 0..CODE_MODULES {
        for col in 0..CODE_MODULES {
            let [x, y] = [col, row].map(|i| CODE + i as f64 + 0.5);
            let about = [
                [0.0, 0.0],
                [0.2, 0.2],
                [-0.2, 0.2],
                [0.2, -0.2],
                [-0.2, -0.2],
            ];
            let mut sum = 0.0;
            for [dx, dy] in about {
                sum += luminance_within(photo, to_photo.apply([x + dx, y + dy]))?;
            }
            dots.push(sum);
        }
    }
    let mut sorted = dots.clone();
    sorted.sort_by(f64::total_cmp);
    // About half the dots of a code are dark.
    let level = sorted[dots.len() / 8].midpoint(sorted[dots.len() * 7 / 8]);
    let grid = SimpleGrid::from_func(CODE_MODULES, |x, y| dots[y * CODE_MODULES + x] < level);
    Grid::new(grid).decode().ok().map(|(_, text)| text)
}
