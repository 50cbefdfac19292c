//! Areas dark against the silver around them, and how large what shows so is.
//!
//! Blur joins neighbours and shrinks small discs. The silver is therefore sharpened by one step of diffusion backwards,
//! s − k∇²s with k = σ²/2, as far as noise allows. A disc's half-way contour then lies a/R inside its edge, with
//! a = σ²/2 for the blur less 0.65 k for the sharpening (the factor from discs blurred and sharpened alike:
//! `scripts/disc-under-blur.py`); that is put back.

use super::Settings;
use super::quiet::Quiet;
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::label::{Area, Labels, add_runs, label};

/// Furthest step of sharpening, px²: beyond it noise would be strengthened more than four times.
const FURTHEST_SHARPENING_PX2: f64 = 0.8;

/// Share of its step by which sharpening undoes the drawing in of a disc's contour.
const SHARPENING_PUTS_BACK: f64 = 0.65;

/// Under this level around it nothing is a speckle: there is hardly any silver to be missing, and half of it is no more than
/// noise and the squares of JPEG make. At 0.1, an edge worn through by nine tenths showed up to 0.3 specks a cm².
const LEAST_LEVEL: f32 = 0.2;

/// All areas darker than the speckle contrast against the quiet silver around them, large and small.
pub(super) fn dark_areas(panel: &Panel, quiet: &Quiet, settings: &Settings) -> Labels {
    let (rows, cols) = panel.silver.dim();
    let contrast = settings.speckle_contrast as f32;
    let step = sharpening_px2(panel) as f32;
    let level = quiet.surroundings();
    let holes = quiet.holes(cols, settings);
    label(rows, |r, runs| {
        let (mut around, mut row) = (Vec::new(), Vec::new());
        for stretch in &holes[r / quiet.cell_px] {
            around.resize(stretch.len(), 0.0);
            row.resize(stretch.len(), 0.0);
            level.fill_row(r, stretch.start, &mut around);
            sharpened_row(&panel.silver, r, stretch.start, step, &mut row);
            for (s, l) in row.iter_mut().zip(&around) {
                // Under 0 where it is dark; nothing is where there is no silver to be missing.
                let threshold = if *l >= LEAST_LEVEL {
                    contrast * l
                } else {
                    f32::MIN
                };
                *s -= threshold;
            }
            add_runs(row.iter().map(|s| *s < 0.0), stretch.start, runs);
        }
    })
}

/// The step of sharpening that this panel's blur asks for, px².
pub(super) fn sharpening_px2(panel: &Panel) -> f64 {
    ((panel.blur_mm * panel.px_per_mm).powi(2) / 2.0).min(FURTHEST_SHARPENING_PX2)
}

/// Row `r` from column `first` on, less `step` times its Laplacian; at the plane's edge the missing neighbour counts as
/// the pixel itself.
fn sharpened_row(plane: &Plane, r: usize, first: usize, step: f32, out: &mut [f32]) {
    let rows = [r.saturating_sub(1), r, (r + 1).min(plane.nrows() - 1)];
    let [Some(above), Some(here), Some(below)] = rows.map(|r| plane.row(r).to_slice()) else {
        return;
    };
    let (last, end) = (here.len() - 1, first + out.len());
    let sharpened = |here: f32, around: f32| here - step * (around - 4.0 * here);
    let inner = first.max(1)..end.min(last).max(first.max(1));
    let left = &here[inner.start - 1..];
    let right = here.get(inner.start + 1..).unwrap_or(&[]);
    let beside = left.iter().zip(right).map(|(a, b)| a + b);
    let upright = above[inner.clone()].iter().zip(&below[inner.clone()]);
    let around = upright.zip(beside).map(|((a, b), beside)| a + b + beside);
    for ((value, here), around) in out[inner.start - first..]
        .iter_mut()
        .zip(&here[inner])
        .zip(around)
    {
        *value = sharpened(*here, around);
    }
    for c in [0, last].into_iter().filter(|c| (first..end).contains(c)) {
        let beside = here[c.saturating_sub(1)] + here[(c + 1).min(last)];
        out[c - first] = sharpened(here[c], above[c] + below[c] + beside);
    }
}

/// How far a disc's contour is drawn in, times its radius, mm².
pub(super) fn drawn_in_mm2(panel: &Panel) -> f64 {
    panel.blur_mm.powi(2) / 2.0
        - SHARPENING_PUTS_BACK * sharpening_px2(panel) / panel.px_per_mm.powi(2)
}

