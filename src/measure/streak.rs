//! Streaks: whether ridges, runs or wipes give the silver a direction, which, and how strongly.
//!
//! The structure tensor J = Σ g gᵀ of the quiet silver's gradients (Bigün & Granlund 1987), by Gaussian derivatives:
//! differences of neighbours would turn the angle. Gradients beside dark spots and at the panel's edge are left out.
//! *Angle*: axis along the ridges, degrees in [0, 180), anticlockwise from the panel's bottom edge, seen from the front.
//! *Strength*: coherence (λ₁−λ₂)/(λ₁+λ₂), 0 no direction, 1 straight even ridges. There is no angle where chance alone
//! would often show one: the panel is cut into blocks as wide as the pattern's own scale, each votes for its axis, and the
//! votes are tested against none in common (Rayleigh; Fisher 1993). Nor is there one where the strength is under 0.04, or
//! where the ripple is too faint to see.

use super::Settings;
use super::quiet::Quiet;
use super::windows::Windows;
use crate::frame::Plane;
use crate::ops::smooth;
use crate::stats::axial::{Tensor, rayleigh_chance};
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

/// Slopes are read off about so many rows: the derivative's own blur makes neighbours alike, and a large panel has enough.
const ROWS: usize = 500;

/// The rose is taken from every so many columns: it is a histogram of some ten thousand slopes all the same.
const ROSE_STRIDE: usize = 4;

/// Blocks that vote, along a window: a window spans two scales of the pattern, a block one.
const BLOCKS_A_WINDOW: usize = 2;

/// A 95 % interval reaches so many standard deviations to either side.
const Z: f64 = 1.96;

/// A block votes when at least this many of its cells are free.
const LEAST_VOTE: f64 = 16.0;

/// Slopes of the quiet silver, a cell.
pub(super) struct Slopes {
    /// Downwards, along the columns.
    pub(super) down: Plane,
    /// To the right, along the rows.
    pub(super) along: Plane,
    /// 1 where the slope is the silver's own, 0 beside dark spots and where the derivative reaches past the panel.
    pub(super) own: Plane,
}

impl Slopes {
    /// By Gaussian derivatives.
    pub(super) fn new(quiet: &Quiet) -> Self {
        let sigma = DERIVATIVE_MM / quiet.cell_mm;
        let (down, along) = smooth::gradient(&quiet.silver, sigma);
        let rim = ((2.0 * sigma).ceil() as usize).max(2);
        Slopes {
            down,
            along,
            own: quiet.free_around(rim),
        }
    }
}

pub(super) struct Streak {
    pub(super) angle: Measure,
    pub(super) strength: Measure,
    pub(super) rose: Vec<f64>,
}

