//! Clear, veil and dark as three separate ranges of tone; veil is dotted as well.

use image::{Rgb, RgbImage};
use rayon::prelude::*;

use super::ink;
use crate::frame::Plane;
use crate::measure::Settings;
use crate::silver::Laid;

/// How much silver an area has, as the three fractions count it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Class {
    /// Silver at `clear_from` and above.
    Clear,
    /// Between the two.
    Veil,
    /// Silver under `dark_below`.
    Dark,
}

impl Class {
    fn of(silver: f32, settings: &Settings) -> Self {
        match f64::from(silver) {
            s if s >= settings.clear_from => Class::Clear,
            s if s < settings.dark_below => Class::Dark,
            _ => Class::Veil,
        }
    }

    /// Colours at the least and the most silver of the class. Their greys are at least 50 codes apart between classes.
    const fn ends(self) -> ([u8; 3], [u8; 3]) {
        match self {
            Class::Clear => ([222, 222, 218], [246, 246, 242]),
            Class::Veil => ([118, 128, 142], [162, 172, 184]),
            Class::Dark => ([14, 14, 18], [48, 46, 50]),
        }
    }

    /// Range of silver level of the class.
    fn range(self, settings: &Settings) -> (f64, f64) {
        match self {
            Class::Clear => (settings.clear_from, 1.0),
            Class::Veil => (settings.dark_below, settings.clear_from),
            Class::Dark => (0.0, settings.dark_below),
        }
    }

    /// The tones of the class from its least to its most silver.
    pub(super) fn tones(self) -> Tones {
        let (from, to) = self.ends();
        let (from, to) = (from.map(f64::from), to.map(f64::from));
        std::array::from_fn(|step| {
            let share = step as f64 / LAST_STEP;
            Rgb([0, 1, 2].map(|i| (from[i] + (to[i] - from[i]) * share).round() as u8))
        })
    }

    /// How the class looks at pixel (x, y), in one of its tones.
    pub(super) fn ink(self, x: usize, y: usize, tone: Rgb<u8>) -> Rgb<u8> {
        if self == Class::Veil && on_dot(x, y) {
            VEIL_DOT
        } else {
            tone
        }
    }
}

/// The tones of a class: a few even steps, for finer ones would swell the file and tell nothing.
pub(super) type Tones = [Rgb<u8>; STEPS];

const STEPS: usize = 9;
const LAST_STEP: f64 = (STEPS - 1) as f64;

/// Distance of the veil's dots, pixels; every other row is set off by half.
const DOT_PITCH_PX: usize = 12;

/// Side of a dot, pixels.
const DOT_PX: usize = 3;

/// The veil's dots.
const VEIL_DOT: Rgb<u8> = Rgb([236, 238, 240]);

fn on_dot(x: usize, y: usize) -> bool {
    let half = DOT_PITCH_PX / 2;
    let shift = (y / half % 2) * half;
    y % half < DOT_PX && (x + shift) % DOT_PITCH_PX < DOT_PX
}

/// The silver plane in its classes, one pixel for each of its own, in the tints laid over it: as light as without them.
pub(super) fn paint(silver: &Plane, laid: Option<Laid<'_>>, settings: &Settings) -> RgbImage {
    let tinted = laid.map(Laid::by_cell);
    let (rows, cols) = silver.dim();
    let looks = [Class::Clear, Class::Veil, Class::Dark].map(|class| {
        let (least, most) = class.range(settings);
        (least, LAST_STEP / (most - least), class.tones())
    });
    let mut picture = RgbImage::from_pixel(cols as u32, rows as u32, ink::BLACK);
    picture
        .as_mut()
        .par_chunks_mut(3 * cols.max(1))
        .enumerate()
        .for_each(|(y, line)| {
            for (x, (pixel, s)) in line.chunks_exact_mut(3).zip(silver.row(y)).enumerate() {
                let class = Class::of(*s, settings);
                let (least, steps_per_level, tones) = &looks[class as usize];
                let step = ((f64::from(*s) - least) * steps_per_level + 0.5) as usize;
                let mut tone = tones[step.min(STEPS - 1)];
                if let Some(tinted) = &tinted {
                    tone = tinted.over(tone, y, x);
                }
                pixel.copy_from_slice(&class.ink(x, y, tone).0);
            }
        });
    picture
}
