//! Where the glass ends although its silver is worn off towards the edge.
//!
//! A worn rim brightens inwards so slowly that the steepest change lies inside the cut. The median of the profiles across
//! a side shows how: the surround, then at the cut a step and a rise that dies away inwards,
//!
//! `T` outside, `T + S + A·(1 − exp(−x / w))` at `x` inside, both blurred.
//!
//! `T`, `S` and `A` follow by least squares for each place of the cut, width of the rise and blur. How far the cut may lie
//! from its best place before the fit is clearly worse says how sure it is.

use super::lines::{Line, quad_within};
use super::refine::Refined;
use crate::frame::photo::Photo;
use crate::frame::quad::Quad;
use crate::frame::side::Side;
use crate::placement::profile::light_across;
use crate::stats::normal_equations::NormalEquations;
use crate::stats::order::median;
use crate::stats::parabola::vertex;

/// Profiles across a side.
const PROFILES: usize = 120;

/// Share of a side left out at each end.
const ENDS: f64 = 0.05;

/// The profile reaches so far out and in, pixels, and is read every half pixel.
const REACH_PX: [f64; 2] = [9.0, 16.0];
const STEP_PX: f64 = 0.5;

/// Places of the cut that are tried, pixels inside the side as it was laid.
const TRIED_PX: [f64; 2] = [-6.0, 3.0];

/// Widths of the rise and standard deviations of the blur that are tried, pixels.
const WIDTHS_PX: [f64; 5] = [3.0, 6.0, 11.0, 20.0, 40.0];
const BLURS_PX: [f64; 3] = [0.7, 1.2, 1.9];

/// A fit this many times worse than the best is clearly worse.
const WORSE: f64 = 1.5;

/// A side is moved where it fits this many times worse than the best.
const BETTER: f64 = 1.15;

/// A side is moved only where the cut lies this far from it, pixels.
const LEAST_MOVE_PX: f64 = 0.6;

/// The quad with worn sides moved out to the cut, and how far the cut of its least sure side may lie off, pixels.
/// Sides that are `known` stay as they are.
pub(super) fn settled(photo: &Photo, refined: &Refined, known: [bool; 4]) -> Option<(Quad, f64)> {
    let side = |i: usize| side_at_cut(photo, &Side::new(&refined.quad, i), known[i]);
    let two = |i| rayon::join(|| side(i), || side(i + 1));
    let ((top, right), (bottom, left)) = rayon::join(|| two(0), || two(2));
    let (top, right, bottom, left) = (top?, right?, bottom?, left?);
    let quad = quad_within([&top.0, &right.0, &bottom.0, &left.0])?;
    let doubt = [top.1, right.1, bottom.1, left.1];
    Some((quad, doubt.into_iter().fold(0.0, f64::max)))
}

fn side_at_cut(photo: &Photo, side: &Side, known: bool) -> Option<(Line, f64)> {
    let cut = if known {
        Cut::default()
    } else {
        cut(&across(photo, side, REACH_PX, STEP_PX)?)?
    };
    Some((Line::beside(side, cut.inside), cut.doubt))
}

/// The light across a side from so far out to so far in, pixels: the median of many profiles.
pub(super) fn across(
    photo: &Photo,
    side: &Side,
    [out, inside]: [f64; 2],
    step: f64,
) -> Option<Vec<f64>> {
    let count = ((out + inside) / step) as usize + 1;
    let profiles: Vec<Vec<f64>> = (0..PROFILES)
        .map(|i| {
            let share = ENDS + (1.0 - 2.0 * ENDS) * (i as f64 + 0.5) / PROFILES as f64;
            let inside = (0..count).map(|j| j as f64 * step - out);
            light_across(photo, side, share, inside, &[0.0])
        })
        .collect();
    (0..count)
        .map(|j| median(&mut profiles.iter().map(|p| p[j]).collect::<Vec<_>>()))
        .collect()
}

/// Where the glass is cut, pixels inside the side as it was laid, and how far off that may be.
#[derive(Debug, Clone, Copy, Default)]
struct Cut {
    inside: f64,
    doubt: f64,
}

/// The cut in a profile.
fn cut(profile: &[f64]) -> Option<Cut> {
    let steps = ((TRIED_PX[1] - TRIED_PX[0]) / STEP_PX) as usize;
    // Cuts lie a reading apart, so one row of the model's values serves them all.
    let first = -REACH_PX[0] - TRIED_PX[1];
    let rows: Vec<Vec<[f64; 2]>> = (WIDTHS_PX.iter())
        .flat_map(|w| BLURS_PX.map(|b| (*w, b)))
        .map(|(w, b)| {
            let xs = (0..profile.len() + steps).map(|k| first + k as f64 * STEP_PX);
            xs.map(|x| model(x, w, b)).collect()
        })
        .collect();
    let fits: Vec<(f64, f64)> = (0..=steps)
        .map(|i| {
            let inside = TRIED_PX[0] + i as f64 * STEP_PX;
            let left = (rows.iter().map(|row| left_over(profile, &row[steps - i..])))
                .fold(f64::INFINITY, f64::min);
            (inside, left)
        })
        .collect();
    let best = (0..fits.len()).min_by(|a, b| fits[*a].1.total_cmp(&fits[*b].1))?;
    let as_good: Vec<f64> = (fits.iter())
        .filter(|f| f.1 < WORSE * fits[best].1)
        .map(|f| f.0)
        .collect();
    let around = |i: usize| fits.get(i).map_or(f64::INFINITY, |f| f.1);
    // The bottom of the parabola through three fits.
    let (before, here, after) = (around(best.wrapping_sub(1)), fits[best].1, around(best + 1));
    let shift = vertex(before - after, before + after - 2.0 * here);
    let inside = fits[best].0 + STEP_PX * shift;
    let as_laid = (fits.iter().filter(|f| f.0.abs() < 0.1)).map(|f| f.1);
    let moves =
        inside.abs() > LEAST_MOVE_PX && as_laid.fold(f64::INFINITY, f64::min) > BETTER * here;
    Some(Cut {
        inside: if moves { inside } else { 0.0 },
        doubt: (as_good.last()? - as_good.first()?) / 2.0,
    })
}

/// Sum of squares that the best surround, step and rise leave of a profile.
fn left_over(profile: &[f64], model: &[[f64; 2]]) -> f64 {
    let mut sums = NormalEquations::default();
    for (light, [step, rise]) in profile.iter().zip(model) {
        sums.add([1.0, *step, *rise], *light);
    }
    let levels = sums.solve();
    levels.map_or(f64::INFINITY, |levels| sums.left_over(&levels).max(1e-12))
}

/// The blurred step and rise at `x` inside the cut: the blur as seven points of a Gaussian.
fn model(x: f64, width: f64, blur: f64) -> [f64; 2] {
    const TAPS: [(f64, f64); 7] = [
        (-2.25, 0.0242),
        (-1.5, 0.0984),
        (-0.75, 0.2282),
        (0.0, 0.2984),
        (0.75, 0.2282),
        (1.5, 0.0984),
        (2.25, 0.0242),
    ];
    TAPS.iter().fold([0.0; 2], |[step, rise], (at, share)| {
        let at = x + at * blur;
        if at < 0.0 {
            return [step, rise];
        }
        [step + share, rise + share * (1.0 - (-at / width).exp())]
    })
}
