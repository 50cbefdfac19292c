//! How blurred the photo is, measured where the panel ends and the surround begins.
//!
//! Along each side of the panel short stretches are read: the light of every pixel against its distance from the side.
//! A blurred straight edge is the integral of the blur (the idea of the slanted edge of ISO 12233); its Gaussian width
//! is found by least squares. A stretch counts where it is a clean step; the median stretch is the photo's blur, lens
//! and pixel together.

use rayon::prelude::*;

use crate::frame::photo::Photo;
use crate::frame::quad::{Point, Quad};
use crate::frame::side::Side;
use crate::ops::transfer::luminance;
use crate::stats::order::{median, ranked};

/// Stretches along each side.
const STRETCHES: usize = 24;

/// Half the length of a stretch, pixels.
const HALF_LENGTH: f64 = 12.0;

/// Distance read on both sides of the edge, pixels.
const REACH: f64 = 8.0;

/// Width of a distance bin, pixels.
const BIN: f64 = 0.25;

/// Bins over the distance read.
const BINS: usize = 64;

/// The edge is looked for so far to both sides of where it was given, pixels.
const FURTHEST_PLACE: i32 = 5;

/// Widths tried first, pixels.
const WIDTHS: [f64; 8] = [0.3, 0.45, 0.65, 0.9, 1.3, 1.9, 2.8, 4.0];

/// Smallest step worth fitting, as a share of the brighter side.
const LEAST_STEP: f64 = 0.4;

/// Largest share of the step's variance that may be left over.
const MOST_LEFT: f64 = 0.01;

/// A photo too blurred for a close look is looked at as if it had so many times fewer pixels a side.
const WIDER: f64 = 4.0;

/// Smallest width that the wider look may give, pixels: a photo sharper than that should have shown clean steps at the closer look.
const LEAST_WIDER: f64 = 5.0;

/// Share of the stretches that count as the sharpest, and how many times wider the median stretch must be for those to decide.
const SHARP: f64 = 0.2;
const UNLIKE: f64 = 1.3;

/// Stretches that must agree before a blur is named.
const LEAST_STRETCHES: usize = 8;

/// Standard deviation of the photo's blur, pixels; `None` where too few stretches are a clean step.
pub(super) fn blur_px(photo: &Photo, corners: &Quad) -> Option<f64> {
    let rise = Rise::new();
    let wider = || blur_in(photo, corners, &rise, WIDER).filter(|px| *px > LEAST_WIDER);
    blur_in(photo, corners, &rise, 1.0).or_else(wider)
}

/// The same with all distances `scale` times as long.
fn blur_in(photo: &Photo, corners: &Quad, rise: &Rise, scale: f64) -> Option<f64> {
    let mut widths: Vec<f64> = (0..4 * STRETCHES)
        .into_par_iter()
        .filter_map(|i| {
            let (side, t) = (i / STRETCHES, (i % STRETCHES) as f64 + 0.5);
            let stretch = stretch(corners, side, t / STRETCHES as f64, scale)?;
            Some(scale * fit(&profile(photo, stretch, scale)?, rise)?)
        })
        .collect();
    if widths.len() < LEAST_STRETCHES {
        return None;
    }
    let middle = median(&mut widths)?;
    // A worn rim and the cut edge of thick glass only ever widen a step: where many are far wider than the sharpest, those tell.
    let sharp = ranked(&mut widths, SHARP, f64::total_cmp)?;
    Some(if middle > UNLIKE * sharp {
        sharp
    } else {
        middle
    })
}

/// Middle of a stretch, and the unit directions along the side and into the panel.
type Stretch = (Point, Point, Point);

/// The stretch a share `t` along a side; `None` for too short a side.
fn stretch(corners: &Quad, side: usize, t: f64, scale: f64) -> Option<Stretch> {
    let side = Side::new(corners, side);
    if side.length < 4.0 * HALF_LENGTH * scale {
        return None;
    }
    // The corners themselves are left out: there two edges meet.
    let at = (0.05 + 0.9 * t) * side.length;
    let middle = [0, 1].map(|k| side.from[k] + at * side.along[k]);
    Some((middle, side.along, side.inwards))
}

/// Mean light and number of pixels in each distance bin of a stretch.
type Profile = [(f64, f64); BINS];

