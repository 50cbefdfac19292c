//! Lines: share of the area in cracks, drips, scratches and nets.
//!
//! A line is a connected place, dark as a speckle is (under half of the silver around it), over five times as long as wide,
//! under 2 mm wide and of one width. It is neither a speckle nor a blot. How wide it is at a place is the diameter of the
//! largest disc inside it that holds the place (Hildebrand & Rüegsegger, Journal of Microscopy 185 (1997) 67–75); t is the mean
//! of that over all places, and the area over t² says how many times as long as wide, however it bends and forks. Four times
//! the mean distance to the outline is the width of a strip, and less the more the width changes: under 0.9 t it is a chain of
//! specks that ran together. And what is no larger than a speckle may be must be
//! straight too, or rings would be lines. An ellipse is a line from an axis ratio of about 5 on. 0 on a plain mirror; grows by
//! hairs on the glass. A line that runs through a blot is a part of the blot, and a
//! worn edge is no line.
//!
//! Blur narrows what is hardly wider than itself: the width at which a blurred and sharpened bar shows the found one is
//! looked for, and the area put right in that measure. A line that runs exactly along the pixels comes out a whole number of
//! them wide.

use statrs::distribution::{Continuous, ContinuousCDF, Normal};

use super::Settings;
use super::dark_area::{diameter_mm, sharpening_px2};
use super::windows::Windows;
use crate::frame::panel::Panel;
use crate::ops::label::{Area, Labels, Run};
use crate::stats::bootstrap::Resamples;
use crate::units::{Measure, Unmeasured};

/// Times as long as wide.
const LEAST_RATIO: f64 = 5.0;

/// Widest line, mm.
const WIDEST_MM: f64 = 2.0;

/// Width of the strip with the same mean distance to the outline, over the mean thickness. A disc has 0.67, chains of touching
/// discs 0.75 to 0.85, long ellipses 0.94 and strips 1 (drawn in pixels).
const OF_ONE_WIDTH: f64 = 0.9;

/// Pixels make a slanting strip seem so much narrower, px.
const NARROWED_PX: f64 = 0.5;

/// A line ends at the panel's edge; what lies on it for more than this share of its length is a worn edge.
const ALONG_EDGE: f64 = 0.5;

/// √(λ₁/λ₂) of the second moments of a straight thing: of a ring it is 1, of a half circle 2.3.
const STRAIGHT: f64 = 3.0;

/// Outlines of steps are up to this much off, so that a shape this much stouter is still looked at closely.
const OUTLINE_SLACK: f64 = 1.3;

/// Steps of halving a width: to a thousandth of it.
const HALVINGS: usize = 14;

/// A line among the dark areas.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Line {
    /// The number of its dark area.
    pub(super) area: usize,
    /// Mean width, blur taken out, mm.
    pub(super) width_mm: f64,
    /// Area without blur over area found.
    pub(super) as_large: f64,
}

