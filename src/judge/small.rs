//! What the panel shows made small, for signs that are large.

use rayon::prelude::*;

use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::glass::shown_by;
use crate::ops::reduce::block_mean;
use crate::stats::order::ranked;

/// Cells along the long side at most: rims of drops are some of them wide.
const FINE_CELLS: f64 = 1100.0;

/// Fine cells along the side of a coarse one.
const COARSE: usize = 7;

/// The silver at two sizes.
pub(super) struct Small {
    /// Means of a few pixels.
    pub(super) fine: Plane,
    /// Side of a fine cell, mm.
    pub(super) fine_mm: f64,
    /// Side of a fine cell, pixels of the silver plane.
    pub(super) fine_px: usize,
    /// The silver between small dark spots, without spots of up to four cells.
    pub(super) coarse: Plane,
    /// Side of a coarse cell, mm.
    pub(super) coarse_mm: f64,
    /// Three quarters of the coarse cells lie under this.
    pub(super) level: f32,
}

impl Small {
    pub(super) fn new(panel: &Panel) -> Self {
        let (rows, cols) = panel.silver.dim();
        let fine_px = (rows.max(cols) as f64 / FINE_CELLS).ceil().max(1.0) as usize;
        // Signs are of what is seen, and that is not in proportion to the silver.
        let mut fine = block_mean(&panel.silver, fine_px);
        fine.mapv_inplace(shown_by);
        let coarse = closed(&bright_part(&fine));
        let fine_mm = fine_px as f64 / panel.px_per_mm;
        let mut values: Vec<f32> = coarse.iter().copied().collect();
        let level = ranked(&mut values, 0.75, f32::total_cmp).unwrap_or(0.0);
        Small {
            fine,
            fine_mm,
            fine_px,
            coarse,
            coarse_mm: fine_mm * COARSE as f64,
            level,
        }
    }
}

/// Of each block the mean of what is at or above the block's mean: dark spots smaller than it hardly count.
fn bright_part(fine: &Plane) -> Plane {
    let (rows, cols) = fine.dim();
    let out_cols = cols.div_ceil(COARSE);
    let mut out = Plane::zeros((rows.div_ceil(COARSE), out_cols));
    let lines = out.as_slice_mut().unwrap_or(&mut []);
    lines
        .par_chunks_mut(out_cols.max(1))
        .enumerate()
        .for_each(|(i, line)| {
            let last = ((i + 1) * COARSE).min(rows);
            for (j, value) in line.iter_mut().enumerate() {
                let end = ((j + 1) * COARSE).min(cols);
                let cells = || {
                    (i * COARSE..last)
                        .filter_map(|r| fine.as_slice()?.get(r * cols + j * COARSE..r * cols + end))
                        .flatten()
                };
                let count = ((last - i * COARSE) * (end - j * COARSE)) as f32;
                let mean = cells().sum::<f32>() / count;
                let (sum, n) = cells().fold((0.0, 0.0), |(sum, n), v| {
                    let above = if *v >= mean { 1.0 } else { 0.0 };
                    (sum + above * v, n + above)
                });
                *value = if n > 0.0 { sum / n } else { mean };
            }
        });
    out
}

/// Closes dark spots of up to four cells: the largest of five by five, then the smallest; edges stay where they are.
fn closed(plane: &Plane) -> Plane {
    let most = spread(&spread(plane, false, f32::max), true, f32::max);
    spread(&spread(&most, false, f32::min), true, f32::min)
}

/// Of each cell and the two on either side of it, along the rows or down the columns, the one that `choose` keeps.
fn spread(plane: &Plane, down: bool, choose: fn(f32, f32) -> f32) -> Plane {
    let (rows, cols) = plane.dim();
    Plane::from_shape_fn((rows, cols), |(r, c)| {
        let at = |k: usize| {
            if down {
                plane[[(r + k).saturating_sub(2).min(rows - 1), c]]
            } else {
                plane[[r, (c + k).saturating_sub(2).min(cols - 1)]]
            }
        };
        (1..5).fold(at(0), |kept, k| choose(kept, at(k)))
    })
}
