//! Tone: the colour of the silver that is left, CIELAB a* and b* (CIE 15) with full silver as white.
//!
//! 0 and 0 is neutral; b* over 0 is warm (yellow-brown), under 0 cold; a* over 0 is pinkish. From the mean light of the
//! pixels with s ≥ 0.5, for CIELAB of a mean is what the eye blends, not a mean of CIELAB. A lamp whose colour differs
//! between patch and panel moves it. Thin silver is warm without any tarnish.

use super::windows::Windows;
use crate::frame::panel::Tone;
use crate::ops::transfer::lab;
use crate::stats::bootstrap::{Resamples, dot};
use crate::units::{Measure, Unmeasured};

/// Share of the panel that must have silver left.
const LEAST_SHARE: f64 = 0.01;

/// No colour of a surface lies farther out, in a* or b*; light that does was held against a patch that shows no silver.
const FARTHEST: f64 = 128.0;

/// a* and b* of the remaining silver.
pub(super) fn measure(
    tone: &Tone,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> (Measure, Measure) {
    let Some(resamples) = resamples else {
        return (
            Err(Unmeasured::PanelTooSmall),
            Err(Unmeasured::PanelTooSmall),
        );
    };
    let mut sums = [0, 1, 2].map(|_| vec![0.0; windows.count()]);
    let mut weights = vec![0.0; windows.count()];
    let middle = |i: usize| (i as f64 + 0.5) * tone.cell_px as f64;
    let column: Vec<usize> = (0..tone.weight.ncols())
        .map(|c| windows.at(0.0, middle(c)))
        .collect();
    for (r, row) in tone.weight.rows().into_iter().enumerate() {
        let first = windows.at(middle(r), 0.0);
        for (c, weight) in row.iter().enumerate() {
            let window = first + column[c];
            let weight = f64::from(*weight);
            weights[window] += weight;
            for (sum, plane) in sums.iter_mut().zip(&tone.planes) {
                sum[window] += weight * f64::from(plane[[r, c]]);
            }
        }
    }
    let whole: f64 = windows.areas_px().iter().sum();
    if weights.iter().sum::<f64>() < LEAST_SHARE * whole {
        return (Err(Unmeasured::NoSilver), Err(Unmeasured::NoSilver));
    }
    let lab_of = |w: &[f64]| {
        let n = dot(w, &weights);
        (n > 0.0).then(|| {
            let light = [0, 1, 2].map(|c| dot(w, &sums[c]) / n);
            lab(light).map(|v| v.clamp(-FARTHEST, FARTHEST))
        })
    };
    let axis = |i: usize| {
        let value = lab_of(&vec![1.0; windows.count()]).ok_or(Unmeasured::NoSilver)?[i];
        resamples
            .interval(value, |w| lab_of(w).map(|lab| lab[i]))
            .ok_or(Unmeasured::NoSilver)
    };
    (axis(1), axis(2))
}
