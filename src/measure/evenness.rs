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

#[cfg(test)]
mod tests {
    use super::super::painted::{Exact, assert_near, exact, squares_all_over, with_squares};
    use super::*;

    fn evenness(of: &Exact) -> Measure {
        measure(&of.dark.speckles, &of.panel, &of.windows, of.resamples())
    }

    #[test]
    fn a_square_lattice_is_spaced_out_by_its_own_measure() {
        // Thirty-six specks 4 mm apart on 24 mm: each is 4 mm from its neighbour. Donnelly: 0.5 √(A/n) + (0.0514 + 0.0412/√n) P/n.
        let expected = 0.5 * 4.0 + (0.0514 + 0.0412 / 6.0) * 96.0 / 36.0;
        assert_near(
            evenness(&with_squares(&squares_all_over(6, 6))),
            4.0 / expected,
        );
    }

    #[test]
    fn pairs_are_clumped() {
        let mut pairs = squares_all_over(6, 6);
        pairs.extend(
            squares_all_over(6, 6)
                .iter()
                .map(|[r, c, side]| [*r, c + 8, *side]),
        );
        let expected =
            0.5 * (576.0_f64 / 72.0).sqrt() + (0.0514 + 0.0412 / 72.0_f64.sqrt()) * 96.0 / 72.0;
        let found = evenness(&with_squares(&pairs));
        assert_near(found, 0.8 / expected);
        assert!(found.unwrap().high < 1.0);
    }

    #[test]
    fn ten_specks_tell_and_nine_do_not() {
        let too_few = Err(Unmeasured::TooFewSpeckles);
        assert_eq!(evenness(&exact(|_, _| 1.0)), too_few);
        assert_eq!(evenness(&with_squares(&squares_all_over(3, 6))), too_few);
        let mut ten = squares_all_over(3, 6);
        ten.push([5, 5, 6]);
        let of = with_squares(&ten);
        assert!(evenness(&of).is_ok());
        let none = measure(&of.dark.speckles, &of.panel, &of.windows, None);
        assert_eq!(none, Err(Unmeasured::PanelTooSmall));
    }

    #[test]
    fn the_slope_is_that_of_the_nearest_line() {
        assert!((slope(&[0.0, 1.0, 2.0], &[1.0, 3.0, 5.0]) - 2.0).abs() < 1e-12);
        assert!((slope(&[0.0, 1.0, 2.0], &[4.0, 4.0, 1.0]) + 1.5).abs() < 1e-12);
        assert!(slope(&[1.0; 3], &[1.0, 2.0, 3.0]).abs() < 1e-12);
    }
}
