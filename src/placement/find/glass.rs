//! Where the silver begins behind thick glass.
//!
//! On the side away from the camera the cut edge of the glass shows as a band of its own, 2·t·tan θ′ wide for glass t thick
//! seen at θ′ within it (Snell's law; 1.8 mm at 15° through 4 mm). It is much nearer to the surround than to the silver, even,
//! and ends in a step as sharp as the photo shows any. What is measured begins where that band ends.

use super::lines::{Line, quad_within};
use super::refine::{Refined, again};
use super::worn::across;
use crate::frame::photo::Photo;
use crate::frame::quad::Quad;
use crate::frame::side::Side;
use crate::stats::normal_equations::NormalEquations;
use crate::stats::order::median;

/// The profile begins so far outside the side, pixels, and is read every half pixel.
const OUT_PX: f64 = 6.0;
const STEP_PX: f64 = 0.5;

/// Widest band, as a share of the side: glass 10 mm thick seen at 20° shows 4.7 mm, three hundredths of a side of 150 mm.
const WIDEST: f64 = 0.05;

/// Narrowest band, pixels: a narrower one moves a corner by less than the doubt of a found corner.
const NARROWEST_PX: f64 = 3.0;

/// A step rises within this on either side of its middle, pixels.
const SHARP_PX: f64 = 2.0;

/// The silver's level is read over this, pixels.
const SILVER_PX: f64 = 8.0;

/// Of the rise from the surround to the silver: the band lies under this share of it, varies by no more than this, and at its end
/// the light changes by at least this at once.
const BAND: f64 = 0.45;
const EVEN: f64 = 0.3;
const STEP: f64 = 0.5;

/// Beside a clean cut the silver is darker than further in by less than this share.
const CLEAN: f64 = 0.15;

/// Least rise from the surround to the silver, share of full white.
const LEAST_RISE: f64 = 0.02;

/// The quad with its sides laid where the silver begins, and which of them were; `None` where no side shows a band.
pub(super) fn behind(photo: &Photo, refined: &Refined) -> Option<(Refined, [bool; 4])> {
    let quad = &refined.quad;
    let inside = Side::all(quad).map(|side| band(photo, &side));
    let shown = inside.map(|width| width.is_some());
    if shown == [false; 4] {
        return None;
    }
    let moved = inwards(quad, inside.map(|width| width.unwrap_or(0.0)))?;
    Some((again(photo, &moved)?, shown))
}

/// Width of the band along a side, pixels.
fn band(photo: &Photo, side: &Side) -> Option<f64> {
    let reach = WIDEST * side.length + SHARP_PX + SILVER_PX;
    width(&across(photo, side, [OUT_PX, reach], STEP_PX)?)
}

/// The same of a profile.
fn width(profile: &[f64]) -> Option<f64> {
    let at = |px: f64| ((px + OUT_PX) / STEP_PX).round() as usize;
    let level = |from: f64, to: f64| {
        median(&mut profile.get(at(from)..at(to).min(profile.len()))?.to_vec())
    };
    let outside = level(-OUT_PX, -SHARP_PX)?;
    let last = profile
        .len()
        .checked_sub(at(SHARP_PX + SILVER_PX) - at(0.0))?;
    let change = |k: usize| {
        let by = (SHARP_PX / STEP_PX) as usize;
        profile[k + by] - profile[k - by]
    };
    let step = (at(NARROWEST_PX)..last).max_by(|i, j| change(*i).total_cmp(&change(*j)))?;
    let width = step as f64 * STEP_PX - OUT_PX;
    let silver = level(width + SHARP_PX, width + SHARP_PX + SILVER_PX)?;
    let rise = silver - outside;
    // Further in it is no brighter: a worn rim would be.
    let end = profile.len() as f64 * STEP_PX - OUT_PX;
    let deeper = level(end - SILVER_PX, end)?;
    let within = profile.get(at(1.0)..at((width - SHARP_PX).max(1.0 + STEP_PX)))?;
    let (low, high) = within.iter().fold((f64::MAX, f64::MIN), |(low, high), v| {
        (low.min(*v), high.max(*v))
    });
    let is_band = rise > LEAST_RISE
        && change(step) > STEP * rise
        && high - outside < BAND * rise
        && deeper - silver < EVEN * rise
        && high - low < EVEN * rise;
    if is_band {
        return Some(width);
    }
    // Beside a clean cut the silver is as bright as further in.
    let beside = level(SHARP_PX, SHARP_PX + 4.0)?;
    (deeper - beside > CLEAN * (deeper - outside))
        .then(|| before_worn(profile))
        .flatten()
}

/// Widths of a band and of the rise of worn silver behind it that are tried, and deviations of the blur, pixels.
const BANDS_PX: [f64; 9] = [3.0, 4.0, 5.0, 6.5, 8.0, 10.0, 13.0, 17.0, 22.0];
const RISES_PX: [f64; 4] = [4.0, 9.0, 18.0, 40.0];
const BLURS_PX: [f64; 2] = [0.8, 1.6];

/// The edge of the glass lies within this of the side, pixels.
const ABOUT_PX: i32 = 4;

/// With a band the fit must leave at most this share of the squares that a fit without one leaves.
const BETTER: f64 = 0.4;

