//! Flat, compact zones with an edge all round, beside a panel that was found.

use imageproc::geometry::{contour_area, convex_hull, min_area_rect};
use imageproc::point::Point as Whole;

use super::thumbnail::Thumbnail;
use crate::frame::quad::{Point, Quad};
use crate::ops::label::{Labels, Run, add_runs, label};

/// The level changes by less than this over two pixels within a zone.
const FLAT: f32 = 0.022;

/// The level just outside a zone differs by at least this much.
const EDGE: f32 = 0.025;

/// Share of the places round a zone that must show that edge.
const EDGED: f64 = 0.8;

/// Least side of a zone, pixels of the thumbnail.
const LEAST_PX: f64 = 7.0;

/// Largest zone against the panel.
const MOST_OF_PANEL: f64 = 0.25;

/// Longest zone against its width: strips of the table between two things are longer.
const MOST_LONG: f64 = 3.0;

/// Share of its hull that a zone fills; what has a bay or a hole fills less.
const LEAST_FILLED: f64 = 0.85;

/// Share of its hull that the four corners of a zone span; a disc's span 0.64.
const LEAST_SPANNED: f64 = 0.8;

/// Pixels about the panel that belong to its edge, and at the frame's edge.
const MARGIN_PX: f64 = 3.0;

/// Rectangles of the flat zones beside the panel and their levels.
pub(super) fn zones(thumbnail: &Thumbnail, panel: &Quad) -> Vec<(Quad, f32)> {
    let labels = flat(thumbnail, panel);
    let (rows, cols) = thumbnail.dim();
    let margin = MARGIN_PX as u32;
    let most = MOST_OF_PANEL * panel.area();
    let mut runs: Vec<Vec<&Run>> = vec![Vec::new(); labels.areas.len()];
    for run in &labels.runs {
        runs[run.area as usize].push(run);
    }
    (labels.areas.iter().zip(&runs))
        .filter(|(area, _)| {
            let pixels = f64::from(area.pixels);
            let inside = area.rows.0 > margin
                && area.cols.0 > margin
                && area.rows.1 + margin < rows as u32
                && area.cols.1 + margin < cols as u32;
            inside && pixels >= LEAST_PX * LEAST_PX && pixels <= most
        })
        .filter_map(|(area, runs)| zone(thumbnail, f64::from(area.pixels), runs))
        .collect()
}

/// The areas outside the panel where the level hardly changes.
fn flat(thumbnail: &Thumbnail, panel: &Quad) -> Labels {
    let (rows, cols) = thumbnail.dim();
    let centre = panel.centre();
    let grown = Quad(panel.0.map(|p| {
        let d = [p[0] - centre[0], p[1] - centre[1]];
        let by = 1.0 + 1.5 * MARGIN_PX / d[0].hypot(d[1]).max(1.0);
        [centre[0] + by * d[0], centre[1] + by * d[1]]
    }));
    let level = &thumbnail.level;
    label(rows, |r, runs| {
        if r == 0 || r + 1 >= rows {
            return;
        }
        let is_flat = |c: usize| {
            (level[[r, c + 1]] - level[[r, c - 1]]).abs() < FLAT
                && (level[[r + 1, c]] - level[[r - 1, c]]).abs() < FLAT
                && !grown.contains([c as f64 + 0.5, r as f64 + 0.5])
        };
        add_runs((1..cols.saturating_sub(1)).map(is_flat), 1, runs);
    })
}

/// Positions in the rectangle's search, to a pixel: it is done in whole numbers.
const FINE: f64 = 8.0;

