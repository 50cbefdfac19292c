//! Speckle elongation: how long the specks are for their width; and the axis along which the long ones lie.
//!
//! *Elongation*: median over the uncut speckles, weighted as their sizes are, of √(λ₁/λ₂), the square root of the ratio of
//! the principal second moments of a speckle's area; of an ellipse its axis ratio. 1 is round, 2 twice as long as wide.
//! *Axis*: mean direction of the long ones, degrees in [0, 180), anticlockwise from the panel's bottom edge, seen from the
//! front; none where chance would often bring their directions as close together (Rayleigh test on doubled angles; Fisher
//! 1993). Moments of segmented areas: ISO 9276-6 (the ellipse of Legendre). Specks that ran together are long; a moved
//! camera draws all of them out alike.
//!
//! Blur draws a contour in by a κ where its curvature is κ, with a as of a disc (see [`speckle`]). That turns the squared
//! half-axes A² and B² of an ellipse, first order in a, into A² (1 − q(3A − B)) and B² (1 − q(3B − A)) with
//! q = 2a/(AB(A + B)), from ∮x²κ ds = 2πA³/(A + B); the equations are solved for A and B by turns. Of ellipses from one to five times
//! as long as wide, from two pixels of half-width on and blurred by up to two pixels, the ratio comes out within 3 %. The
//! pixels' own 1/12 px² is not to be taken off: pixels that are counted where their middles lie inside sample the area, and
//! do not widen it. What they do is to scatter λ₁ − λ₂, by 0.35 px² (root mean square over discs of 2 to 5 px), whose square
//! is taken off, or round specks would never be found round.

use super::Settings;
use super::dark::Dark;
use super::dark_area::drawn_in_mm2;
use super::speckle::{self, FEWEST_SIZES};
use super::windows::Windows;
use crate::frame::panel::Panel;
use crate::ops::label::Area;
use crate::stats::axial::{Resultant, rayleigh_chance};
use crate::stats::bootstrap::Resamples;
use crate::units::{Estimate, Measure, Unmeasured, axial, axial_difference};

/// Mean square of λ₁ − λ₂ that a disc has by where its edge cuts the pixels, px⁴.
const BY_PIXELS_PX4: f64 = 0.12;

/// Least that blur leaves of a squared half-axis for it to be put back.
const LEAST_LEFT: f64 = 0.3;

/// Turns of solving for the half-axes.
const TURNS: usize = 30;

/// A speck this many times as long as wide has an axis worth a vote: rounder ones have the pixels'.
const LONG: f64 = 1.25;

/// A mean resultant length under this is not named: pixels and the squares of JPEG alone can leave as much.
const LEAST_RESULTANT: f64 = 0.15;

/// Elongation, and the axis of the long ones.
pub(super) fn measure(
    dark: &Dark,
    panel: &Panel,
    windows: &Windows,
    resamples: Option<&Resamples>,
    settings: &Settings,
) -> (Measure, Measure) {
    let drawn_in = drawn_in_mm2(panel) * panel.px_per_mm.powi(2);
    let mut ratios = Vec::new();
    let mut votes = Vec::new();
    for (speckle, area, window) in dark.sized(windows) {
        let ratio = axis_ratio(area, drawn_in);
        ratios.push((ratio, speckle.weight, window));
        if ratio >= LONG {
            // Clockwise in the raster, whose rows run down.
            votes.push((axial(-area.principal().1.to_degrees()), window));
        }
    }
    ratios.sort_by(|a, b| a.0.total_cmp(&b.0));
    let elongation = speckle::quantile(&ratios, 0.5, windows, resamples).map(|e| Estimate {
        low: e.low.max(1.0),
        ..e
    });
    (elongation, axis(&votes, windows, resamples, settings))
}

fn axis(
    votes: &[(f64, usize)],
    windows: &Windows,
    resamples: Option<&Resamples>,
    settings: &Settings,
) -> Measure {
    let resamples = resamples.ok_or(Unmeasured::PanelTooSmall)?;
    if votes.len() < FEWEST_SIZES {
        return Err(Unmeasured::NoDirection);
    }
    let mut sums = vec![Resultant::default(); windows.count()];
    for (degrees, window) in votes {
        sums[*window].add(*degrees);
    }
    let of = |weights: &[f64]| Resultant::sum(&sums, weights);
    let all = of(&vec![1.0; sums.len()]);
    let by_chance = rayleigh_chance(votes.len(), all.mean_length());
    if by_chance >= settings.direction_chance || all.mean_length() < LEAST_RESULTANT {
        return Err(Unmeasured::NoDirection);
    }
    let axis = all.axis();
    let turn = resamples
        .interval(0.0, |w| Some(axial_difference(axis, of(w).axis())))
        .ok_or(Unmeasured::PanelTooSmall)?;
    Ok(Estimate {
        value: axis,
        low: axis + turn.low,
        high: axis + turn.high,
    })
}

