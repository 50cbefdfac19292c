//! Coverage and the three fractions: how much silver is left, and how much of it is clear, veiled or dark.
//!
//! *Coverage* is the mean silver level over the panel, 0 (bare) to 1 (a plain mirror). *Clear*, *veil* and *dark* are
//! the shares of the area with s ≥ 0.85, 0.5 ≤ s < 0.85 and s < 0.5; they sum to 1. All at standard sharpness, from
//! one pass over the plane. An error of the light scale moves coverage one for one; veil near a limit changes sides.
//! Area fractions of a grey-level set: ASTM E1245 for the idea.

use std::ops::Range;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::Settings;
use super::windows::Windows;
use crate::frame::Plane;
use crate::ops::wide::{Loop, wide};
use crate::stats::bootstrap::Resamples;
use crate::units::{Measure, Unmeasured};

/// Bins of the silver histogram.
pub const BINS: usize = 64;

/// What one window of a panel holds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WindowValues {
    /// Mean silver level.
    pub coverage: f64,
    /// Share of the area that is clear.
    pub clear_fraction: f64,
    /// Share of the area that is dark.
    pub dark_fraction: f64,
    /// Mean of (1 − s)².
    pub mean_square_loss: f64,
    /// Speckles per cm².
    pub speckle_density: f64,
}

/// Sums over some pixels.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    pixels: f64,
    silver: f64,
    squared_loss: f64,
    clear: f64,
    dark: f64,
}

impl Sums {
    fn add(&mut self, other: &Sums, weight: f64) {
        self.pixels += weight * other.pixels;
        self.silver += weight * other.silver;
        self.squared_loss += weight * other.squared_loss;
        self.clear += weight * other.clear;
        self.dark += weight * other.dark;
    }
}

/// The sums of one window.
#[derive(Debug, Clone)]
struct Window {
    sums: Sums,
    /// The same with the rim of the glass, which the plane leaves out, taken to be like what lies beside it.
    with_rim: Sums,
    histogram: [u32; BINS],
}

/// Sums over all windows.
#[derive(Debug, Clone)]
pub struct Loss {
    windows: Vec<Window>,
}

impl Loss {
    /// Sums a plane of silver levels in 0..1 that leaves out a rim of so many pixels.
    #[must_use]
    pub fn sum(silver: &Plane, rim_px: usize, windows: &Windows, settings: &Settings) -> Self {
        let cols = windows.col_ranges();
        let by_row: Vec<Vec<Window>> = windows
            .row_ranges()
            .into_par_iter()
            .map(|rows| {
                cols.iter()
                    .map(|cols| {
                        wide(Summing {
                            silver,
                            rim_px,
                            rows: rows.clone(),
                            cols: cols.clone(),
                            settings,
                        })
                    })
                    .collect()
            })
            .collect();
        Loss {
            windows: by_row.into_iter().flatten().collect(),
        }
    }

    fn column(&self, of: impl Fn(&Sums) -> f64) -> Vec<f64> {
        self.windows.iter().map(|w| of(&w.with_rim)).collect()
    }

    /// Everything in one.
    fn all(&self, of: impl Fn(&Window) -> &Sums) -> Sums {
        let mut all = Sums::default();
        self.windows.iter().for_each(|w| all.add(of(w), 1.0));
        all
    }

    fn share(&self, resamples: Option<&Resamples>, of: impl Fn(&Sums) -> f64) -> Measure {
        let pixels = self.column(|w| w.pixels);
        resamples
            .and_then(|r| r.ratio(&self.column(of), &pixels))
            .ok_or(Unmeasured::PanelTooSmall)
    }

    /// Mean silver level.
    pub fn coverage(&self, resamples: Option<&Resamples>) -> Measure {
        self.share(resamples, |w| w.silver)
    }

    /// Share of the area that is clear.
    pub fn clear(&self, resamples: Option<&Resamples>) -> Measure {
        self.share(resamples, |w| w.clear)
    }

    /// Share of the area that is veiled.
    pub fn veil(&self, resamples: Option<&Resamples>) -> Measure {
        self.share(resamples, |w| w.pixels - w.clear - w.dark)
    }

    /// Share of the area that is dark.
    pub fn dark(&self, resamples: Option<&Resamples>) -> Measure {
        self.share(resamples, |w| w.dark)
    }

    /// Mean of (1 − s)² over the panel.
    #[must_use]
    pub fn mean_square(&self) -> f64 {
        let all = self.all(|w| &w.with_rim);
        all.squared_loss / all.pixels
    }

    /// Mean silver level over the panel.
    #[must_use]
    pub fn mean(&self) -> f64 {
        let all = self.all(|w| &w.with_rim);
        all.silver / all.pixels
    }

    /// Variance of the silver level, over the plane alone.
    #[must_use]
    pub fn variance_of_plane(&self) -> f64 {
        let all = self.all(|w| &w.sums);
        all.squared_loss / all.pixels - (1.0 - all.silver / all.pixels).powi(2)
    }