/// The rectangle and the level of a zone, where it is compact, filled and edged all round.
fn zone(thumbnail: &Thumbnail, pixels: f64, runs: &[&Run]) -> Option<(Quad, f32)> {
    let fine = |v: u32| v as i32 * FINE as i32;
    let outline: Vec<Whole<i32>> = runs
        .iter()
        .flat_map(|run| {
            let (top, left, right) = (fine(run.row), fine(run.first), fine(run.last + 1));
            let bottom = fine(run.row + 1);
            [(left, top), (right, top), (right, bottom), (left, bottom)]
                .map(|(x, y)| Whole::new(x, y))
        })
        .collect();
    let hull = convex_hull(outline);
    if hull.len() < 4 {
        return None;
    }
    let place = |p: &Whole<i32>| [f64::from(p.x) / FINE, f64::from(p.y) / FINE];
    let rectangle = as_seen(min_area_rect(&hull).map(|p| place(&p)));
    let [width, height, ..] = rectangle.side_lengths();
    let (short, long) = (width.min(height), width.max(height));
    let corners = spanned(&hull.iter().map(place).collect::<Vec<_>>(), &rectangle);
    let around = contour_area(&hull) / (FINE * FINE);
    if short < LEAST_PX
        || long > MOST_LONG * short
        || pixels < LEAST_FILLED * around
        || corners.area() < LEAST_SPANNED * around
    {
        return None;
    }
    let sum: f64 = (runs.iter())
        .flat_map(|run| {
            (run.first..=run.last)
                .map(|c| f64::from(thumbnail.level[[run.row as usize, c as usize]]))
        })
        .sum();
    let level = (sum / pixels) as f32;
    edged(thumbnail, &rectangle, level).then_some((corners, level))
}

/// The points of an outline farthest out towards each corner of its rectangle: a card seen aslant is no rectangle.
fn spanned(outline: &[Point], rectangle: &Quad) -> Quad {
    let [a, b, c, d] = rectangle.0;
    let unit = |from: Point, to: Point| {
        let v = [to[0] - from[0], to[1] - from[1]];
        v.map(|x| x / v[0].hypot(v[1]).max(1e-9))
    };
    let (right, down) = (unit(a, b), unit(a, d));
    let farthest = |u: f64, v: f64| {
        let out = |p: &Point| {
            (0..2)
                .map(|k| p[k] * (u * right[k] + v * down[k]))
                .sum::<f64>()
        };
        let far = outline.iter().max_by(|p, q| out(p).total_cmp(&out(q)));
        far.copied().unwrap_or(c)
    };
    Quad([
        farthest(-1.0, -1.0),
        farthest(1.0, -1.0),
        farthest(1.0, 1.0),
        farthest(-1.0, 1.0),
    ])
}

/// The level changes all round the rectangle.
fn edged(thumbnail: &Thumbnail, rectangle: &Quad, level: f32) -> bool {
    const PLACES: usize = 12;
    /// Far enough that blur is past, near enough to be on a card's border, pixels.
    const BEYOND: f64 = 3.0;
    // What is as bright as the table stands out only by more than the table itself varies.
    let step = if thumbnail.surround.has(level) {
        EDGE.max(thumbnail.surround.step())
    } else {
        EDGE
    };
    let centre = rectangle.centre();
    let mut edged = 0;
    for side in 0..4 {
        let (a, b) = (rectangle.0[side], rectangle.0[(side + 1) % 4]);
        let middle = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
        let out = [middle[0] - centre[0], middle[1] - centre[1]];
        let length = out[0].hypot(out[1]).max(1e-9);
        for i in 0..PLACES {
            let t = (i as f64 + 0.5) / PLACES as f64;
            let at = [0, 1].map(|k| a[k] + t * (b[k] - a[k]) + BEYOND * out[k] / length);
            let changed = |v: f32| (v - level).abs() > step;
            edged += usize::from(thumbnail.calm_at(at).is_some_and(changed));
        }
    }
    edged as f64 >= EDGED * (4 * PLACES) as f64
}

/// The corners clockwise as seen, from the one nearest the top left.
fn as_seen(corners: [Point; 4]) -> Quad {
    let mut quad = Quad(corners);
    if !quad.is_clockwise() {
        quad.0.reverse();
    }
    let first = (0..4).min_by(|a, b| {
        let reach = |i: usize| quad.0[i][0] + quad.0[i][1];
        reach(*a).total_cmp(&reach(*b))
    });
    quad.0.rotate_left(first.unwrap_or(0));
    quad
}
