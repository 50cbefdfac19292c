//! Aggressiveness: how hard the silver was attacked, in one figure.
//!
//! 100 · √mean((1 − s)²): the root-mean-square loss of silver. 0 is a plain mirror, 100 bare glass; an even veil of
//! 20 % is 20, a tenth of the area bare in specks is 31.6. One deep hole weighs more than the same silver lost evenly,
//! as it does to the eye. Defined by this project; no standard exists. An error of the light scale moves it.
//!
//! Where it comes from: mean((1−s)²) = (1 − coverage)² + Var(s), and with V(σ) the variance after smoothing at σ,
//! Var(s) = Σ [V(σᵢ) − V(σᵢ₊₁)] + V(σ_last). Each term is what is lost by standing further back. A part is shown as
//! its share of the whole in points of aggressiveness, so the parts add up to it.

use ndarray::Axis;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::loss::Loss;
use super::{Settings, sharpness};
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::resize::resize;
use crate::ops::{reduce, smooth};
use crate::stats::bootstrap::{Resamples, dot};
use crate::units::{Measure, Unmeasured};

/// Blurs at which the variance is taken after the standard sharpness, mm.
const SCALES_MM: [f64; 6] = [0.5, 1.0, 2.0, 4.0, 8.0, 16.0];

/// A plane is halved before it is brought to a blur of this many pixels or more: what folds over is smoothed away.
const HALVE_AT_PX: f64 = 1.6;

/// Texture up to this blur is called fine, up to [`MIDDLE_MM`] middle, beyond it coarse.
pub const FINE_MM: f64 = 1.0;
/// Upper end of the middle scale.
pub const MIDDLE_MM: f64 = 4.0;

/// Root-mean-square loss of silver.
pub fn measure(loss: &Loss, resamples: Option<&Resamples>) -> Measure {
    let resamples = resamples.ok_or(Unmeasured::PanelTooSmall)?;
    let (squared, pixels) = loss.squared();
    let value = 100.0 * loss.mean_square().sqrt();
    resamples
        .interval(value, |w| {
            Some(100.0 * (dot(w, &squared) / dot(w, &pixels)).sqrt())
        })
        .ok_or(Unmeasured::PanelTooSmall)
}

/// One term of the mean square loss.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Scale {
    /// Texture seen at this blur, mm; 0 for the even loss.
    pub from_mm: f64,
    /// And no longer at this one; `None` for what stays to the last.
    pub to_mm: Option<f64>,
    /// What it adds to mean((1 − s)²).
    pub mean_square: f64,
}

/// Root of what lies between two blurs, mm, in points of aggressiveness: how much texture of that size there is. The even loss is
/// no texture.
#[must_use]
pub fn texture(scales: &[Scale], from_mm: f64, to_mm: f64) -> f64 {
    let inside = |s: &&Scale| {
        s.from_mm > 0.0 && s.from_mm >= from_mm && s.to_mm.unwrap_or(f64::INFINITY) <= to_mm
    };
    let variance: f64 = scales.iter().filter(inside).map(|s| s.mean_square).sum();
    100.0 * variance.max(0.0).sqrt()
}

/// The parts of the aggressiveness, in its own points; they add up to it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Parts {
    /// Even loss all over.
    pub even: f64,
    /// Texture that is gone at a blur of 1 mm: specks, grain.
    pub fine: f64,
    /// Texture between 1 and 4 mm: large specks, ridges.
    pub middle: f64,
    /// Beyond 4 mm: clouds, blots, lost edges.
    pub coarse: f64,
}

impl Parts {
    /// Gathers the scales into four parts.
    #[must_use]
    pub fn new(scales: &[Scale]) -> Self {
        let whole: f64 = scales.iter().map(|s| s.mean_square).sum();
        // A share of the mean square, in points of its root: x/whole · 100·√whole.
        let points = if whole > 0.0 {
            100.0 / whole.sqrt()
        } else {
            0.0
        };
        let sum = |is: &dyn Fn(&Scale) -> bool| {
            scales
                .iter()
                .filter(|s| is(s))
                .map(|s| s.mean_square)
                .sum::<f64>()
                * points
        };
        let even = |s: &Scale| s.from_mm <= 0.0;
        let fine = |s: &Scale| !even(s) && s.to_mm.is_some_and(|to| to <= FINE_MM);
        let middle = |s: &Scale| !even(s) && !fine(s) && s.to_mm.is_some_and(|to| to <= MIDDLE_MM);
        Parts {
            even: sum(&even),
            fine: sum(&fine),
            middle: sum(&middle),
            coarse: sum(&|s| !even(s) && !fine(s) && !middle(s)),
        }
    }
}