/// Share of the area in lines, with its interval by resampled windows.
pub(super) fn measure(
    lines: &[Line],
    labels: &Labels,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Measure {
    let mut share = vec![0.0; labels.areas.len()];
    for line in lines {
        share[line.area] = line.as_large;
    }
    let of_run = |run: &Run| share[run.area as usize];
    let runs = labels.runs.iter().filter(|run| of_run(run) > 0.0);
    let mut lined = vec![0.0; windows.count()];
    windows.add_runs(runs, of_run, &mut lined);
    resamples
        .and_then(|r| r.ratio(&lined, &windows.areas_px()))
        .ok_or(Unmeasured::PanelTooSmall)
}

/// The lines among areas of at least this equivalent diameter, in the areas' order.
pub(super) fn among(
    labels: &Labels,
    panel: &Panel,
    least_diameter_mm: f64,
    settings: &Settings,
) -> Vec<Line> {
    let least_mm = least_diameter_mm.min(settings.speckle_diameter_mm.1);
    let widest_px = WIDEST_MM * panel.px_per_mm;
    let largest_px = settings.speckle_diameter_mm.1 * panel.px_per_mm;
    let long = |area: &Area| {
        let (width, length) = band(area)?;
        let fits = length * OUTLINE_SLACK > LEAST_RATIO * width && width < widest_px;
        (fits
            && (is_straight(area) || extent_px(area) > largest_px)
            && diameter_mm(area, panel) >= least_mm)
            .then_some(width)
    };
    // Few areas are long; the runs of those alone are gathered.
    let mut found: Vec<(usize, f64, Vec<Run>)> = Vec::new();
    let mut place = vec![usize::MAX; labels.areas.len()];
    for (number, area) in labels.areas.iter().enumerate() {
        if let Some(width) = long(area) {
            place[number] = found.len();
            found.push((number, width, Vec::new()));
        }
    }
    if found.is_empty() {
        return Vec::new();
    }
    for run in &labels.runs {
        if let Some((_, _, runs)) = found.get_mut(place[run.area as usize]) {
            runs.push(*run);
        }
    }
    let is_line = |(number, width, runs): &(usize, f64, Vec<Run>)| {
        let area = &labels.areas[*number];
        let thick = Thickness::new(area, runs);
        let ratio = f64::from(area.pixels) / (thick.mean_px * thick.mean_px);
        let found_mm = width / panel.px_per_mm;
        let width_mm = unblurred_width(
            found_mm,
            panel.blur_mm,
            sharpening_px2(panel) / panel.px_per_mm.powi(2),
        );
        let even = thick.as_strip_px + NARROWED_PX >= OF_ONE_WIDTH * thick.mean_px;
        let length = f64::from(area.pixels) / width;
        let fits = ratio > LEAST_RATIO && even && on_border_px(runs, panel) < ALONG_EDGE * length;
        (fits && width_mm < WIDEST_MM).then_some(Line {
            area: *number,
            width_mm,
            as_large: width_mm / found_mm,
        })
    };
    found.iter().filter_map(is_line).collect()
}

/// Width and length, px, of the band of an area's own area and outline; `None` where no band has so short an outline.
fn band(area: &Area) -> Option<(f64, f64)> {
    let half = area.perimeter / 2.0;
    let apart = (half * half - 4.0 * f64::from(area.pixels)).max(0.0).sqrt();
    (apart > 0.0).then_some(((half - apart) / 2.0, f64::midpoint(half, apart)))
}

/// Longer side of the upright rectangle about an area, px.
fn extent_px(area: &Area) -> f64 {
    let side = |(first, last): (u32, u32)| f64::from(last - first + 1);
    side(area.rows).max(side(area.cols))
}

/// How much of an area lies on the panel's outermost rows and columns, px.
fn on_border_px(runs: &[Run], panel: &Panel) -> f64 {
    let (rows, cols) = panel.silver.dim();
    let [last_row, last_col] = [rows, cols].map(|side| side as u32 - 1);
    let of_run = |run: &Run| {
        let along = [0, last_row].contains(&run.row);
        let ends = u32::from(run.first == 0) + u32::from(run.last == last_col);
        if along {
            run.last - run.first + 1
        } else {
            ends
        }
    };
    f64::from(runs.iter().map(of_run).sum::<u32>())
}

fn is_straight(area: &Area) -> bool {
    let ([large, small], _) = area.principal();
    large > STRAIGHT * STRAIGHT * small
}

/// How wide an area is.
struct Thickness {
    /// Mean over its pixels of the diameter of the largest disc inside that holds the pixel, px.
    mean_px: f64,
    /// Width of the strip whose pixels lie as far from the outline, px.
    as_strip_px: f64,
}

impl Thickness {
    fn new(area: &Area, runs: &[Run]) -> Self {
        let (cols, away) = distances(area, runs);
        let mut radius = vec![0.0_f32; away.len()];
        for (at, d) in away.iter().enumerate().filter(|(_, d)| **d > 0.0) {
            // A disc that lies in its neighbour's adds nothing.
            let beside = [
                (1, 1.0),
                (cols, 1.0),
                (cols - 1, ASLANT),
                (cols + 1, ASLANT),
            ];
            let held = |(step, apart): (usize, f32)| {
                away[at - step].max(away[at + step]) >= d + apart - 1e-3
            };
            if beside.into_iter().any(held) {
                continue;
            }
            let reach = d.ceil() as isize - 1;
            for down in -reach..=reach {
                for across in -reach..=reach {
                    if (down as f32).hypot(across as f32) < *d {
                        let there = at.wrapping_add_signed(down * cols as isize + across);
                        radius[there] = radius[there].max(*d);
                    }
                }
            }
        }
        // A strip n pixels wide has its largest distance at (n + 1) / 2 where n is odd and n / 2 where it is even.
        let inside = || radius.iter().zip(&away).filter(|(_, d)| **d > 0.0);
        let pixels = f64::from(area.pixels);
        Thickness {
            mean_px: inside()
                .map(|(r, _)| 2.0 * f64::from(*r) - 0.5)
                .sum::<f64>()
                / pixels,
            as_strip_px: inside()
                .map(|(_, d)| 4.0 * (f64::from(*d) - 0.5))
                .sum::<f64>()
                / pixels,
        }
    }
}

/// One step along the diagonal.
const ASLANT: f32 = std::f32::consts::SQRT_2;

/// How far each pixel of an area lies from the nearest outside it, in a raster of so many columns with a border of one pixel:
/// chamfer distances of steps of 1 and √2 (Borgefors 1986).
fn distances(area: &Area, runs: &[Run]) -> (usize, Vec<f32>) {
    let cols = (area.cols.1 - area.cols.0 + 3) as usize;
    let rows = (area.rows.1 - area.rows.0 + 3) as usize;
    let mut distance = vec![0.0_f32; rows * cols];
    for run in runs {
        let line = (run.row - area.rows.0 + 1) as usize * cols;
        let [first, last] = [run.first, run.last].map(|c| (c - area.cols.0 + 1) as usize);
        distance[line + first..=line + last].fill(f32::MAX);
    }
    let inside = cols + 1..(rows - 1) * cols - 1;
    for i in inside
        .clone()
        .filter(|i| (1..cols - 1).contains(&(i % cols)))
    {
        let above = distance[i - cols].min(distance[i - 1]) + 1.0;
        let beside = distance[i - cols - 1].min(distance[i - cols + 1]) + ASLANT;
        distance[i] = distance[i].min(above).min(beside);
    }
    for i in inside.rev().filter(|i| (1..cols - 1).contains(&(i % cols))) {
        let below = distance[i + cols].min(distance[i + 1]) + 1.0;
        let beside = distance[i + cols + 1].min(distance[i + cols - 1]) + ASLANT;
        distance[i] = distance[i].min(below).min(beside);
    }
    (cols, distance)
}

/// Width, mm, of the bare bar that shows `found` mm of it under half of the silver around, blurred by a Gaussian of `blur`
/// mm and sharpened by a step of `step` mm² against its second derivative.
fn unblurred_width(found: f64, blur: f64, step: f64) -> f64 {
    if blur <= 0.0 {
        return found;
    }
    let normal = Normal::standard();
    let edge = found / 2.0;
    let dark = |half: f64| {
        let [a, b] = [edge + half, edge - half].map(|x| x / blur);
        let bent = b * normal.pdf(b) - a * normal.pdf(a);
        normal.cdf(a) - normal.cdf(b) - step / (blur * blur) * bent
    };
    let (mut low, mut high) = (0.0, edge + 4.0 * blur);
    for _ in 0..HALVINGS {
        let half = f64::midpoint(low, high);
        if dark(half) < 0.5 {
            low = half;
        } else {
            high = half;
        }
    }
    low + high
}

#[cfg(test)]
mod tests {
    use super::super::painted;
    use super::*;

    /// Everything of one painted panel.
    fn lines_of(dark: impl Fn(f64, f64) -> bool) -> (f64, usize) {
        let panel = painted::panel(60.0, 0.08, |x, y| f64::from(u8::from(!dark(x, y))));
        let m = super::super::measure(&panel, &Settings::default());
        (m.numbers.line_fraction.unwrap().value, m.speckles.len())
    }

    /// A line along the pixels is a whole number of them wide; a slanting one of any width is, on average, as wide as it is.
    #[test]
    fn scratches_of_known_area_are_found_at_any_slant_and_width() {
        for (degrees, width, length) in [
            (3.0_f64, 0.3, 20.0),
            (17.0, 0.3, 30.0),
            (45.0, 0.5, 10.0),
            (70.0, 1.2, 25.0),
            (88.0, 1.8, 40.0),
        ] {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let (share, specks) = lines_of(|x, y| {
                let (x, y) = (x - 30.0, y - 30.0);
                (x * cos + y * sin).abs() < length / 2.0 && (y * cos - x * sin).abs() < width / 2.0
            });
            let wanted = width * length / 3600.0;
            assert!(
                (share / wanted - 1.0).abs() < 0.05,
                "{degrees} {width}: {share} {wanted}"
            );
            assert_eq!(specks, 0, "{degrees} {width}");
        }
    }

    #[test]
    fn rings_and_nets_of_thin_lines_are_lines_and_spots_are_not() {
        // A circle of 20 mm across drawn 0.6 mm wide: area π 20 × 0.6.
        let (share, _) = lines_of(|x, y| ((x - 30.0).hypot(y - 30.0) - 10.0).abs() < 0.3);
        let wanted = std::f64::consts::PI * 20.0 * 0.6 / 3600.0;
        assert!((share / wanted - 1.0).abs() < 0.05, "{share} {wanted}");
        // A net of 0.4 mm lines 8 mm apart in a square of 40 mm: six each way, less what they share.
        let on = |v: f64| ((v - 10.0) / 8.0).round() * 8.0 + 10.0 - v;
        let (share, _) = lines_of(|x, y| {
            let inside = [x, y].iter().all(|v| (9.8..50.2).contains(v));
            inside && (on(x).abs() < 0.2 || on(y).abs() < 0.2)
        });
        let wanted = (12.0 * 0.4 * 40.4 - 36.0 * 0.16) / 3600.0;
        assert!((share / wanted - 1.0).abs() < 0.05, "{share} {wanted}");
        // An ellipse four times as long as wide, and chains of four and of nine specks.
        let (share, specks) = lines_of(|x, y| ((x - 30.0) / 2.0).hypot((y - 30.0) / 0.5) < 1.0);
        assert_eq!((share, specks), (0.0, 1));
        let (share, specks) =
            lines_of(|x, y| (0..4).any(|i| (x - 28.0 - 0.8 * f64::from(i)).hypot(y - 30.0) < 0.5));
        assert_eq!((share, specks), (0.0, 1));
        let (share, specks) =
            lines_of(|x, y| (0..9).any(|i| (x - 26.0 - 0.9 * f64::from(i)).hypot(y - 30.0) < 0.5));
        assert_eq!((share, specks), (0.0, 1));
        // A scratch of 20 by 0.6 mm through two specks of 1 mm, and what of them lies beside it.
        let on = |x: f64, y: f64| (x - 30.0).abs() < 10.0 && (y - 30.0).abs() < 0.3;
        let speck = |x: f64, y: f64| [24.0, 35.0].iter().any(|at| (x - at).hypot(y - 30.0) < 0.5);
        let (share, specks) = lines_of(|x, y| on(x, y) || speck(x, y));
        let wanted = (12.0 + 2.0 * 0.224) / 3600.0;
        assert!((share / wanted - 1.0).abs() < 0.08, "{share} {wanted}");
        assert_eq!(specks, 0);
        // A broad band is a blot.
        let (share, _) = lines_of(|x, y| (x - 30.0).abs() < 20.0 && (y - 30.0).abs() < 1.6);
        assert!(share.abs() < 1e-12);
        // A panel worn along its edge has no line there; a scratch that runs off it is one.
        let (share, _) = lines_of(|x, _| x < 0.8);
        assert!(share.abs() < 1e-12);
        let (share, _) = lines_of(|x, y| x < 40.0 && (y - 30.0 - x / 3.0).abs() < 0.4);
        assert!(share > 0.008, "{share}");
        // A ring no larger than a speckle is one, and half of it too.
        for open in [false, true] {
            let (share, specks) = lines_of(|x, y| {
                let (x, y) = (x - 30.0, y - 30.0);
                (x.hypot(y) - 2.0).abs() < 0.2 && !(open && x > 0.0)
            });
            assert_eq!((share, specks), (0.0, 1));
        }
    }

    #[test]
    fn a_blurred_bar_is_given_its_own_width() {
        // Wider than four deviations, the half-way contour lies on the edge.
        assert!((unblurred_width(1.0, 0.1, 0.0) - 1.0).abs() < 1e-3);
        // Φ(a) − Φ(b) = 0.5 at a = 1.1, b = −0.1886 (table of the normal): found 0.9114, true 1.2886 deviations.
        let normal = Normal::standard();
        let b = normal.inverse_cdf(normal.cdf(1.1) - 0.5);
        let (found, wanted) = (1.1 + b, 1.1 - b);
        assert!((unblurred_width(found, 1.0, 0.0) - wanted).abs() < 2e-3);
    }

    #[test]
    fn nothing_and_one_pixel_are_no_lines() {
        use super::super::painted::{exact, sure, with_squares};
        let share = |of: &painted::Exact| {
            measure(&of.dark.lines, &of.dark.labels, &of.windows, of.resamples())
        };
        for of in [
            exact(|_, _| 1.0),
            exact(|_, _| 0.0),
            with_squares(&[[9, 9, 1]]),
        ] {
            assert_eq!(share(&of), sure(0.0));
        }
        let bar = exact(|r, c| {
            f32::from(u8::from(
                !((100..104).contains(&r) && (20..120).contains(&c)),
            ))
        });
        let found = share(&bar).unwrap().value;
        assert!((found - 400.0 / 57_600.0).abs() < 1e-9, "{found}");
        let none = measure(&bar.dark.lines, &bar.dark.labels, &bar.windows, None);
        assert_eq!(none, Err(Unmeasured::PanelTooSmall));
    }
}