    /// Σ (1 − s)² and pixels of each window.
    #[must_use]
    pub fn squared(&self) -> (Vec<f64>, Vec<f64>) {
        (self.column(|w| w.squared_loss), self.column(|w| w.pixels))
    }

    /// What each window holds, beside its speckles per cm².
    #[must_use]
    pub fn window_values(&self, speckle_density: &[f64]) -> Vec<WindowValues> {
        let values =
            |(Window { with_rim: w, .. }, speckle_density): (&Window, &f64)| WindowValues {
                coverage: w.silver / w.pixels,
                clear_fraction: w.clear / w.pixels,
                dark_fraction: w.dark / w.pixels,
                mean_square_loss: w.squared_loss / w.pixels,
                speckle_density: *speckle_density,
            };
        self.windows
            .iter()
            .zip(speckle_density)
            .map(values)
            .collect()
    }

    /// Shares of the area by silver level.
    #[must_use]
    pub fn histogram(&self) -> Vec<f64> {
        let counts = self.windows.iter().flat_map(|w| &w.histogram);
        let pixels: f64 = counts.map(|n| f64::from(*n)).sum();
        let count = |b: usize| self.windows.iter().map(move |w| f64::from(w.histogram[b]));
        (0..BINS).map(|b| count(b).sum::<f64>() / pixels).collect()
    }
}

/// Sums of every so many pixels of a row, so that they can be added side by side.
const LANES: usize = 16;

/// The histogram is taken from every so many rows: it is a picture of a million pixels all the same.
const HISTOGRAM_STRIDE: usize = 8;

/// Summing one window. What lies within `rim_px` of the plane's edge also stands for the rim beyond it.
struct Summing<'a> {
    silver: &'a Plane,
    rim_px: usize,
    rows: Range<usize>,
    cols: Range<usize>,
    settings: &'a Settings,
}

impl Loop for Summing<'_> {
    type Output = Window;

    #[inline(always)]
    fn run(self) -> Window {
        let mut window = Window {
            sums: Sums::default(),
            with_rim: Sums::default(),
            histogram: [0; BINS],
        };
        let (height, width) = self.silver.dim();
        let sides = [0..self.rim_px, width.saturating_sub(self.rim_px)..width]
            .map(|side| side.start.max(self.cols.start)..side.end.min(self.cols.end));
        for r in self.rows {
            let Some(row) = self.silver.row(r).to_slice() else {
                continue;
            };
            let here = sums(&row[self.cols.clone()], self.settings);
            let in_rim = [r < self.rim_px, r + self.rim_px >= height];
            let times = in_rim
                .iter()
                .fold(1.0, |n, is| n + f64::from(u8::from(*is)));
            window.sums.add(&here, 1.0);
            window.with_rim.add(&here, times);
            for side in sides.iter().filter(|side| !side.is_empty()) {
                let beside = sums(&row[side.clone()], self.settings);
                window.with_rim.add(&beside, times);
            }
            if r % HISTOGRAM_STRIDE == 0 {
                for &s in &row[self.cols.clone()] {
                    window.histogram[((s * BINS as f32) as usize).min(BINS - 1)] += 1;
                }
            }
        }
        window
    }
}

#[inline(always)]
fn sums(row: &[f32], settings: &Settings) -> Sums {
    let (clear_from, dark_below) = (settings.clear_from as f32, settings.dark_below as f32);
    let (mut silver, mut squared) = ([0.0_f32; LANES], [0.0_f32; LANES]);
    let (mut clear, mut dark) = ([0.0_f32; LANES], [0.0_f32; LANES]);
    let (whole, rest) = row.as_chunks::<LANES>();
    for few in whole {
        for i in 0..LANES {
            let s = few[i];
            silver[i] += s;
            squared[i] += (1.0 - s) * (1.0 - s);
            clear[i] += if s >= clear_from { 1.0 } else { 0.0 };
            dark[i] += if s < dark_below { 1.0 } else { 0.0 };
        }
    }
    let all = |lanes: [f32; LANES], of: &dyn Fn(f32) -> f32| {
        let sum = lanes.iter().map(|v| f64::from(*v)).sum::<f64>();
        sum + rest.iter().map(|s| f64::from(of(*s))).sum::<f64>()
    };
    Sums {
        pixels: row.len() as f64,
        silver: all(silver, &|s| s),
        squared_loss: all(squared, &|s| (1.0 - s) * (1.0 - s)),
        clear: all(clear, &|s| f32::from(u8::from(s >= clear_from))),
        dark: all(dark, &|s| f32::from(u8::from(s < dark_below))),
    }
}

#[cfg(test)]
mod tests {
    use super::super::painted::{Exact, assert_near, exact, sure, with_squares};
    use super::*;

