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

#[cfg(test)]
mod tests {
    use super::super::painted::{Exact, assert_near, exact, sure, with_squares};
    use super::*;

    fn loss(of: &Exact) -> Loss {
        Loss::sum(&of.panel.silver, 0, &of.windows, &of.settings)
    }

    #[test]
    fn it_is_the_root_mean_square_loss() {
        let of = |level: f32| {
            let of = exact(|_, _| level);
            measure(&loss(&of), of.resamples())
        };
        assert_eq!(of(1.0), sure(0.0));
        assert_eq!(of(0.0), sure(100.0));
        assert_near(of(0.75), 25.0);
        // A tenth of the columns bare: 100 √0.1.
        let tenth = exact(|_, c| f32::from(u8::from(c % 10 != 0)));
        assert_near(measure(&loss(&tenth), tenth.resamples()), 31.622_777);
        assert_eq!(measure(&loss(&tenth), None), Err(Unmeasured::PanelTooSmall));
        // One pixel of 240².
        let pixel = with_squares(&[[7, 9, 1]]);
        assert_near(measure(&loss(&pixel), pixel.resamples()), 100.0 / 240.0);
    }

    #[test]
    fn an_even_loss_has_no_texture_and_a_bare_half_is_even_by_half() {
        let scales = |of: &Exact| by_scale(&of.panel.silver, &of.panel, &loss(of), &of.settings);
        let of = |scales: &[Scale]| scales.iter().map(|s| s.mean_square).collect::<Vec<_>>();
        assert_eq!(
            of(&scales(&exact(|_, _| 0.5))),
            vec![0.25, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]
        );
        assert_eq!(of(&scales(&exact(|_, _| 1.0))), vec![0.0; 8]);
        // Half bare: mean square 1/2, of it the even (1/2)² and the variance 1/4, most of which stays to the last blur.
        let half = scales(&exact(|_, c| f32::from(u8::from(c >= 120))));
        assert!((half[0].mean_square - 0.25).abs() < 1e-9);
        let rest: f64 = half[1..].iter().map(|s| s.mean_square).sum();
        assert!((rest - 0.25).abs() < 1e-6, "{rest}");
        assert!(half.iter().all(|s| s.mean_square >= 0.0), "{half:?}");
        // Stripes of a pixel are gone at the first blur.
        let fine = of(&scales(&exact(|_, c| f32::from(u8::from(c % 2 == 0)))));
        assert!((fine[1] - 0.25).abs() < 1e-3, "{fine:?}");
    }

    #[test]
    fn a_single_row_has_a_variance_by_scale() {
        let silver = Plane::from_shape_fn((1, 240), |(_, c)| f32::from(u8::from(c >= 120)));
        assert!((variance(&silver) - 0.25).abs() < 1e-9);
        assert_eq!(halved(&silver, false).dim(), (1, 120));
        assert_eq!(halved(&Plane::ones((1, 1)), false).dim(), (1, 1));
        assert!(variance(&Plane::ones((1, 1))).abs() < 1e-12);
    }

    fn table() -> Vec<Scale> {
        let scale = |from_mm, to_mm, mean_square| Scale {
            from_mm,
            to_mm,
            mean_square,
        };
        vec![
            scale(0.0, None, 0.04),
            scale(0.25, Some(0.5), 0.01),
            scale(0.5, Some(1.0), 0.01),
            scale(1.0, Some(2.0), 0.02),
            scale(2.0, Some(4.0), 0.0),
            scale(4.0, Some(8.0), 0.02),
            scale(8.0, None, 0.06),
        ]
    }

    #[test]
    fn the_parts_add_up_to_the_whole() {
        // 0.16 in all is 40 points, so 0.01 of it is 2.5.
        let parts = Parts::new(&table());
        for (found, wanted) in [
            (parts.even, 10.0),
            (parts.fine, 5.0),
            (parts.middle, 5.0),
            (parts.coarse, 20.0),
        ] {
            assert!((found - wanted).abs() < 1e-9, "{parts:?}");
        }
        let none = Parts {
            even: 0.0,
            fine: 0.0,
            middle: 0.0,
            coarse: 0.0,
        };
        assert_eq!(Parts::new(&[]), none);
    }

    #[test]
    fn texture_is_told_between_two_blurs_and_never_of_the_even_loss() {
        for (from, to, variance) in [
            (0.0, 1.0, 0.02),
            (1.0, 4.0, 0.02),
            (4.0, f64::INFINITY, 0.08),
            (0.0, f64::INFINITY, 0.12),
            (0.5, 0.9, 0.0),
        ] {
            let found = texture(&table(), from, to);
            assert!(
                (found - 100.0 * f64::sqrt(variance)).abs() < 1e-9,
                "{from} {to} {found}"
            );
        }
    }
}
