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
    if all.weight > 0.0 && all.trace <= 0.0 {
        // Silver without a slope has none that it could have in common.
        return Ok(Estimate {
            value: 0.0,
            low: 0.0,
            high: 0.0,
        });
    }
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

#[cfg(test)]
mod tests {
    use super::super::painted::{assert_near, exact, with_squares};
    use super::*;
    use std::f32::consts::TAU;

    fn streak(silver: impl Fn(usize, usize) -> f32) -> Streak {
        let of = exact(silver);
        let slopes = Slopes::new(&of.quiet);
        measure(
            &of.quiet,
            &slopes,
            &of.windows,
            of.resamples(),
            &of.settings,
        )
    }

    /// Ridges 6 mm apart, this high above the mean, along a line of points with the same `at`.
    fn ridges(high: f32, at: impl Fn(f32, f32) -> f32) -> Streak {
        streak(|r, c| 0.7 + high * (TAU * at(r as f32, c as f32) / 60.0).sin())
    }

    #[test]
    fn straight_even_ridges_have_their_axis_and_a_strength_of_one() {
        for (axis, found) in [
            (90.0, ridges(0.1, |_, c| c)),
            (0.0, ridges(0.1, |r, _| r)),
            // The same along r + c: the ridge goes up to the right.
            (45.0, ridges(0.1, |r, c| r + c)),
            (135.0, ridges(0.1, |r, c| r - c)),
        ] {
            let angle = found.angle.unwrap();
            let off = [angle.value, angle.low, angle.high].map(|v| axial_difference(axis, v));
            assert!(off.iter().all(|v| v.abs() < 0.01), "{axis} {angle:?}");
            assert!((found.strength.unwrap().value - 1.0).abs() < 1e-3, "{axis}");
            // All of the rose lies in the bin of the axis, or in the two beside a limit of bins.
            let bin = (axis / 5.0) as usize;
            let here: f64 = found.rose[bin] + found.rose[(bin + ROSE_BINS - 1) % ROSE_BINS];
            assert!((here - 1.0).abs() < 1e-4, "{axis} {:?}", found.rose);
        }
    }

    #[test]
    fn even_silver_has_no_strength_and_no_direction() {
        for level in [0.0, 0.7, 1.0] {
            let found = streak(|_, _| level);
            assert_near(found.strength, 0.0);
            assert_eq!(found.angle, Err(Unmeasured::NoDirection));
            assert_eq!(found.rose, vec![0.0; ROSE_BINS]);
        }
    }

    #[test]
    fn a_speck_is_no_streak() {
        let of = with_squares(&[[100, 50, 6]]);
        let slopes = Slopes::new(&of.quiet);
        let found = measure(
            &of.quiet,
            &slopes,
            &of.windows,
            of.resamples(),
            &of.settings,
        );
        assert_eq!(found.angle, Err(Unmeasured::NoDirection));
        let none = measure(&of.quiet, &slopes, &of.windows, None, &of.settings);
        let too_small = Err(Unmeasured::PanelTooSmall);
        assert_eq!((none.angle, none.strength), (too_small, too_small));
    }

    #[test]
    fn what_nobody_sees_has_no_direction() {
        // Of ridges this high the slope across is 2π/(6 √2) times as much a mm, 0.74 of it after the derivative's own blur.
        assert_eq!(ridges(0.002, |_, c| c).angle, Err(Unmeasured::NoDirection));
        assert!(ridges(0.005, |_, c| c).angle.is_ok());
    }

    #[test]
    fn ridges_both_ways_have_no_direction() {
        let found = streak(|r, c| {
            0.7 + 0.1
                * [r, c]
                    .map(|at| (TAU * at as f32 / 60.0).sin())
                    .iter()
                    .sum::<f32>()
        });
        assert!(found.strength.unwrap().value < 0.04);
        assert_eq!(found.angle, Err(Unmeasured::NoDirection));
    }

    #[test]
    fn blocks_vote_for_their_own_axis_where_they_are_large_enough() {
        let block = |gx: f64, gy: f64, weight: f64| {
            let mut block = Tensor::default();
            block.add(gx, gy, weight);
            block
        };
        // However steep, each has one vote.
        let alike: Vec<Tensor> = (1..=9).map(|i| block(f64::from(i), 0.0, 16.0)).collect();
        assert!((chance_of_direction(&alike) - rayleigh_chance(9, 1.0)).abs() < 1e-12);
        let mut crossed = alike[..4].to_vec();
        crossed.extend([block(0.0, 9.0, 16.0); 4]);
        assert!((chance_of_direction(&crossed) - rayleigh_chance(8, 0.0)).abs() < 1e-12);
        let small = [block(1.0, 0.0, 15.9); 9];
        assert!((chance_of_direction(&small) - 1.0).abs() < 1e-12);
        let level = [block(0.0, 0.0, 99.0); 9];
        assert!((chance_of_direction(&level) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_gradient_lies_in_the_bin_of_the_line_it_crosses() {
        for (gx, gy, bin) in [
            (1.0, 0.0, 18),
            (-1.0, 0.0, 18),
            (0.0, 1.0, 0),
            (0.0, -1.0, 0),
            // Up to the right, 46°: the line falls to the right, 136°.
            (1.0, 1.035, 27),
            (-1.0, -1.035, 27),
            (1.0, -1.035, 8),
        ] {
            assert_eq!(rose_bin(gx, gy), bin, "{gx} {gy}");
        }
    }
}
