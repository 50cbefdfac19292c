//! The panel's own edges between the marks. Marks are laid by hand, a little off the glass or askew; they give the scale,
//! and where an edge of the panel shows, it gives the place.

use super::solve::Plane;
use super::symbol::{Straight, quad_within, straight};
use crate::frame::mark::NOTCH;
use crate::frame::photo::Photo;
use crate::frame::quad::{Homography, Point, Quad};
use crate::frame::side::Side;
use crate::ops::sample::luminance_within;

/// How far to both sides of a line from mark to mark the panel's edge is looked for, mm: a mark laid more than this off
/// its corner was not laid at it.
const REACH_MM: f64 = 4.0;

/// Beside a mark, what shows may be the paper's edge, mm.
const CLEAR_MM: f64 = 2.0;

/// Places along a side that are looked at.
const PLACES: usize = 120;

/// At least this share of them must lie on one line; an edge worn or blotted in more places is not relied upon.
const ENOUGH: f64 = 0.4;

/// The panel against the surround must rise by this share of the light there is.
const RISE: f64 = 0.15;

/// The panel's corners in the photo, where all four of its edges show.
pub(super) fn corners(photo: &Photo, plane: &Plane, module_mm: f64) -> Option<Quad> {
    let from_mark = NOTCH * module_mm + CLEAR_MM;
    let edge = |side: Side| edge(photo, &plane.to_photo, &side, from_mark);
    let [top, right, bottom, left] = Side::all(&plane.notches).map(edge);
    quad_within([&top?, &right?, &bottom?, &left?])
}

/// The edge that runs about along a side.
fn edge(photo: &Photo, to_photo: &Homography, side: &Side, from_mark: f64) -> Option<Straight> {
    let Side {
        from,
        along,
        inwards,
        ..
    } = side;
    let free = side.length - 2.0 * from_mark;
    if free < side.length * 0.2 {
        return None;
    }
    let places: Vec<Point> = (0..PLACES)
        .filter_map(|i| {
            let t = from_mark + free * (i as f64 + 0.5) / PLACES as f64;
            let at =
                |s: f64| to_photo.apply([0, 1].map(|k| from[k] + t * along[k] + s * inwards[k]));
            steepest(photo, at)
        })
        .collect();
    consensus(&places)
}

/// Where the light rises most on a way across the edge, to a part of a step.
fn steepest(photo: &Photo, at: impl Fn(f64) -> Point) -> Option<Point> {
    let (out, inside) = (at(-REACH_MM), at(REACH_MM));
    let px = (out[0] - inside[0]).hypot(out[1] - inside[1]);
    let steps = (px.ceil() as usize * 2).clamp(8, 400);
    let step = 2.0 * REACH_MM / steps as f64;
    let seen: Vec<f64> = (0..=steps)
        .map(|i| luminance_within(photo, at(i as f64 * step - REACH_MM)))
        .collect::<Option<_>>()?;
    // Over two pixels of the photo, so that neither noise nor a single speck is an edge.
    let reach = 4.min(steps / 4);
    let rise: Vec<f64> = seen.windows(reach + 1).map(|w| w[reach] - w[0]).collect();
    let (top, most) = rise
        .iter()
        .copied()
        .enumerate()
        .max_by(|a, b| a.1.total_cmp(&b.1))?;
    let bright = seen.iter().copied().fold(0.0, f64::max);
    if most < RISE * bright || top == 0 || top + 1 == rise.len() {
        return None;
    }
    // The centre of the rise: unlike its top, it is not drawn to whole steps.
    let (mut sum, mut moment) = (0.0, 0.0);
    for (i, value) in rise
        .iter()
        .enumerate()
        .skip(top.saturating_sub(reach))
        .take(2 * reach + 1)
    {
        let value = value.max(0.0);
        sum += value;
        moment += value * i as f64;
    }
    let middle = moment / sum + reach as f64 / 2.0;
    Some(at(middle * step - REACH_MM))
}

/// The line most of the places lie on, a pixel and a half to both sides; each pair a third of the way apart proposes one.
fn consensus(places: &[Point]) -> Option<Straight> {
    const NEAR_PX: f64 = 1.5;
    let least = (ENOUGH * PLACES as f64) as usize;
    let third = places.len() / 3;
    let on = |line: &Straight| -> Vec<Point> {
        places
            .iter()
            .copied()
            .filter(|p| line.off(*p).abs() < NEAR_PX)
            .collect()
    };
    let best = (0..places.len().saturating_sub(third))
        .filter_map(|i| straight(vec![places[i], places[i + third]]))
        .map(|line| on(&line))
        .max_by_key(Vec::len)
        .filter(|best| best.len() >= least)?;
    straight(best)
}