/// Equivalent diameter of an area, mm, with the shrinking by blur put back.
pub(super) fn diameter_mm(area: &Area, panel: &Panel) -> f64 {
    let radius = (f64::from(area.pixels) / std::f64::consts::PI).sqrt() / panel.px_per_mm;
    radius + (radius * radius + 4.0 * drawn_in_mm2(panel)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::super::painted::{exact, squares_all_over, with_squares};
    use super::*;
    use crate::frame::drawn;

    #[test]
    fn every_dark_place_is_an_area_and_joins_at_corners() {
        let areas = |squares: &[[usize; 3]]| -> Vec<u32> {
            let of = with_squares(squares);
            let labels = dark_areas(&of.panel, &of.quiet, &of.settings);
            labels.areas.iter().map(|area| area.pixels).collect()
        };
        assert!(areas(&[]).is_empty());
        assert_eq!(areas(&[[100, 100, 1]]), [1]);
        assert_eq!(areas(&[[100, 100, 5], [105, 105, 5]]), [50]);
        assert_eq!(areas(&[[100, 100, 5], [106, 106, 5]]), [25, 25]);
        assert_eq!(areas(&[[0, 0, 3], [237, 237, 3]]), [9, 9]);
        assert_eq!(areas(&squares_all_over(4, 6)), [36; 16]);
    }

    #[test]
    fn where_hardly_any_silver_is_about_nothing_is_dark() {
        let areas = |about: f32| {
            let of = exact(|r, c| {
                if r.max(c) < 100 && r.min(c) >= 90 {
                    0.0
                } else {
                    about
                }
            });
            dark_areas(&of.panel, &of.quiet, &of.settings).areas.len()
        };
        assert_eq!([areas(0.0), areas(0.19), areas(0.21)], [0, 0, 1]);
    }

    #[test]
    fn sharpening_takes_off_the_laplacian() {
        let plane = drawn::plane(&["....", ".5..", "...#"]);
        let row = |r: usize, first: usize, n: usize| {
            let mut out = vec![9.0; n];
            sharpened_row(&plane, r, first, 0.5, &mut out);
            out
        };
        // Of 0.5 among ones the Laplacian is 2, of a one beside it −0.5, and the edge's own pixel stands beyond it.
        assert_eq!(row(1, 0, 4), vec![1.25, -0.5, 1.25, 1.5]);
        assert_eq!(row(0, 1, 2), vec![1.25, 1.0]);
        assert_eq!(row(2, 2, 2), vec![1.5, -1.0]);
        assert_eq!(row(2, 3, 1), vec![-1.0]);
        let one = Plane::from_elem((1, 1), 0.3);
        let mut out = [0.0];
        sharpened_row(&one, 0, 0, 0.5, &mut out);
        assert!((out[0] - 0.3).abs() < 1e-6);
    }

    #[test]
    fn runs_lie_under_the_limit_and_end_with_the_row() {
        let runs = |row: &[f32], first: usize| {
            let mut runs = Vec::new();
            add_runs(row.iter().map(|s| *s < 0.5), first, &mut runs);
            runs
        };
        assert_eq!(runs(&[1.0, 0.0, 0.4, 0.5, 0.0], 0), [(1, 2), (4, 4)]);
        assert_eq!(runs(&[0.0, 1.0], 7), [(7, 7)]);
        assert_eq!(runs(&[0.0; 3], 2), [(2, 4)]);
        assert!(runs(&[0.5; 3], 0).is_empty());
        assert!(runs(&[], 3).is_empty());
    }

    #[test]
    fn a_discs_diameter_has_the_blurs_shrinking_put_back() {
        let panel = |blur_mm| Panel {
            blur_mm,
            ..drawn::panel(Plane::ones((2, 2)), 10.0)
        };
        // Half the square of a blur of 1 px is under the furthest step of 0.8 px², of 2 px it is not.
        assert!((sharpening_px2(&panel(0.1)) - 0.5).abs() < 1e-12);
        assert!((sharpening_px2(&panel(0.2)) - 0.8).abs() < 1e-12);
        assert!((drawn_in_mm2(&panel(0.1)) - 0.01 * (0.5 - 0.65 * 0.5)).abs() < 1e-12);
        assert!((drawn_in_mm2(&panel(0.2)) - 0.01 * (2.0 - 0.65 * 0.8)).abs() < 1e-12);
        // 314 px are a disc of 10 px: without blur 2 mm; a contour at r = R − a/R belongs to R.
        let area = dark_areas_of_one();
        assert!(
            (diameter_mm(&area, &panel(0.0))
                - 2.0 * (314.0_f64 / std::f64::consts::PI).sqrt() / 10.0)
                .abs()
                < 1e-12
        );
        let (found, a) = (
            diameter_mm(&area, &panel(0.2)) / 2.0,
            drawn_in_mm2(&panel(0.2)),
        );
        assert!(
            (found - a / found - (314.0_f64 / std::f64::consts::PI).sqrt() / 10.0).abs() < 1e-9
        );
    }

    fn dark_areas_of_one() -> Area {
        let labels = label(1, |_, runs| runs.push((0, 313)));
        labels.areas[0]
    }
}
