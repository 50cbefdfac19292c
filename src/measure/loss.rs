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
