//! The silver with its dark spots left out, in small cells: what streaks and clouds are looked for in.

use ndarray::Axis;
use rayon::prelude::*;

use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::label::Labels;
use crate::ops::smooth::gaussian;

/// Side of a cell, mm: ridges from 2 mm apart span four.
const CELL_MM: f64 = 0.5;

/// What lies this close to a dark spot is left out too, mm: the spot's own slope must not count as a streak's.
const BESIDE_MM: f64 = 0.5;

/// Reach over which holes are filled from the silver around them, cells.
const FILL_CELLS: f64 = 3.0;

/// Silver without dark spots.
#[derive(Debug, Clone)]
pub(super) struct Quiet {
    /// Mean silver of each cell, holes filled from around.
    pub(super) silver: Plane,
    /// Share of the cell that was free of dark spots.
    pub(super) free: Plane,
    /// Pixels of the panel along a cell.
    pub(super) cell_px: usize,
    /// Side of a cell, mm.
    pub(super) cell_mm: f64,
}

impl Quiet {
    /// Leaves out the labelled areas and what lies beside them.
    pub(super) fn of(panel: &Panel, dark: &Labels) -> Self {
        let cell_px = ((CELL_MM * panel.px_per_mm).round() as usize).max(1);
        let (rows, cols) = panel.silver.dim();
        let (cell_rows, cell_cols) = (rows.div_ceil(cell_px), cols.div_ceil(cell_px));
        let beside = (BESIDE_MM * panel.px_per_mm).ceil() as usize;
        let left_out = left_out(dark, rows, cols, beside);
        let cell_of: Vec<usize> = (0..cols).map(|c| c / cell_px).collect();
        let mut sum = Plane::zeros((cell_rows, cell_cols));
        let mut free = Plane::zeros((cell_rows, cell_cols));
        sum.axis_iter_mut(Axis(0))
            .into_par_iter()
            .zip(free.axis_iter_mut(Axis(0)))
            .enumerate()
            .for_each(|(i, (mut sum, mut free))| {
                let first = i * cell_px;
                for (r, holes) in left_out.iter().enumerate().skip(first).take(cell_px) {
                    let row = panel.silver.row(r);
                    let mut start = 0;
                    for (a, b) in holes.iter().copied().chain([(cols, cols)]) {
                        if start < a {
                            let kept = cell_of[start..a]
                                .iter()
                                .zip(row.slice_axis(Axis(0), (start..a).into()));
                            for (&cell, s) in kept {
                                sum[cell] += s;
                                free[cell] += 1.0;
                            }
                        }
                        start = b;
                    }
                }
            });
        Quiet {
            silver: fill(&sum, &free),
            free: free / (cell_px * cell_px) as f32,
            cell_px,
            cell_mm: cell_px as f64 / panel.px_per_mm,
        }
    }
}

/// For each row the stretches [first, end) to leave out, sorted and merged: every run widened by `beside` all round.
fn left_out(dark: &Labels, rows: usize, cols: usize, beside: usize) -> Vec<Vec<(usize, usize)>> {
    let mut stretches: Vec<Vec<(usize, usize)>> = vec![Vec::new(); rows];
    for run in &dark.runs {
        let r = run.row as usize;
        let stretch = (
            (run.first as usize).saturating_sub(beside),
            (run.last as usize + 1 + beside).min(cols),
        );
        for row in &mut stretches[r.saturating_sub(beside)..(r + beside + 1).min(rows)] {
            row.push(stretch);
        }
    }
    stretches.par_iter_mut().for_each(|row| {
        row.sort_unstable();
        let mut merged: Vec<(usize, usize)> = Vec::with_capacity(row.len());
        for &(a, b) in row.iter() {
            match merged.last_mut() {
                Some(last) if a <= last.1 => last.1 = last.1.max(b),
                _ => merged.push((a, b)),
            }
        }
        *row = merged;
    });
    stretches
}

/// Cell means; a cell with less than half its area free is read from its neighbours.
fn fill(sum: &Plane, free: &Plane) -> Plane {
    let (near, weight) = (gaussian(sum, FILL_CELLS), gaussian(free, FILL_CELLS));
    let whole = free.iter().copied().fold(0.0, f32::max);
    let overall = sum.sum() / free.sum().max(1.0);
    let mut out = sum.clone();
    ndarray::Zip::from(&mut out)
        .and(free)
        .and(&near)
        .and(&weight)
        .for_each(|out, &free, &near, &weight| {
            *out = if free > 0.5 * whole {
                *out / free
            } else if weight > 1e-3 * whole {
                near / weight
            } else {
                overall
            };
        });
    out
}
