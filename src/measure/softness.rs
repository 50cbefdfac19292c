//! Speckle softness: how wide the fall at the edges of the specks is, from 10 to 90 %, beyond the photo's own blur, mm.
//!
//! 0 is as sharp as the photo can show; a maker sees half a millimetre as soft, and a millimetre as a shadow. Of the larger
//! specks that stand alone: the fall runs from the level about a speck to that in its middle, and the areas under 15 % and
//! 85 % of it, taken as discs, differ in radius by the width between those two (less for an outline longer than a circle's).
//! From 15–85 to 10–90 it is 2.563/2.073 of a Gaussian edge, 8 % less for a straight ramp, 4 % less for a smooth step. Areas
//! were chosen over profiles along rays: they need no normal of the edge, average all of it, and cost a count of a few
//! hundred pixels a speck. The photo's blur σ, 2.563 σ wide, is taken out in quadrature, for variances of edges add; how
//! well it is known widens the interval.

use std::f64::consts::PI;

use super::dark::Dark;
use super::speckle::{self, FEWEST_SIZES};
use super::windows::Windows;
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::label::Area;
use crate::stats::bootstrap::Resamples;
use crate::units::{Estimate, Measure};

/// Shares of the fall between which the width is read.
const BETWEEN: [f64; 2] = [0.15, 0.85];

/// Widths of a Gaussian edge from 10 to 90 % and from 15 to 85 %, deviations (standard normal quantiles, twice).
const FROM_10_TO_90: f64 = 2.563;
const FROM_15_TO_85: f64 = 2.073;

/// Space about a speck that no other may reach into, mm: first a wide one, then what crowded panels have.
const ALONE_MM: [f64; 2] = [1.5, 0.8];

/// Specks looked at, the largest first: enough for an interval.
const MOST: usize = 300;

/// Areas of fewer pixels are noise, and in nobody's way.
const LEAST_PIXELS: u32 = 4;

/// The floor of the fall is the mean within this share of a speck's radius about its middle. Chosen by place and not by
/// darkness, it holds no more of the noise than its mean.
const MIDDLE: f64 = 0.3;

/// All but a tenth of the surroundings must lie above this share of the fall, or something else reaches in.
const EVEN: f64 = 0.9;

/// Doubt of the photo's blur, as a share of it: the scatter of stretches along the panel's sides.
const BLUR_DOUBT: f64 = 0.05;