fn profile(photo: &Photo, (middle, along, inwards): Stretch, scale: f64) -> Option<Profile> {
    let radius = scale * HALF_LENGTH.hypot(REACH);
    let (left, top) = (middle[0] - radius, middle[1] - radius);
    let (right, bottom) = (middle[0] + radius, middle[1] + radius);
    if left < 0.0 || top < 0.0 || right >= photo.width as f64 || bottom >= photo.height as f64 {
        return None;
    }
    let mut bins = [(0.0, 0.0); BINS];
    let cols = left as usize..right as usize + 1;
    let mut line = vec![[0.0; 4]; cols.len()];
    let every = scale as usize;
    for row in (top as usize..=bottom as usize).step_by(every) {
        photo.light_along(row, cols.start, &mut line);
        for (col, light) in cols.clone().zip(&line).step_by(every) {
            let d = [col as f64 + 0.5 - middle[0], row as f64 + 0.5 - middle[1]];
            let (t, n) = (
                (d[0] * along[0] + d[1] * along[1]) / scale,
                (d[0] * inwards[0] + d[1] * inwards[1]) / scale,
            );
            if t.abs() < HALF_LENGTH && n.abs() < REACH {
                let bin = &mut bins[((n + REACH) / BIN) as usize];
                bin.0 += luminance(light);
                bin.1 += 1.0;
            }
        }
    }
    for bin in &mut bins {
        bin.0 /= f64::max(bin.1, 1.0);
    }
    Some(bins)
}

/// Width of the Gaussian whose integral fits the step best: coarse to fine over place and width.
fn fit(profile: &Profile, rise: &Rise) -> Option<f64> {
    let whole = ProfileSums::new(profile);
    let fine =
        |place: f64, width: f64| whole.fit(profile, |bin| rise.at((distance(bin) - place) / width));
    let (mut place, mut width) = (0.0, 1.5);
    let mut step = (1.0, 1.5);
    let mut best = fine(place, width)?;
    for place_at in -FURTHEST_PLACE..=FURTHEST_PLACE {
        // Places lie whole bins apart, so one table of the function serves all of them.
        let skipped = (f64::from(FURTHEST_PLACE - place_at) / BIN) as usize;
        for (width_at, table) in WIDTHS.iter().zip(&rise.coarse) {
            let here = whole.fit(profile, |bin| table[bin + skipped])?;
            if here.left < best.left {
                (best, place, width) = (here, f64::from(place_at), *width_at);
            }
        }
    }
    for _ in 0..16 {
        for (p, w) in [
            (step.0, 1.0),
            (-step.0, 1.0),
            (0.0, step.1),
            (0.0, 1.0 / step.1),
        ] {
            let here = fine(place + p, width * w)?;
            if here.left < best.left {
                (best, place, width) = (here, place + p, width * w);
            }
        }
        step = (step.0 * 0.7, step.1.powf(0.7));
    }
    let brighter = best.inside.max(best.outside);
    let clean = best.left < MOST_LEFT && (best.inside - best.outside) > LEAST_STEP * brighter;
    (clean && (0.25..6.0).contains(&width)).then_some(width)
}

/// Distance of a bin's middle from the side, pixels.
fn distance(bin: usize) -> f64 {
    (bin as f64 + 0.5) * BIN - REACH
}

/// Sums over a profile that no fit changes: its pixels, their light, its square.
struct ProfileSums {
    n: f64,
    sy: f64,
    syy: f64,
}

/// A step fitted to a profile with place and width given.
struct Fit {
    outside: f64,
    inside: f64,
    /// Share of the profile's variance left over.
    left: f64,
}

impl ProfileSums {
    fn new(profile: &Profile) -> Self {
        let sum = |of: fn(f64, f64) -> f64| profile.iter().map(|(y, weight)| of(*y, *weight)).sum();
        ProfileSums {
            n: sum(|_, weight| weight),
            sy: sum(|y, weight| weight * y),
            syy: sum(|y, weight| weight * y * y),
        }
    }

