//! Speckle evenness: whether the specks keep apart, lie anywhere, or clump.
//!
//! Clark & Evans (1954): the mean distance from a speckle to its nearest neighbour over what it would be if they lay
//! anywhere, the latter with Donnelly's (1978) correction for the panel's edges. 1 lies anywhere, under 1 clumped (0.6 to
//! the eye in groups), above 1 spaced out (2.15 for a perfect honeycomb). Specks that run into each other count as one,
//! which alone lifts it a little on a crowded panel.

use super::speckle::{FEWEST_SIZES, Speckle};
use super::windows::Windows;
use crate::frame::panel::Panel;
use crate::stats::bootstrap::{Resamples, dot};
use crate::stats::spatial::{expected_distance, nearest_distances};
use crate::units::{Measure, Unmeasured};

/// Evenness of the counted speckles, with its interval by resampled windows. How specks lie to their neighbours is a matter
/// of millimetres, so windows are strangers in it whatever clouds they share.
pub(super) fn measure(
    found: &[Speckle],
    panel: &Panel,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Measure {
    let resamples = resamples.ok_or(Unmeasured::PanelTooSmall)?;
    let counted: Vec<&Speckle> = found.iter().filter(|s| s.counted).collect();
    if counted.len() < FEWEST_SIZES {
        return Err(Unmeasured::TooFewSpeckles);
    }
    let (rows, cols) = panel.silver.dim();
    let [width, height] = [cols, rows].map(|px| px as f64 / panel.px_per_mm);
    let places: Vec<[f64; 2]> = counted
        .iter()
        .map(|s| [s.col / panel.px_per_mm, s.row / panel.px_per_mm])
        .collect();
    let distances = nearest_distances(&places, width, height);
    let mut counts = vec![0.0; windows.count()];
    let mut sums = vec![0.0; windows.count()];
    for (s, distance) in counted.iter().zip(distances) {
        let window = windows.at(s.row, s.col);
        counts[window] += 1.0;
        sums[window] += distance;
    }
    // Given how many there are, only how they lie is in doubt: what a resample's number alone does to the sum of the
    // distances is taken off.
    let n = counted.len() as f64;
    let expected = expected_distance(n, width, height);
    let by_number = slope(&counts, &sums);
    let of = |weights: &[f64]| {
        let sum = dot(weights, &sums) - by_number * (dot(weights, &counts) - n);
        Some(sum / n / expected)
    };
    let value = of(&vec![1.0; windows.count()]).ok_or(Unmeasured::TooFewSpeckles)?;
    resamples
        .interval(value, of)
        .ok_or(Unmeasured::PanelTooSmall)
}

/// Slope of the straight line of `y` over `x`; 0 where `x` does not vary.
fn slope(x: &[f64], y: &[f64]) -> f64 {
    let n = x.len() as f64;
    let (mx, my) = (x.iter().sum::<f64>() / n, y.iter().sum::<f64>() / n);
    let products: f64 = x.iter().zip(y).map(|(x, y)| (x - mx) * (y - my)).sum();
    let squares: f64 = x.iter().map(|x| (x - mx).powi(2)).sum();
    if squares > 0.0 {
        products / squares
    } else {
        0.0
    }
}
