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

use super::profile::light_across;
use crate::frame::photo::Photo;
use crate::frame::quad::{Point, Quad};
use crate::frame::side::Side;
use crate::stats::normal_equations::NormalEquations;
use crate::stats::order::median;
use crate::stats::parabola::vertex;

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

/// Smallest step that counts as an edge, share of the side's largest step: the step to bare glass is smaller.
const LEAST_STEP: f64 = 0.3;

/// Lines of pixels averaged in a profile, and pixels from one to the next.
const LINES: [f64; 3] = [-2.0, 0.0, 2.0];

/// Shortest side that is traced, pixels.
const LEAST_SIDE: f64 = 200.0;

/// Places farther from the parabola than so many pixels, or this share of the side, do not lie along it.
const OFF_PX: f64 = 1.5;
const OFF: f64 = 0.0005;

/// Share of the profiles whose places must lie along the parabola.
const ENOUGH: f64 = 0.6;

/// Places in each third of a side from which parabolas are tried.
const TRIED: usize = 4;

/// Places along a side; `None` where too little of it is seen.
pub(super) fn traced(photo: &Photo, corners: &Quad, side: usize) -> Option<Vec<Point>> {
    let side = Side::new(corners, side);
    if side.length < LEAST_SIDE {
        return None;
    }
    let reach = ((REACH * side.length) as usize).max(LEAST_REACH);
    let steps: Vec<(f64, f64, f64)> = (0..PROFILES)
        .filter_map(|i| {
            // From −1 to 1 along the side.
            let u = (1.0 - 2.0 * ENDS) * (2.0 * (i as f64 + 0.5) / PROFILES as f64 - 1.0);
            let (place, height) = step(&profile(photo, &side, u, reach)?)?;
            Some((u, place, height))
        })
        .collect();
    let highest = steps.iter().map(|s| s.2).fold(0.0, f64::max);
    let places: Vec<(f64, f64)> = steps
        .iter()
        .filter(|s| s.2 > LEAST_STEP * highest)
        .map(|s| (s.0, s.1))
        .collect();
    let near = along_a_parabola(&places, OFF_PX.max(OFF * side.length))?;
    let in_photo = |(u, place): &(f64, f64)| side.at(f64::midpoint(1.0, *u), place - reach as f64);
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
    parabola(&on_chord).map(|c| c[2])
}

/// Light across a side, from outside to inside, `u` from −1 to 1 along it; `None` where it leaves the photo.
fn profile(photo: &Photo, side: &Side, u: f64, reach: usize) -> Option<Vec<f64>> {
    let share = f64::midpoint(1.0, u);
    let frame = [photo.width as f64, photo.height as f64];
    let far = reach as f64;
    let in_frame = |inside: f64| {
        let at = side.at(share, inside);
        (0..2).all(|k| (2.0..frame[k] - 2.0).contains(&at[k]))
    };
    (in_frame(-far) && in_frame(far)).then(|| {
        let inside = (0..=2 * reach).map(|i| i as f64 - far);
        light_across(photo, side, share, inside, &LINES)
    })
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
    let shift = vertex(after - before, 2.0 * here - before - after);
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
                let Some(c) = parabola(&[*p, *q, *r]) else {
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
        curve = parabola(&near)?;
    }
    Some(near)
}

fn distance(c: &[f64; 3], (u, v): &(f64, f64)) -> f64 {
    (c[0] + u * (c[1] + u * c[2]) - v).abs()
}

/// The parabola c₀ + c₁u + c₂u² through places (u, v).
fn parabola(places: &[(f64, f64)]) -> Option<[f64; 3]> {
    let mut sums = NormalEquations::default();
    for (u, v) in places {
        sums.add([1.0, *u, u * u], *v);
    }
    sums.solve()
}
