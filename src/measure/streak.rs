//! Streaks: whether ridges, runs or wipes give the silver a direction, which, and how strongly.
//!
//! The structure tensor J = Σ g gᵀ of the quiet silver's gradients (Bigün & Granlund 1987), by Gaussian derivatives:
//! differences of neighbours would turn the angle. Gradients beside dark spots and at the panel's edge are left out.
//! *Angle*: axis along the ridges, degrees in [0, 180), anticlockwise from the panel's bottom edge, seen from the front.
//! *Strength*: coherence (λ₁−λ₂)/(λ₁+λ₂), 0 no direction, 1 straight even ridges. There is no angle where chance alone
//! would often show a strength like it (Hotelling's test on the windows' doubled angles), where it is under 0.04, or where the
//! ripple is too faint to see.

use super::Settings;
use super::quiet::Quiet;
use super::windows::Windows;
use crate::ops::smooth;
use crate::stats::axial::{Tensor, chance_of_direction};
use crate::stats::bootstrap::Resamples;
use crate::units::{Estimate, Measure, Unmeasured, axial_difference};
use rayon::prelude::*;

/// Bins of the streak rose over 180°.
pub const ROSE_BINS: usize = 36;

/// Blur of the derivatives, mm.
const DERIVATIVE_MM: f64 = 0.75;

/// Faintest ripple that may be called a streak: root-mean-square slope across it, silver level a mm. Ridges 6 mm apart
/// that differ by half a per cent from crest to trough have it; the eye sees one to two per cent (from memory, no
/// source). Fainter directions are the sensor's and the file's.
const FAINTEST_SLOPE: f64 = 0.002;

/// The rose is taken from every so many rows and columns: it is a histogram of some ten thousand slopes all the same.
const ROSE_STRIDE: usize = 2;

pub(super) struct Streak {
    pub(super) angle: Measure,
    pub(super) strength: Measure,
    pub(super) rose: Vec<f64>,
}

/// Direction and strength, with intervals by resampled windows.
pub(super) fn measure(
    quiet: &Quiet,
    windows: &Windows,
    resamples: Option<&Resamples>,
    settings: &Settings,
) -> Streak {
    let (tensors, rose) = tensors(quiet, windows);
    let all = Tensor::sum(&tensors, &vec![1.0; tensors.len()]);
    let Some(resamples) = resamples else {
        return Streak {
            angle: Err(Unmeasured::PanelTooSmall),
            strength: Err(Unmeasured::PanelTooSmall),
            rose,
        };
    };
    let coherence = all.coherence();
    let strength = resamples
        .interval(coherence, |w| Some(Tensor::sum(&tensors, w).coherence()))
        .ok_or(Unmeasured::PanelTooSmall);
    // λ₁ − λ₂ over the cells, per mm².
    let directed = all.coherence() * all.trace / all.weight.max(1.0) / quiet.cell_mm.powi(2);
    let stands_out = coherence >= settings.least_streak_strength
        && directed.sqrt() > FAINTEST_SLOPE
        && chance_of_direction(&tensors) < settings.direction_chance;
    let axis = all.line_axis();
    let angle = if stands_out {
        resamples
            .interval(0.0, |w| {
                Some(axial_difference(axis, Tensor::sum(&tensors, w).line_axis()))
            })
            .map(|turn| Estimate {
                value: axis,
                low: axis + turn.low,
                high: axis + turn.high,
            })
            .ok_or(Unmeasured::PanelTooSmall)
    } else {
        Err(Unmeasured::NoDirection)
    };
    Streak {
        angle,
        strength,
        rose,
    }
}

/// Bin of the line that a gradient crosses.
fn rose_bin(gx: f32, gy: f32) -> usize {
    // Half turns of the gradient itself, −1 to 1; the line lies a quarter turn on, and half turns are alike.
    let half_turns = gy.atan2(gx) / std::f32::consts::PI;
    let bin = ((half_turns + 1.5) * ROSE_BINS as f32) as usize;
    bin % ROSE_BINS
}

/// The tensor of each window, and the rose of all gradients by the direction of the line they cross.
fn tensors(quiet: &Quiet, windows: &Windows) -> (Vec<Tensor>, Vec<f64>) {
    let sigma = DERIVATIVE_MM / quiet.cell_mm;
    let (down, along) = smooth::gradient(&quiet.silver, sigma);
    let (rows, cols) = down.dim();
    // Within the derivative's reach of the edge the gradient is not whole.
    let rim = ((2.0 * sigma).ceil() as usize).max(2);
    let cell = quiet.cell_px as f64;
    let inner = rim.min(rows / 2)..rows - rim.min(rows / 2);
    let window_col: Vec<usize> = (0..cols)
        .map(|c| windows.at(0.0, (c as f64 + 0.5) * cell))
        .collect();
    let by_row: Vec<(Vec<Tensor>, Vec<f64>)> = inner
        .into_par_iter()
        .map(|r| {
            let mut tensors = vec![Tensor::default(); windows.count()];
            let mut rose = vec![0.0; ROSE_BINS];
            let whole = quiet.free_around(r);
            let windows_row = windows.at((r as f64 + 0.5) * cell, 0.0);
            for c in rim..cols.saturating_sub(rim) {
                if whole[c] < 8.5 {
                    continue;
                }
                // y runs up, rows run down.
                let (gx, gy) = (f64::from(along[[r, c]]), -f64::from(down[[r, c]]));
                tensors[windows_row + window_col[c]].add(gx, gy, 1.0);
                if r % ROSE_STRIDE == 0 && c % ROSE_STRIDE == 0 {
                    rose[rose_bin(gx as f32, gy as f32)] += gx * gx + gy * gy;
                }
            }
            (tensors, rose)
        })
        .collect();
    let mut tensors = vec![Tensor::default(); windows.count()];
    let mut rose = vec![0.0; ROSE_BINS];
    for (row_tensors, row_rose) in by_row {
        for (sum, t) in tensors.iter_mut().zip(row_tensors) {
            *sum = Tensor::sum(&[*sum, t], &[1.0, 1.0]);
        }
        rose.iter_mut().zip(row_rose).for_each(|(sum, v)| *sum += v);
    }
    let whole: f64 = rose.iter().sum();
    if whole > 0.0 {
        rose.iter_mut().for_each(|v| *v /= whole);
    }
    (tensors, rose)
}
