//! What is found at one place: the statistics of its silver and of its colour, scale by scale.

use rayon::prelude::*;

use super::means::means;
use super::place::Piece;
use super::statistic::{COLOUR_LEVELS, COUNT, LEVELS, PAIRS, each};
use crate::frame::Plane;
use crate::measure::{CLEAR_FROM, DARK_BELOW};
use crate::ops::steer::{DIRECTIONS, coarser, second_derivatives, second_derivatives_across};

/// Amplitude of structure that nobody sees, silver level: a third of the one per cent that the eye sees between neighbours
/// (from memory, no source).
const UNSEEN: f64 = 0.003;

/// Structure weaker than this is left out, silver level: the one per cent that the eye sees between neighbours (from memory, no
/// source) at the finest scale, and half of it on each coarser one. The sensor's noise stays under it, whatever the distance.
const LEAST_SEEN: f32 = 0.01;

/// Share of it that counts among amplitudes of amplitudes, which are smaller.
const UNSEEN_OF_SECOND: f64 = 0.3;

/// The same in a* and b*: half of what is just seen side by side.
const UNSEEN_COLOUR: f64 = 0.5;

/// Silver levels are summed about this one, so that f32 keeps their digits.
const MIDDLE: f32 = 0.75;
const CLEAR: f32 = CLEAR_FROM as f32;
const DARK: f32 = DARK_BELOW as f32;
/// Under half of that a place is bare, and not veiled or cloudy.
const BARE_BELOW: f32 = DARK / 2.0;

/// What was found at one place.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct PlaceStatistics {
    mean: f64,
    clear: f64,
    dark: f64,
    bare: f64,
    spread: [f64; LEVELS],
    skewness: [f64; LEVELS],
    amplitude: [[f64; DIRECTIONS]; LEVELS],
    sparse: [f64; LEVELS],
    polarity: [f64; LEVELS],
    second: [[[f64; 2]; DIRECTIONS]; PAIRS.len()],
    tint: [f64; 2],
    tint_spread: [f64; 2],
    tint_amplitude: [[f64; COLOUR_LEVELS]; 2],
    with_silver: [[f64; COLOUR_LEVELS]; 2],
}

impl PlaceStatistics {
    /// In the order and the steps of the table.
    pub(super) fn row(&self) -> [i8; COUNT] {
        let values = [self.mean, self.clear, self.dark, self.bare]
            .into_iter()
            .chain(self.spread)
            .chain(self.skewness)
            .chain(self.amplitude.into_iter().flatten())
            .chain(self.sparse)
            .chain(self.polarity)
            .chain(self.second.into_iter().flatten().flatten())
            .chain(self.tint)
            .chain(self.tint_spread)
            .chain(self.tint_amplitude.into_iter().flatten())
            .chain(self.with_silver.into_iter().flatten());
        let mut row = [0; COUNT];
        for ((kept, value), (kind, _)) in row.iter_mut().zip(values).zip(each()) {
            let steps = (value - f64::from(kind.middle)) / f64::from(kind.step);
            *kept = steps.round().clamp(-127.0, 127.0) as i8;
        }
        row
    }
}