/// Softness of the larger speckles, with its interval by resampled windows.
pub(super) fn measure(
    dark: &Dark,
    panel: &Panel,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Measure {
    let mut sized: Vec<_> = dark
        .sized(windows)
        .filter(|(_, area, _)| area.holes == 0)
        .collect();
    sized.sort_by(|a, b| b.0.diameter_mm.total_cmp(&a.0.diameter_mm));
    // The larger half.
    sized.truncate(sized.len().div_ceil(2).max(FEWEST_SIZES));
    let boxes: Vec<&Area> = dark
        .labels
        .areas
        .iter()
        .filter(|a| a.pixels >= LEAST_PIXELS)
        .collect();
    let of_photo = (FROM_10_TO_90 * panel.blur_mm).powi(2);
    // Signed squares, so that those under the photo's own blur keep their place on the other side of the middle.
    let beyond = |alone_mm: f64| -> Vec<(f64, f64, usize)> {
        let apart = (alone_mm * panel.px_per_mm).round() as u32;
        let widths = sized.iter().filter_map(|(speckle, area, window)| {
            let width = width_mm(area, apart, &boxes, panel)?;
            Some((width.powi(2) - of_photo, speckle.weight, *window))
        });
        widths.take(MOST).collect()
    };
    let mut found = ALONE_MM
        .into_iter()
        .map(beyond)
        .find(|f| f.len() >= FEWEST_SIZES)
        .unwrap_or_default();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let doubt = of_photo * ((1.0 + BLUR_DOUBT).powi(2) - 1.0);
    let root = |v: f64| v.max(0.0).sqrt();
    speckle::quantile(&found, 0.5, windows, resamples).map(|e| Estimate {
        value: root(e.value),
        low: root(e.value - (e.value - e.low).hypot(doubt)),
        high: root(e.value + (e.high - e.value).hypot(doubt)),
    })
}

/// Width of the fall of a speck that nothing else comes near, mm; `None` of another.
fn width_mm(area: &Area, apart: u32, others: &[&Area], panel: &Panel) -> Option<f64> {
    let (height, width) = panel.silver.dim();
    let grown = |(first, last): (u32, u32), side: usize| {
        let whole = first >= apart && ((last + apart) as usize) < side;
        whole.then(|| (first - apart, last + apart))
    };
    let (rows, cols) = (grown(area.rows, height)?, grown(area.cols, width)?);
    let meets = |a: (u32, u32), b: (u32, u32)| a.0 <= b.1 && b.0 <= a.1;
    let alone = others
        .iter()
        .filter(|o| meets(o.rows, rows) && meets(o.cols, cols))
        .count();
    if alone > 1 {
        return None;
    }
    let mut about = rim(&panel.silver, rows, cols);
    about.sort_unstable_by(f32::total_cmp);
    let mut all: Vec<f32> = (rows.0..=rows.1)
        .flat_map(|r| (cols.0..=cols.1).map(move |c| [r as usize, c as usize]))
        .map(|at| panel.silver[at])
        .collect();
    all.sort_unstable_by(f32::total_cmp);
    let floor = floor(&panel.silver, area);
    let level = f64::from(about[about.len() / 2]);
    let at = |share: f64| (floor + share * (level - floor)) as f32;
    if f64::from(about[about.len() / 10]) < floor + EVEN * (level - floor) {
        return None;
    }
    let radius = |share: f64| {
        let pixels = all.partition_point(|s| *s < at(share));
        (pixels as f64 / PI).sqrt()
    };
    let round = 2.0 * (PI * f64::from(area.pixels)).sqrt();
    let longer = (area.perimeter / round).max(1.0);
    let between = (radius(BETWEEN[1]) - radius(BETWEEN[0])) / longer;
    Some(between * FROM_10_TO_90 / FROM_15_TO_85 / panel.px_per_mm)
}

/// Mean silver about the middle of a speck.
fn floor(silver: &Plane, area: &Area) -> f64 {
    let reach = (MIDDLE * (f64::from(area.pixels) / PI).sqrt()).max(1.0);
    let (mut sum, mut pixels) = (0.0, 0.0);
    for r in area.rows.0..=area.rows.1 {
        for c in area.cols.0..=area.cols.1 {
            if (f64::from(r) - area.row).hypot(f64::from(c) - area.col) <= reach {
                sum += f64::from(silver[[r as usize, c as usize]]);
                pixels += 1.0;
            }
        }
    }
    sum / f64::max(pixels, 1.0)
}

/// The outermost pixels of a box.
fn rim(silver: &Plane, rows: (u32, u32), cols: (u32, u32)) -> Vec<f32> {
    let [top, bottom, left, right] = [rows.0, rows.1, cols.0, cols.1].map(|v| v as usize);
    let level = (left..=right).flat_map(|c| [silver[[top, c]], silver[[bottom, c]]]);
    let upright = (top..=bottom).flat_map(|r| [silver[[r, left]], silver[[r, right]]]);
    level.chain(upright).collect()
}

#[cfg(test)]
mod tests {
    use super::super::{Settings, painted};
    use statrs::distribution::{ContinuousCDF, Normal};

    /// Discs on a grid of 6 mm whose silver rises across their edges as `rise` says of the distance from it, mm.
    fn softness(radius: f64, blur: f64, rise: impl Fn(f64) -> f64) -> f64 {
        let panel = painted::panel(90.0, blur, |x, y| {
            rise((x % 6.0 - 3.0).hypot(y % 6.0 - 3.0) - radius)
        });
        let m = super::super::measure(&panel, &Settings::default());
        m.numbers.speckle_softness.unwrap().value
    }

    #[test]
    fn a_gaussian_edge_is_2_563_deviations_wide_at_any_blur_of_the_photo() {
        let normal = Normal::standard();
        for (radius, sigma, blur) in [(0.8, 0.1, 0.1), (0.8, 0.2, 0.15), (1.2, 0.4, 0.1)] {
            let got = softness(radius, blur, |d| normal.cdf(d / sigma));
            let wanted = 2.563 * sigma;
            assert!(
                (got - wanted).abs() < 0.05,
                "{radius} {sigma} {blur}: {got} {wanted}"
            );
        }
    }

    #[test]
    fn ramps_and_smooth_steps_have_four_fifths_and_0_608_of_their_width() {
        let got = softness(1.2, 0.1, |d| (d / 1.0 + 0.5).clamp(0.0, 1.0));
        assert!((got - 0.8).abs() < 0.09, "{got}");
        let got = softness(1.2, 0.1, |d| {
            let t = (d / 1.2 + 0.5).clamp(0.0, 1.0);
            t * t * (3.0 - 2.0 * t)
        });
        assert!((got - 0.73).abs() < 0.09, "{got}");
    }

    #[test]
    fn sharp_discs_are_as_sharp_as_the_photo_shows() {
        for (radius, blur) in [(0.4, 0.1), (0.7, 0.1), (1.0, 0.2)] {
            let got = softness(radius, blur, |d| f64::from(u8::from(d > 0.0)));
            assert!(got < 0.1, "{radius} {blur}: {got}");
        }
    }

    #[test]
    fn steps_without_blur_are_as_sharp_as_can_be() {
        use super::super::painted::{squares_all_over, sure, with_squares};
        use super::*;
        use crate::units::Unmeasured;
        let softness = |squares: &[[usize; 3]]| {
            let of = with_squares(squares);
            measure(&of.dark, &of.panel, &of.windows, of.resamples())
        };
        assert_eq!(softness(&squares_all_over(4, 8)), sure(0.0));
        let too_few = Err(Unmeasured::TooFewSpeckles);
        assert_eq!(softness(&squares_all_over(3, 8)), too_few);
        assert_eq!(softness(&[]), too_few);
        // Squares 0.7 mm apart lie too close together to be looked at.
        assert_eq!(softness(&squares_all_over(16, 8)), too_few);
    }

    #[test]
    fn the_rim_is_the_outermost_pixels() {
        let plane = crate::frame::drawn::plane(&["1234", "5##6", "7##8", "9123"]);
        let mut rim = super::rim(&plane, (0, 3), (0, 3));
        rim.sort_by(f32::total_cmp);
        // Twelve pixels; the corners count twice.
        let wanted = [1, 1, 1, 2, 2, 3, 3, 3, 4, 4, 5, 6, 7, 8, 9, 9].map(|v| v as f32 / 10.0);
        assert_eq!(rim, wanted.to_vec());
    }
}
