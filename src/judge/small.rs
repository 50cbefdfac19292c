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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    fn small(silver: Plane) -> Small {
        Small::new(&drawn::panel(silver, 2.0))
    }

    fn is_all(plane: &Plane, wanted: f32) -> bool {
        plane.iter().all(|v| (v - wanted).abs() < 1e-5)
    }

    #[test]
    fn even_silver_shows_itself_at_both_sizes() {
        for level in [0.0, 1.0] {
            let found = small(Plane::from_elem((70, 91), level));
            assert_eq!(
                (found.fine.dim(), found.coarse.dim(), found.fine_px),
                ((70, 91), (10, 13), 1)
            );
            assert!(is_all(&found.fine, level) && is_all(&found.coarse, level));
            assert!((found.level - level).abs() < 1e-6);
            assert!((found.fine_mm - 0.5).abs() < 1e-12 && (found.coarse_mm - 3.5).abs() < 1e-12);
        }
        let large = small(Plane::ones((10, 2300)));
        assert_eq!((large.fine_px, large.fine.dim()), (3, (4, 767)));
        let row = small(Plane::ones((1, 240)));
        assert_eq!(row.coarse.dim(), (1, 35));
        assert!(is_all(&row.coarse, 1.0));
    }

    #[test]
    fn dark_spots_up_to_four_cells_vanish_and_larger_ones_stay() {
        let spot = |side: usize| {
            let dark = |at: usize| (70..70 + side).contains(&at);
            let silver = Plane::from_shape_fn((210, 210), |(r, c)| {
                f32::from(u8::from(!(dark(r) && dark(c))))
            });
            small(silver).coarse
        };
        assert!(is_all(&spot(1), 1.0) && is_all(&spot(28), 1.0));
        assert!(spot(56)[[14, 14]] < 1e-5);
    }

    #[test]
    fn three_quarters_lie_under_the_level() {
        // Columns of cells at 0.1, 0.2 and so on up to 0.8.
        let silver = Plane::from_shape_fn((56, 56), |(_, c)| (c / 7 + 1) as f32 / 10.0);
        let found = small(silver);
        assert!(
            (found.level - shown_by(0.7)).abs() < 1e-5
                || (found.level - shown_by(0.8)).abs() < 1e-5,
            "{}",
            found.level
        );
        let part = bright_part(&drawn::plane(&["1119"]));
        assert!((part[[0, 0]] - 0.9).abs() < 1e-6);
    }
}