    fn loss(of: &Exact, rim_px: usize) -> Loss {
        Loss::sum(&of.panel.silver, rim_px, &of.windows, &of.settings)
    }

    /// Coverage and the shares that are clear, veiled and dark.
    fn shares(silver: impl Fn(usize, usize) -> f32) -> [Measure; 4] {
        let of = exact(silver);
        let (loss, resamples) = (loss(&of, 0), of.resamples());
        [
            loss.coverage(resamples),
            loss.clear(resamples),
            loss.veil(resamples),
            loss.dark(resamples),
        ]
    }

    #[test]
    fn silver_all_over_and_none_are_one_and_zero_without_a_doubt() {
        let [one, none] = [sure(1.0), sure(0.0)];
        assert_eq!(shares(|_, _| 1.0), [one, one, none, none]);
        assert_eq!(shares(|_, _| 0.0), [none, none, none, one]);
        assert_eq!(shares(|_, _| 0.75), [sure(0.75), none, one, none]);
    }

    #[test]
    fn a_level_on_a_limit_belongs_above_it() {
        let shares = |level: f32| shares(|_, _| level)[1..].to_vec();
        let [one, none] = [sure(1.0), sure(0.0)];
        assert_eq!(shares(0.85), [one, none, none]);
        assert_eq!(shares(0.85_f32.next_down()), [none, one, none]);
        assert_eq!(shares(0.5), [none, one, none]);
        assert_eq!(shares(0.5_f32.next_down()), [none, none, one]);
    }

    #[test]
    fn one_pixel_is_a_57600th() {
        let of = with_squares(&[[100, 200, 1]]);
        let loss = loss(&of, 0);
        assert_near(loss.dark(of.resamples()), 1.0 / 57_600.0);
        assert_near(loss.coverage(of.resamples()), 57_599.0 / 57_600.0);
        assert!((loss.mean_square() - 1.0 / 57_600.0).abs() < 1e-12);
        assert!((loss.mean() - 57_599.0 / 57_600.0).abs() < 1e-12);
        let p = 1.0_f64 / 57_600.0;
        assert!((loss.variance_of_plane() - p * (1.0 - p)).abs() < 1e-12);
        // Window 5 of nine: the second down and the third across, of 6400 pixels.
        let values = loss.window_values(&[0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0]);
        let here = WindowValues {
            coverage: 6399.0 / 6400.0,
            clear_fraction: 6399.0 / 6400.0,
            dark_fraction: 1.0 / 6400.0,
            mean_square_loss: 1.0 / 6400.0,
            speckle_density: 5.0,
        };
        assert_eq!(values[5], here);
        assert!(values.iter().filter(|v| v.dark_fraction > 0.0).count() == 1);
    }

    #[test]
    fn what_lies_beside_the_rim_stands_for_it_too() {
        // A rim of one pixel makes 242² of them: a corner stands for four, a place on a side for two.
        for (at, times) in [
            ([0, 0], 4.0),
            ([239, 0], 4.0),
            ([0, 100], 2.0),
            ([100, 239], 2.0),
            ([1, 1], 1.0),
        ] {
            let of = with_squares(&[[at[0], at[1], 1]]);
            let loss = loss(&of, 1);
            assert_near(loss.dark(of.resamples()), times / 242.0_f64.powi(2));
            // The plane's own variance knows no rim.
            let p = 1.0_f64 / 57_600.0;
            assert!(
                (loss.variance_of_plane() - p * (1.0 - p)).abs() < 1e-12,
                "{at:?}"
            );
        }
    }

    #[test]
    fn rows_of_any_length_are_summed_to_their_end() {
        for length in [0, 1, 15, 16, 17, 33] {
            let found = sums(&vec![0.25; length], &Settings::default());
            let n = length as f64;
            let got = vec![
                found.pixels,
                found.silver,
                found.squared_loss,
                found.clear,
                found.dark,
            ];
            assert_eq!(got, vec![n, 0.25 * n, 0.5625 * n, 0.0, n]);
        }
    }

    #[test]
    fn the_histogram_holds_every_level_in_its_bin() {
        let of = |level: f32| loss(&exact(|_, _| level), 0).histogram();
        let only =
            |bin: usize| -> Vec<f64> { (0..BINS).map(|b| f64::from(u8::from(b == bin))).collect() };
        assert_eq!(of(0.0), only(0));
        assert_eq!(of(1.0), only(63));
        assert_eq!(of(0.5), only(32));
        assert_eq!(of(0.5_f32.next_down()), only(31));
    }

    #[test]
    fn without_independent_windows_there_is_no_figure() {
        let loss = loss(&exact(|_, _| 1.0), 0);
        let none = Err(Unmeasured::PanelTooSmall);
        assert_eq!(loss.coverage(None), none);
        assert_eq!(
            [loss.clear(None), loss.veil(None), loss.dark(None)],
            [none; 3]
        );
    }
}