/// Direction and strength, with intervals by resampled windows.
pub(super) fn measure(
    quiet: &Quiet,
    slopes: &Slopes,
    windows: &Windows,
    resamples: Option<&Resamples>,
    settings: &Settings,
) -> Streak {
    let (blocks, rose) = tensors(quiet, slopes, &windows.split(BLOCKS_A_WINDOW));
    let tensors = windows.gather(BLOCKS_A_WINDOW, &blocks, |sum: &mut Tensor, block| {
        *sum = Tensor::sum(&[*sum, *block], &[1.0, 1.0]);
    });
    let all = Tensor::sum(&tensors, &vec![1.0; tensors.len()]);
    let Some(resamples) = resamples else {
        return Streak {
            angle: Err(Unmeasured::PanelTooSmall),
            strength: Err(Unmeasured::PanelTooSmall),
            rose,
        };
    };
    let strength = strength(&tensors, all, resamples);
    let coherence = strength.map_or(0.0, |s| s.value);
    // λ₁ − λ₂ over the cells, per mm².
    let directed = coherence * all.trace / all.weight.max(1.0) / quiet.cell_mm.powi(2);
    let stands_out = coherence >= settings.least_streak_strength
        && directed.sqrt() > FAINTEST_SLOPE
        && chance_of_direction(&blocks) < settings.direction_chance;
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

/// Coherence without what chance alone adds to it: a sum of arrows that point anywhere still has a length. The arrows'
/// scatter, from the resamples, says how much; along the sum it gives the interval.
fn strength(tensors: &[Tensor], all: Tensor, resamples: &Resamples) -> Measure {
    let (cos, sin) = (all.cos / all.length(), all.sin / all.length());
    let along = |t: Tensor| (t.cos * cos + t.sin * sin) / t.trace;
    let across = |t: Tensor| (t.sin * cos - t.cos * sin) / t.trace;
    let resampled = |of: &(dyn Fn(Tensor) -> f64 + Sync)| {
        resamples.interval(of(all), |w| {
            let t = Tensor::sum(tensors, w);
            (t.trace > 0.0).then(|| of(t))
        })
    };
    let (along, across) = resampled(&along)
        .zip(resampled(&across))
        .ok_or(Unmeasured::PanelTooSmall)?;
    let variance = |e: Estimate| ((e.high - e.low) / (2.0 * Z)).powi(2);
    let by_chance = variance(along) + variance(across);
    let value = (all.coherence().powi(2) - by_chance).max(0.0).sqrt();
    let half = (along.high - along.value).max(along.value - along.low);
    Ok(Estimate {
        value,
        low: (value - half).max(0.0),
        high: (value + half).min(1.0),
    })
}

/// Chance that blocks without a common direction would agree as well as these: each votes for its own axis.
fn chance_of_direction(blocks: &[Tensor]) -> f64 {
    let mut votes = Tensor::default();
    for block in blocks.iter().filter(|b| b.weight >= LEAST_VOTE) {
        let strength = block.cos.hypot(block.sin);
        if strength > 0.0 {
            votes.cos += block.cos / strength;
            votes.sin += block.sin / strength;
            votes.trace += 1.0;
        }
    }
    rayleigh_chance(votes.trace as usize, votes.coherence())
}
/// Bin of the line that a gradient crosses.
fn rose_bin(gx: f32, gy: f32) -> usize {
    // Half turns of the gradient itself, −1 to 1; the line lies a quarter turn on, and half turns are alike.
    let half_turns = gy.atan2(gx) / std::f32::consts::PI;
    let bin = ((half_turns + 1.5) * ROSE_BINS as f32) as usize;
    bin % ROSE_BINS
}

/// The tensor of each window given, and the rose of all gradients by the direction of the line they cross.
fn tensors(quiet: &Quiet, slopes: &Slopes, windows: &Windows) -> (Vec<Tensor>, Vec<f64>) {
    let (rows, cols) = quiet.silver.dim();
    let windows = windows.over_cells(rows, cols);
    let along_row = windows.col_ranges();
    let stride = (rows / ROWS).max(1);
    let by_row: Vec<(Vec<Tensor>, Vec<f64>)> = windows
        .row_ranges()
        .into_par_iter()
        .map(|rows| {
            let mut tensors = vec![Tensor::default(); along_row.len()];
            let mut rose = vec![0.0; ROSE_BINS];
            for r in rows.step_by(stride) {
                for (tensor, cols) in tensors.iter_mut().zip(&along_row) {
                    for c in cols.clone().filter(|c| slopes.own[[r, *c]] > 0.5) {
                        // y runs up, rows run down.
                        let (gx, gy) = (slopes.along[[r, c]], -slopes.down[[r, c]]);
                        tensor.add(f64::from(gx), f64::from(gy), 1.0);
                        if c % ROSE_STRIDE == 0 {
                            rose[rose_bin(gx, gy)] += f64::from(gx * gx + gy * gy);
                        }
                    }
                }
            }
            (tensors, rose)
        })
        .collect();
    let (tensors, roses): (Vec<_>, Vec<_>) = by_row.into_iter().unzip();
    let strength = |bin: usize| roses.iter().map(|rose| rose[bin]).sum::<f64>();
    let whole: f64 = (0..ROSE_BINS).map(strength).sum();
    let share = |bin| strength(bin) / whole.max(f64::MIN_POSITIVE);
    (tensors.concat(), (0..ROSE_BINS).map(share).collect())
}
