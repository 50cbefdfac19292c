//! Cloud scale: how far the silver stays alike, the distance at which the autocorrelation of the quiet silver falls to
//! 1/e, mm. For a field smoothed by a Gaussian σ it is 2σ. It sets how large a window must be to stand for itself.

use super::quiet::Quiet;
use crate::ops::reduce::block_mean;
use rayon::prelude::*;

/// Side of a cell, mm.
const CELL_MM: f64 = 1.0;

/// Directions in which cells are compared: across, down and the diagonals.
const DIRECTIONS: [(usize, isize); 4] = [(0, 1), (1, 0), (1, 1), (1, -1)];

/// The 1/e distance, mm, up to a third of the panel's short side; one cell where the silver is even.
pub(super) fn scale_mm(quiet: &Quiet) -> f64 {
    let cell = ((CELL_MM / quiet.cell_mm).round() as usize).max(1);
    let plane = block_mean(&quiet.silver, cell);
    let cell_mm = cell as f64 * quiet.cell_mm;
    let mean = plane.mean().unwrap_or(0.0);
    let plane = plane - mean;
    let variance = plane.iter().map(|v| f64::from(v * v)).sum::<f64>() / plane.len() as f64;
    let (rows, cols) = plane.dim();
    let furthest = (rows.min(cols) / 3).max(2);
    if variance < 1e-9 {
        return cell_mm;
    }
    let (mut previous, mut at) = (1.0, 0.0);
    for lag in 1..furthest {
        let (sum, steps) = DIRECTIONS
            .par_iter()
            .map(|&(down, across)| correlation(&plane, lag * down, lag as isize * across))
            .collect::<Vec<_>>()
            .into_iter()
            .zip(DIRECTIONS)
            // Diagonal lags are longer; their correlation is drawn in by the steeper of the two distances.
            .fold((0.0, 0.0), |(s, d), (c, (down, across))| {
                (
                    s + c / variance,
                    d + ((down + across.unsigned_abs()) as f64).sqrt(),
                )
            });
        let n = DIRECTIONS.len() as f64;
        let (correlation, distance) = (sum / n, lag as f64 * steps / n);
        let target = (-1.0_f64).exp();
        if correlation < target {
            let share = (previous - target) / (previous - correlation);
            return (at + share * (distance - at)) * cell_mm;
        }
        (previous, at) = (correlation, distance);
    }
    furthest as f64 * cell_mm
}

/// Mean product of cells `down` rows and `across` columns apart.
fn correlation(plane: &crate::frame::Plane, down: usize, across: isize) -> f64 {
    let (rows, cols) = plane.dim();
    let shift = across.unsigned_abs();
    let (a, b) = if across >= 0 { (0, shift) } else { (shift, 0) };
    let width = cols - shift;
    let mut sum = 0.0;
    for r in 0..rows - down {
        let (first, second) = (plane.row(r), plane.row(r + down));
        let line: f32 = (0..width).map(|c| first[a + c] * second[b + c]).sum();
        sum += f64::from(line);
    }
    sum / ((rows - down) * width) as f64
}
