//! The sides of a panel as a photo shows them, place by place.
//!
//! Each side is traced in profiles across it; the edge is where a profile steps up most from surround to panel. Most of these
//! places lie along a parabola. Lost edges step up too little to count, and blots at the rim lie off the parabola of the rest;
//! where too few places are left, nothing is said.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a reach is a few pixels"
)]

use super::find::light_at;
use crate::frame::photo::Photo;
use crate::frame::quad::{Point, Quad};
use crate::stats::order::median;

/// Profiles along a side.
const PROFILES: usize = 48;

/// Share of a side left out at each end: there two edges meet.
const ENDS: f64 = 0.04;

/// Distance looked at on both sides of an edge, share of its length: as far as the side of a square panel that fills the frame
/// bows at a distortion of 0.12.
const REACH: f64 = 0.03;

/// Shortest reach, pixels.
const LEAST_REACH: usize = 10;

/// Pixels on each side of a step that are held against each other.
const STEP: usize = 5;

/// Smallest step that is an edge, share of the brightest one's light: bare glass lies under it.
const LEAST_STEP: f64 = 0.3;

/// Lines of pixels averaged in a profile, and pixels from one to the next.
const LINES: [i32; 3] = [-2, 0, 2];

/// Shortest side that is traced, pixels.
const LEAST_SIDE: f64 = 200.0;

/// Places farther from the parabola than so many pixels, or this share of the side, do not lie along it.
const OFF_PX: f64 = 1.5;
const OFF: f64 = 0.0005;

/// Share of the profiles that must lie along the parabola.
const ENOUGH: f64 = 0.6;

/// Places in each third of a side from which parabolas are tried.
const TRIED: usize = 4;

/// Places along a side; `None` where too little of it is seen.
pub(super) fn traced(photo: &Photo, corners: &Quad, side: usize) -> Option<Vec<Point>> {
    let (a, b) = (corners.0[side], corners.0[(side + 1) % 4]);
    let length = (b[0] - a[0]).hypot(b[1] - a[1]);
    if length < LEAST_SIDE {
        return None;
    }
    let along = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
    let centre = corners.centre();
    let mut inwards = [-along[1], along[0]];
    if (centre[0] - a[0]) * inwards[0] + (centre[1] - a[1]) * inwards[1] < 0.0 {
        inwards = inwards.map(|v| -v);
    }
    let reach = ((REACH * length) as usize).max(LEAST_REACH);
    let steps: Vec<(f64, f64, f64)> = (0..PROFILES)
        .filter_map(|i| {
            // From −1 to 1 along the side.
            let u = (1.0 - 2.0 * ENDS) * (2.0 * (i as f64 + 0.5) / PROFILES as f64 - 1.0);
            let at = [0, 1].map(|k| a[k] + (1.0 + u) / 2.0 * (b[k] - a[k]));
            let (place, height) = step(&profile(photo, at, along, inwards, reach)?)?;
            Some((u, place, height))
        })
        .collect();
    let highest = steps.iter().map(|s| s.2).fold(0.0, f64::max);
    let places: Vec<(f64, f64)> = steps
        .iter()
        .filter(|s| s.2 > LEAST_STEP * highest)
        .map(|s| (s.0, s.1))
        .collect();
    let near = along_a_parabola(&places, OFF_PX.max(OFF * length))?;
    let in_photo = |(u, place): &(f64, f64)| {
        [0, 1].map(|k| a[k] + (1.0 + u) / 2.0 * (b[k] - a[k]) + (place - reach as f64) * inwards[k])
    };
    Some(near.iter().map(in_photo).collect())
}

/// How far places bow off the straight line through their ends, pixels: the parabola c₀ + c₁u + c₂u² through them lies c₂ off it in
/// the middle, u from −1 to 1.
pub(super) fn bow(places: &[Point]) -> Option<f64> {
    let (first, last) = (places.first()?, places.last()?);
    let length = (last[0] - first[0]).hypot(last[1] - first[1]);
    let along = [0, 1].map(|k| (last[k] - first[k]) / length);
    let on_chord: Vec<(f64, f64)> = places
        .iter()
        .map(|p| {
            let off = [p[0] - first[0], p[1] - first[1]];
            let (u, v) = (
                off[0] * along[0] + off[1] * along[1],
                off[1] * along[0] - off[0] * along[1],
            );
            (2.0 * u / length - 1.0, v)
        })
        .collect();
    least_squares(&on_chord).map(|c| c[2])
}