/// The mean square loss, scale by scale.
#[must_use]
pub fn by_scale(silver: &Plane, panel: &Panel, loss: &Loss, settings: &Settings) -> Vec<Scale> {
    let even = (1.0 - loss.mean()).powi(2);
    let mut scales = vec![Scale {
        from_mm: 0.0,
        to_mm: None,
        mean_square: even,
    }];
    let first_mm = sharpness::blur_mm(panel, settings);
    let mut from_mm = first_mm;
    let mut remaining = loss.variance_of_plane();
    // The rim that the planes leave out varies as they do.
    let with_rim = if remaining > 0.0 {
        (loss.mean_square() - even) / remaining
    } else {
        1.0
    };
    let mut plane: Option<Plane> = None;
    let mut px_per_mm = panel.px_per_mm;
    for to_mm in SCALES_MM.into_iter().filter(|mm| *mm > first_mm) {
        let mut blur_mm = from_mm;
        while to_mm * px_per_mm >= HALVE_AT_PX {
            // The mean of two pixels a side is a blur of its own: (2² − 1)/12 px².
            blur_mm = (blur_mm.powi(2) + 0.25 / px_per_mm.powi(2)).sqrt();
            let cols = plane.as_ref().unwrap_or(silver).ncols();
            let halved = halved(plane.as_ref().unwrap_or(silver), plane.is_none());
            px_per_mm *= halved.ncols() as f64 / cols as f64;
            plane = Some(halved);
        }
        let added = (to_mm.powi(2) - blur_mm.powi(2)).max(0.0).sqrt();
        let smoothed = smooth::gaussian(plane.as_ref().unwrap_or(silver), added * px_per_mm);
        // Rounding must not make a variance grow.
        let left = variance(&smoothed).min(remaining);
        scales.push(Scale {
            from_mm,
            to_mm: Some(to_mm),
            mean_square: with_rim * (remaining - left),
        });
        (remaining, from_mm, plane) = (left, to_mm, Some(smoothed));
    }
    scales.push(Scale {
        from_mm,
        to_mm: None,
        mean_square: with_rim * remaining,
    });
    scales
}

/// Half as many rows and columns. An odd row or column over is a hair's breadth on the finest plane and is taken into a
/// block of its own there; on coarser ones it would weigh too much, and all blocks are made alike instead.
fn halved(plane: &Plane, finest: bool) -> Plane {
    let (rows, cols) = plane.dim();
    if finest || (rows % 2 == 0 && cols % 2 == 0) {
        reduce::block_mean(plane, 2)
    } else {
        resize(plane, (rows / 2).max(1), (cols / 2).max(1))
    }
}

fn variance(plane: &Plane) -> f64 {
    let n = plane.len() as f64;
    // About a level in the middle of the range, so that f32 rows keep their digits.
    let about = plane[[plane.nrows() / 2, plane.ncols() / 2]];
    let rows: Vec<(f64, f64)> = plane
        .axis_iter(Axis(0))
        .into_par_iter()
        .map(|row| {
            // Several sums side by side, so that one addition need not wait for the last.
            let (mut sum, mut square) = ([0.0_f32; 8], [0.0_f32; 8]);
            for few in row.as_slice().unwrap_or(&[]).chunks(8) {
                for (i, v) in few.iter().enumerate() {
                    sum[i] += v - about;
                    square[i] += (v - about) * (v - about);
                }
            }
            let add = |lanes: [f32; 8]| lanes.iter().map(|v| f64::from(*v)).sum::<f64>();
            (add(sum), add(square))
        })
        .collect();
    let (sum, square) = rows
        .iter()
        .fold((0.0, 0.0), |(a, b), (c, d)| (a + c, b + d));
    (square / n - (sum / n).powi(2)).max(0.0)
}