/// Axis ratio of the speck whose area this is, with a contour drawn in by `drawn_in` px² over its radius of curvature.
fn axis_ratio(area: &Area, drawn_in: f64) -> f64 {
    let ([large, small], _) = area.principal();
    let (middle, apart) = (f64::midpoint(large, small), (large - small) / 2.0);
    let apart = (apart * apart - BY_PIXELS_PX4 / 4.0).max(0.0).sqrt();
    // Half-axes of the ellipse of these moments; a row of single pixels is still as wide as one.
    let least = 1.0 / 12.0;
    let found = [middle + apart, middle - apart].map(|v| 2.0 * v.max(least).sqrt());
    let [mut a, mut b] = found;
    for _ in 0..TURNS {
        let q = 2.0 * drawn_in / (a * b * (a + b));
        let left = [3.0 * a - b, 3.0 * b - a].map(|v| (1.0 - q * v).max(LEAST_LEFT));
        [a, b] = [found[0] / left[0].sqrt(), found[1] / left[1].sqrt()];
    }
    (a / b).max(1.0)
}

#[cfg(test)]
mod tests {
    use super::super::painted;
    use super::*;

    /// Ellipses of these half-axes on a grid of 4 mm, turned by `degrees` plus up to `scatter`, each a little elsewhere on
    /// the pixels.
    fn ellipses(
        (a, b): (f64, f64),
        degrees: f64,
        scatter: f64,
        blur: f64,
    ) -> super::super::Measurements {
        let chance = painted::scattered(400, 1.0, 9);
        let panel = painted::panel(80.0, blur, |x, y| {
            let (i, j) = ((x / 4.0) as usize, (y / 4.0) as usize);
            let [u, v] = chance[20 * j + i];
            let turned = (degrees + scatter * (2.0 * u - 1.0)).to_radians();
            let (x, y) = (x % 4.0 - 2.0 + 0.1 * u, 2.0 - y % 4.0 + 0.1 * v);
            let (along, across) = (
                x * turned.cos() + y * turned.sin(),
                y * turned.cos() - x * turned.sin(),
            );
            f64::from(u8::from((along / a).hypot(across / b) > 1.0))
        });
        super::super::measure(&panel, &Settings::default()).numbers
    }

    #[test]
    fn ellipses_of_any_size_and_blur_have_their_own_axis_ratio() {
        for (b, ratio, blur) in [
            (0.3, 1.0, 0.1),
            (0.5, 1.0, 0.15),
            (0.25, 1.5, 0.1),
            (0.4, 2.0, 0.2),
            (0.25, 3.0, 0.12),
            (0.3, 4.0, 0.15),
            (0.3, 5.0, 0.08),
        ] {
            let m = ellipses((b * ratio, b), 0.0, 90.0, blur);
            let got = m.speckle_elongation.unwrap();
            assert!(
                (got.value / ratio - 1.0).abs() < 0.06,
                "{b} {ratio} {blur}: {got:?}"
            );
            assert!(
                m.speckle_axis.is_err(),
                "{b} {ratio} {blur}: {:?}",
                m.speckle_axis
            );
        }
    }

    #[test]
    fn long_specks_that_lie_one_way_have_an_axis() {
        for degrees in [0.0, 30.0, 65.0, 120.0, 178.0] {
            let m = ellipses((0.8, 0.35), degrees, 20.0, 0.12);
            let got = m.speckle_axis.unwrap();
            let off = axial_difference(degrees, got.value);
            assert!(off.abs() < 2.5, "{degrees}: {got:?}");
            assert!(off >= got.low - got.value - 2.0 && off <= got.high - got.value + 2.0);
        }
    }

    #[test]
    fn squares_are_round_and_bars_as_long_as_their_moments() {
        use super::super::painted::{assert_near, exact, squares_all_over, sure, with_squares};
        let found = |of: &painted::Exact| {
            measure(
                &of.dark,
                &of.panel,
                &of.windows,
                of.resamples(),
                &of.settings,
            )
        };
        let (ratio, axis) = found(&with_squares(&squares_all_over(4, 8)));
        assert_eq!((ratio, axis), (sure(1.0), Err(Unmeasured::NoDirection)));
        // Bars of 12 by 4 pixels: variances (n² − 1)/12, whose difference loses what the pixels scatter.
        let middle = (143.0 + 15.0) / 24.0;
        let apart = ((128.0_f64 / 24.0).powi(2) - BY_PIXELS_PX4 / 4.0).sqrt();
        let wanted = ((middle + apart) / (middle - apart)).sqrt();
        let squares = squares_all_over(4, 12);
        for (upright, degrees) in [(false, 0.0), (true, 90.0)] {
            let (ratio, axis) = found(&exact(|r, c| {
                let bar = |[top, left, _]: &[usize; 3]| {
                    let (down, along) = if upright { (12, 4) } else { (4, 12) };
                    (*top..top + down).contains(&r) && (*left..left + along).contains(&c)
                };
                f32::from(u8::from(!squares.iter().any(bar)))
            }));
            assert_near(ratio, wanted);
            assert!(axial_difference(degrees, axis.unwrap().value).abs() < 1e-9);
        }
    }

    #[test]
    fn nine_specks_have_no_shape() {
        use super::super::painted::{squares_all_over, with_squares};
        for squares in [Vec::new(), squares_all_over(3, 8)] {
            let of = with_squares(&squares);
            let found = measure(
                &of.dark,
                &of.panel,
                &of.windows,
                of.resamples(),
                &of.settings,
            );
            assert_eq!(
                found,
                (
                    Err(Unmeasured::TooFewSpeckles),
                    Err(Unmeasured::NoDirection)
                )
            );
        }
        let of = with_squares(&squares_all_over(4, 8));
        let too_small = Err(Unmeasured::PanelTooSmall);
        let found = measure(&of.dark, &of.panel, &of.windows, None, &of.settings);
        assert_eq!(found, (too_small, too_small));
    }
}