/// Light across the side, from outside to inside; `None` where it leaves the photo.
fn profile(
    photo: &Photo,
    at: Point,
    along: Point,
    inwards: Point,
    reach: usize,
) -> Option<Vec<f64>> {
    let frame = [photo.width as f64, photo.height as f64];
    let point = |n: f64, t: f64| [0, 1].map(|k| at[k] + n * inwards[k] + t * along[k]);
    let inside = |n: f64| (0..2).all(|k| (2.0..frame[k] - 2.0).contains(&point(n, 0.0)[k]));
    let far = reach as f64;
    if !(inside(-far) && inside(far)) {
        return None;
    }
    let mean = |i: usize| {
        let light = |line: &i32| light_at(photo, point(i as f64 - far, f64::from(*line)));
        LINES.iter().map(light).sum::<f64>() / LINES.len() as f64
    };
    Some((0..=2 * reach).map(mean).collect())
}

/// Where a profile steps up most, to a part of a pixel, and by how much.
fn step(profile: &[f64]) -> Option<(f64, f64)> {
    let rise = |i: usize| {
        let inner: f64 = profile[i + 1..=i + STEP].iter().sum();
        let outer: f64 = profile[i - STEP..i].iter().sum();
        (inner - outer) / STEP as f64
    };
    let rises: Vec<f64> = (STEP..profile.len() - STEP).map(rise).collect();
    let top = (1..rises.len() - 1).max_by(|a, b| rises[*a].total_cmp(&rises[*b]))?;
    let [before, here, after] = [rises[top - 1], rises[top], rises[top + 1]];
    let bend = 2.0 * here - before - after;
    let shift = if bend > 0.0 {
        (after - before) / (2.0 * bend)
    } else {
        0.0
    };
    Some(((top + STEP) as f64 + shift.clamp(-1.0, 1.0), here))
}

/// The places along the parabola that most lie along: of many through three of them that with the least median distance (least
/// median of squares, Rousseeuw 1984), then by least squares through those near it.
fn along_a_parabola(places: &[(f64, f64)], off: f64) -> Option<Vec<(f64, f64)>> {
    let third = |k: usize| {
        let (from, to) = (
            -1.0 + 2.0 * k as f64 / 3.0,
            -1.0 + 2.0 * (k + 1) as f64 / 3.0,
        );
        let inside: Vec<_> = places
            .iter()
            .filter(|p| (from..to).contains(&p.0))
            .collect();
        (0..TRIED.min(inside.len()))
            .map(|i| *inside[i * inside.len() / TRIED.min(inside.len())])
            .collect::<Vec<_>>()
    };
    let (first, second, last) = (third(0), third(1), third(2));
    let mut best: Option<(f64, [f64; 3])> = None;
    for p in &first {
        for q in &second {
            for r in &last {
                let Some(c) = least_squares(&[*p, *q, *r]) else {
                    continue;
                };
                let far = median(&mut places.iter().map(|p| distance(&c, p)).collect::<Vec<_>>())?;
                if best.is_none_or(|b| far < b.0) {
                    best = Some((far, c));
                }
            }
        }
    }
    let (_, mut curve) = best?;
    let mut near = Vec::new();
    for _ in 0..3 {
        near = places
            .iter()
            .copied()
            .filter(|p| distance(&curve, p) < off)
            .collect();
        if (near.len() as f64) < ENOUGH * PROFILES as f64 {
            return None;
        }
        curve = least_squares(&near)?;
    }
    Some(near)
}

fn distance(c: &[f64; 3], (u, v): &(f64, f64)) -> f64 {
    (c[0] + u * (c[1] + u * c[2]) - v).abs()
}

fn least_squares(places: &[(f64, f64)]) -> Option<[f64; 3]> {
    let (mut m, mut y) = (nalgebra::Matrix3::zeros(), nalgebra::Vector3::zeros());
    for (u, v) in places {
        let row = nalgebra::Vector3::new(1.0, *u, u * u);
        m += row * row.transpose();
        y += row * *v;
    }
    let c = m.try_inverse()? * y;
    Some([c[0], c[1], c[2]])
}
