//! Coverage and the three fractions: how much silver is left, and how much of it is clear, veiled or dark.
//!
//! *Coverage* is the mean silver level over the panel, 0 (bare) to 1 (a plain mirror). *Clear*, *veil* and *dark* are
//! the shares of the area with s ≥ 0.85, 0.5 ≤ s < 0.85 and s < 0.5; they sum to 1. All at standard sharpness, from
//! one pass over the plane. An error of the light scale moves coverage one for one; veil near a limit changes sides.
//! Area fractions of a grey-level set: ASTM E1245 for the idea.

use rayon::prelude::*;

use super::Settings;
use super::windows::Windows;
use crate::frame::Plane;
use crate::stats::bootstrap::Resamples;
use crate::units::{Measure, Unmeasured};

/// Bins of the silver histogram.
pub const BINS: usize = 64;

/// Sums over one window.
#[derive(Debug, Clone)]
struct Sums {
    pixels: f64,
    silver: f64,
    squared_loss: f64,
    clear: f64,
    dark: f64,
    histogram: [u32; BINS],
}

/// Sums over all windows.
#[derive(Debug, Clone)]
pub struct Loss {
    windows: Vec<Sums>,
}

impl Loss {
    /// Sums a plane of silver levels in 0..1.
    #[must_use]
    pub fn of(silver: &Plane, windows: &Windows, settings: &Settings) -> Self {
        let cols = windows.col_ranges();
        let by_row: Vec<Vec<Sums>> = windows
            .row_ranges()
            .into_par_iter()
            .map(|rows| {
                cols.iter()
                    .map(|cols| sum(silver, rows.clone(), cols.clone(), settings))
                    .collect()
            })
            .collect();
        Loss {
            windows: by_row.into_iter().flatten().collect(),
        }
    }

    fn column(&self, of: impl Fn(&Sums) -> f64) -> Vec<f64> {
        self.windows.iter().map(of).collect()
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
        let pixels: f64 = self.column(|w| w.pixels).iter().sum();
        self.column(|w| w.squared_loss).iter().sum::<f64>() / pixels
    }

    /// Mean silver level over the panel.
    #[must_use]
    pub fn mean(&self) -> f64 {
        let pixels: f64 = self.column(|w| w.pixels).iter().sum();
        self.column(|w| w.silver).iter().sum::<f64>() / pixels
    }

    /// Σ (1 − s)² and pixels of each window.
    #[must_use]
    pub fn squared(&self) -> (Vec<f64>, Vec<f64>) {
        (self.column(|w| w.squared_loss), self.column(|w| w.pixels))
    }

    /// Coverage of each window.
    #[must_use]
    pub fn window_coverage(&self) -> Vec<f64> {
        self.column(|w| w.silver / w.pixels)
    }

    /// Shares of the area by silver level.
    #[must_use]
    pub fn histogram(&self) -> Vec<f64> {
        let pixels: f64 = self
            .column(|w| w.histogram.iter().map(|n| f64::from(*n)).sum())
            .iter()
            .sum();
        (0..BINS)
            .map(|b| {
                self.column(|w| f64::from(w.histogram[b]))
                    .iter()
                    .sum::<f64>()
                    / pixels
            })
            .collect()
    }
}

/// Sums of every so many pixels of a row, so that they can be added side by side.
const LANES: usize = 8;

/// The histogram is taken from every so many rows: it is a picture of a million pixels all the same.
const HISTOGRAM_STRIDE: usize = 4;

fn sum(
    silver: &Plane,
    rows: std::ops::Range<usize>,
    cols: std::ops::Range<usize>,
    settings: &Settings,
) -> Sums {
    let (clear_from, dark_below) = (settings.clear_from as f32, settings.dark_below as f32);
    let mut sums = Sums {
        pixels: (rows.len() * cols.len()) as f64,
        silver: 0.0,
        squared_loss: 0.0,
        clear: 0.0,
        dark: 0.0,
        histogram: [0; BINS],
    };
    for r in rows {
        let row = silver.row(r);
        let Some(row) = row.as_slice() else { continue };
        let row = &row[cols.clone()];
        let (mut total, mut squared) = ([0.0_f32; LANES], [0.0_f32; LANES]);
        let (mut clear, mut dark) = ([0.0_f32; LANES], [0.0_f32; LANES]);
        for few in row.chunks(LANES) {
            for (i, &s) in few.iter().enumerate() {
                total[i] += s;
                squared[i] += (1.0 - s) * (1.0 - s);
                clear[i] += if s >= clear_from { 1.0 } else { 0.0 };
                dark[i] += if s < dark_below { 1.0 } else { 0.0 };
            }
        }
        let add = |lanes: [f32; LANES]| lanes.iter().map(|v| f64::from(*v)).sum::<f64>();
        sums.silver += add(total);
        sums.squared_loss += add(squared);
        sums.clear += add(clear);
        sums.dark += add(dark);
        if r % HISTOGRAM_STRIDE == 0 {
            for &s in row {
                sums.histogram[((s * BINS as f32) as usize).min(BINS - 1)] += 1;
            }
        }
    }
    sums
}