    /// The step that rises as `rise` says of each bin.
    fn fit(&self, profile: &Profile, rise: impl Fn(usize) -> f64) -> Option<Fit> {
        let (mut sf, mut sff, mut sfy) = (0.0, 0.0, 0.0);
        for (bin, (y, weight)) in profile.iter().enumerate() {
            let f = rise(bin);
            sf += weight * f;
            sff += weight * f * f;
            sfy += weight * f * y;
        }
        let ProfileSums { n, sy, syy } = self;
        let (vff, vfy, vyy) = (sff - sf * sf / n, sfy - sf * sy / n, syy - sy * sy / n);
        if vff <= 0.0 || vyy <= 0.0 {
            return None;
        }
        let step = vfy / vff;
        let outside = (sy - step * sf) / n;
        Some(Fit {
            outside,
            inside: outside + step,
            left: (vyy - step * vfy) / vyy,
        })
    }
}

/// The standard normal distribution function, tabled: it is asked for some hundred thousand times.
struct Rise {
    fine: Vec<f64>,
    /// For each of [`WIDTHS`], at the distances of bins from an edge at the furthest place on.
    coarse: Vec<Vec<f64>>,
}

impl Rise {
    /// Steps a unit; straight lines between them are off by under 1e-5.
    const FINE: f64 = 128.0;
    /// Beyond this the function is 0 or 1 to 1e-9.
    const FURTHEST: f64 = 6.0;

    fn new() -> Self {
        let steps = (2.0 * Self::FURTHEST * Self::FINE) as usize;
        let at = |i: usize| {
            let x = i as f64 / Self::FINE - Self::FURTHEST;
            0.5 * (1.0 + statrs::function::erf::erf(x / std::f64::consts::SQRT_2))
        };
        let mut rise = Rise {
            fine: (0..=steps + 1).map(at).collect(),
            coarse: Vec::new(),
        };
        let bins = BINS + (f64::from(2 * FURTHEST_PLACE) / BIN) as usize;
        let of_width = |width: &f64| {
            let at = |bin| rise.at((distance(bin) - f64::from(FURTHEST_PLACE)) / width);
            (0..bins).map(at).collect()
        };
        rise.coarse = WIDTHS.iter().map(of_width).collect();
        rise
    }

    fn at(&self, x: f64) -> f64 {
        let u = (x.clamp(-Self::FURTHEST, Self::FURTHEST) + Self::FURTHEST) * Self::FINE;
        let i = u as usize;
        self.fine[i] + (u - i as f64) * (self.fine[i + 1] - self.fine[i])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    const CORNERS: [f64; 4] = [60.0, 60.0, 180.0, 180.0];

    /// A bright panel on a dark table whose edges have a Gaussian blur of so many pixels.
    fn blur_of(sigma: f64, [dark, bright]: [f64; 2]) -> Option<f64> {
        let [left, top, width, height] = CORNERS;
        let rise = |at: f64| {
            0.5 * (1.0 + statrs::function::erf::erf(at / sigma / std::f64::consts::SQRT_2))
        };
        let inside = |at: usize, from: f64, long: f64| {
            let at = at as f64 + 0.5;
            rise(at - from) * rise(from + long - at)
        };
        let photo = drawn::photo([300, 300], |x, y| {
            [dark + (bright - dark) * inside(x, left, width) * inside(y, top, height); 3]
        });
        blur_px(&photo, &Quad::rectangle(left, top, width, height))
    }

    #[test]
    fn a_gaussian_edge_has_its_own_width() {
        for sigma in [0.6, 1.0, 2.0, 3.5] {
            let found = blur_of(sigma, [0.05, 0.7]).unwrap();
            assert!((found / sigma - 1.0).abs() < 0.05, "{sigma} {found}");
        }
    }

    #[test]
    fn no_edge_no_blur() {
        // Nothing to be seen, a panel hardly brighter than the table, and one that is darker.
        for light in [[0.0, 0.0], [0.5, 0.5], [0.5, 0.7], [0.7, 0.05]] {
            assert_eq!(blur_of(1.0, light), None, "{light:?}");
        }
    }

    #[test]
    fn the_tabled_normal_is_the_normal() {
        let rise = Rise::new();
        for (x, wanted) in [
            (0.0, 0.5),
            (1.0, 0.841_345),
            (-1.96, 0.024_998),
            (9.0, 1.0),
            (-9.0, 0.0),
        ] {
            assert!((rise.at(x) - wanted).abs() < 2e-5, "{x}");
        }
        assert!((distance(0) + 7.875).abs() < 1e-12 && (distance(BINS - 1) - 7.875).abs() < 1e-12);
    }
}