/// Notes the statistics of one scale of the silver.
pub(super) fn of_level(plane: &Plane, level: usize, piece: &Piece, found: &mut [PlaceStatistics]) {
    let least = LEAST_SEEN / (1 << level) as f32;
    let seen = move |v: f32| (v.abs() - least).max(0.0);
    let [a, b, c, d] = second_derivatives(plane);
    let of_silver = means([plane, &a, &b, &c, &d], piece, |[s, a, b, c, d]| {
        let about = s - MIDDLE;
        let both = a + c;
        [
            about,
            about * about,
            about * about * about,
            seen(a),
            seen(b),
            seen(c),
            seen(d),
            [a, b, c, d]
                .into_iter()
                .fold(0.0, |sum, v| sum + seen(v) * seen(v)),
            both * both,
            both * both * both,
        ]
    });
    for (found, m) in found.iter_mut().zip(&of_silver) {
        found.mean = f64::from(MIDDLE) + m[0];
        let variance = (m[1] - m[0] * m[0]).max(0.0);
        let third = m[2] - 3.0 * m[0] * m[1] + 2.0 * m[0].powi(3);
        found.spread[level] = 0.5 * (variance + UNSEEN * UNSEEN).ln();
        found.skewness[level] = (third / (variance + (3.0 * UNSEEN).powi(2)).powf(1.5)).asinh();
        let amplitude = [m[3], m[4], m[5], m[6]];
        found.amplitude[level] = amplitude.map(|a| (a + UNSEEN).ln());
        let mean = amplitude.iter().sum::<f64>() / DIRECTIONS as f64;
        let square = m[7] / DIRECTIONS as f64;
        found.sparse[level] = (square + UNSEEN * UNSEEN).ln() - 2.0 * (mean + UNSEEN).ln();
        found.polarity[level] = (m[9] / (m[8] + 4.0 * UNSEEN * UNSEEN).powf(1.5)).asinh();
    }
    if level == 0 {
        let shares = means([plane], piece, |[s]| {
            [s >= CLEAR, s < DARK, s < BARE_BELOW].map(|is| f32::from(u8::from(is)))
        });
        for (found, [clear, dark, bare]) in found.iter_mut().zip(shares) {
            (found.clear, found.dark, found.bare) = (clear, dark, bare);
        }
    }
    let seconds: Vec<Vec<Vec<[f64; 2]>>> = [a, b, c, d]
        .into_par_iter()
        .enumerate()
        .map(|(own, mut amplitude)| {
            amplitude.mapv_inplace(seen);
            let mut coarse = amplitude;
            (level + 1..LEVELS)
                .map(|_| {
                    coarse = coarser(&coarse);
                    let across = (own + DIRECTIONS / 2) % DIRECTIONS;
                    let of = second_derivatives_across(&coarse, [own, across]);
                    means(of.each_ref(), piece, |v| v.map(f32::abs))
                })
                .collect()
        })
        .collect();
    for (direction, of_direction) in seconds.iter().enumerate() {
        for (coarser, of_pair) in (level + 1..LEVELS).zip(of_direction) {
            let pair = PAIRS
                .iter()
                .position(|p| *p == (level, coarser))
                .unwrap_or(0);
            for (found, second) in found.iter_mut().zip(of_pair) {
                let first = found.amplitude[level][direction];
                found.second[pair][direction] =
                    second.map(|s| (s + UNSEEN_OF_SECOND * UNSEEN).ln() - first);
            }
        }
    }
}

/// Notes the statistics of one scale of the colour.
pub(super) fn of_colour(
    ab: &[Plane; 2],
    silver: &Plane,
    level: usize,
    piece: &Piece,
    found: &mut [PlaceStatistics],
) {
    let laplacian = |plane: &Plane| {
        let [across, down] = second_derivatives_across(plane, [0, 2]);
        across + down
    };
    let of_silver = laplacian(silver);
    for (i, plane) in ab.iter().enumerate() {
        let bent = laplacian(plane);
        let m = means([plane, &bent, &of_silver], piece, |[v, c, s]| {
            [v, c.abs(), c * c, s * s, c * s, v * v]
        });
        for (found, m) in found.iter_mut().zip(&m) {
            if level == 0 {
                found.tint[i] = m[0];
                let variance = (m[5] - m[0] * m[0]).max(0.0);
                found.tint_spread[i] = (variance.sqrt() + UNSEEN_COLOUR).ln();
            }
            found.tint_amplitude[i][level] = (m[1] + UNSEEN_COLOUR).ln();
            let spreads = (m[2] + UNSEEN_COLOUR.powi(2)) * (m[3] + (3.0 * UNSEEN).powi(2));
            found.with_silver[i][level] = m[4] / spreads.sqrt();
        }
    }
}