/// Width of a band before silver that is worn towards its edge: `T` outside, `B` on the band, `S + A (1 − exp(−x / w))` from the
/// silver's edge on, blurred.
fn before_worn(profile: &[f64]) -> Option<f64> {
    let reach = ((BANDS_PX[BANDS_PX.len() - 1] + OUT_PX + 24.0) / STEP_PX) as usize;
    let profile = &profile[..profile.len().min(reach)];
    let best = |bands: &[f64]| {
        let edges = (-2 * ABOUT_PX..=2 * ABOUT_PX).map(|k| f64::from(k) * STEP_PX);
        let tried = edges.flat_map(|edge| {
            bands.iter().flat_map(move |band| {
                let rises = RISES_PX.iter().flat_map(|w| BLURS_PX.map(|b| (*w, b)));
                rises.map(move |(w, b)| (edge, *band, w, b))
            })
        });
        tried
            .filter_map(|(edge, band, w, blur)| {
                let fit = fit(profile, edge, band, w, blur)?;
                Some((fit.0, edge + band, fit.1))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
    };
    let (plain, ..) = best(&[0.0])?;
    let (left, width, [outside, band, silver, rise]) = best(&BANDS_PX)?;
    let whole = silver + rise - outside;
    let is_band = left < BETTER * plain
        && whole > LEAST_RISE
        && band > outside
        && band - outside < BAND * whole
        && silver - band > WORN_STEP * whole
        && width >= NARROWEST_PX;
    is_band.then_some(width)
}

/// Least step from the band to worn silver, of the whole rise.
const WORN_STEP: f64 = 0.3;

/// Sum of squares left by the best levels of surround, band, silver's edge and what it rises by; and those levels.
fn fit(profile: &[f64], edge: f64, band: f64, rise: f64, blur: f64) -> Option<(f64, [f64; 4])> {
    // A narrow blur's integral, near enough to a Gaussian's.
    let step = |x: f64| 1.0 / (1.0 + (-1.702 * x / blur).exp());
    let mut sums = NormalEquations::default();
    for (k, light) in profile.iter().enumerate() {
        let x = k as f64 * STEP_PX - OUT_PX - edge;
        let (on_glass, on_silver) = (step(x), step(x - band));
        let inside = (x - band).max(0.0);
        let on_band = if band > 0.0 {
            on_glass - on_silver
        } else {
            0.0
        };
        let rises = on_silver * (1.0 - (-inside / rise).exp());
        sums.add([1.0 - on_glass, on_band, on_silver, rises], *light);
    }
    if band <= 0.0 {
        sums.squares[(1, 1)] = 1.0;
    }
    let levels = sums.solve()?;
    Some((sums.left_over(&levels).max(1e-12), levels))
}

/// The quad with its sides so many pixels further in.
fn inwards(quad: &Quad, by: [f64; 4]) -> Option<Quad> {
    let lines = [0, 1, 2, 3].map(|i| Line::beside(&Side::new(quad, i), by[i]));
    quad_within(lines.each_ref())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A profile through a band of some width and level between a surround of 0.02 and silver of 0.5, blurred a little.
    fn profile(band_px: f64, band: f64, rise_px: f64) -> Vec<f64> {
        let light = |x: f64| {
            if x < 0.0 {
                0.02
            } else if x < band_px {
                band
            } else {
                0.5 - (0.5 - band) * (-(x - band_px) / rise_px).exp()
            }
        };
        let blurred = |x: f64| {
            (-4..=4)
                .map(|k| light(x + 0.25 * f64::from(k)))
                .sum::<f64>()
                / 9.0
        };
        (0..160)
            .map(|k| blurred(f64::from(k) * STEP_PX - OUT_PX))
            .collect()
    }

    #[test]
    fn a_dim_even_band_that_ends_at_once_is_the_edge_of_the_glass() {
        for (band_px, level) in [(6.0, 0.05), (15.0, 0.12), (40.0, 0.2)] {
            let found = width(&profile(band_px, level, 0.01)).unwrap();
            assert!((found - band_px).abs() <= 1.0, "{found} {band_px}");
        }
    }

    #[test]
    fn a_band_before_a_worn_rim_is_told() {
        for (band_px, level) in [(6.0, 0.05), (9.0, 0.1), (16.0, 0.08)] {
            let light = |x: f64| {
                if x < 0.0 {
                    0.02
                } else if x < band_px {
                    level
                } else {
                    0.3 + 0.2 * (1.0 - (-(x - band_px) / 14.0_f64).exp())
                }
            };
            let profile: Vec<f64> = (0..160)
                .map(|k| {
                    let x = f64::from(k) * STEP_PX - OUT_PX;
                    (-4..=4).map(|k| light(x + 0.3 * f64::from(k))).sum::<f64>() / 9.0
                })
                .collect();
            let found = width(&profile).unwrap();
            assert!((found - band_px).abs() <= 1.5, "{found} {band_px}");
        }
    }

    #[test]
    fn a_worn_rim_and_a_bright_one_are_none() {
        assert_eq!(width(&profile(0.0, 0.05, 15.0)), None);
        assert_eq!(width(&profile(8.0, 0.05, 12.0)), None);
        assert_eq!(width(&profile(15.0, 0.35, 0.01)), None);
        assert_eq!(width(&profile(0.0, 0.5, 0.01)), None);
    }
}
