//! The silver with its dark spots left out, in small cells: what streaks and clouds are looked for in. A cell beside one
//! that holds something dark is left out too, for a spot's own slope is no streak's.

use std::ops::Range;

use ndarray::{Array2, Axis};
use rayon::prelude::*;

use super::Settings;
use super::surroundings::Surroundings;
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::reduce::{Between, fold_cells};
use crate::ops::smooth::gaussian;

/// Side of a cell, mm: ridges from 2 mm apart span four.
const CELL_MM: f64 = 0.5;

/// Sharpening makes a speckle of what is up to this much lighter than the limit, no more.
const MAY_BE_DARK: f32 = 1.5;

/// A cell has at least so many pixels a side: a single one says nothing of what lies beside it.
const LEAST_CELL_PX: usize = 2;

/// Holes are filled from blocks of this many cells a side.
const FILL_BLOCK: usize = 4;

/// Blur of those blocks, in blocks.
const FILL_BLOCKS: f64 = 0.75;

/// Silver without dark spots.
#[derive(Debug, Clone)]
pub(super) struct Quiet {
    /// Mean silver of each cell, holes filled from around.
    pub(super) silver: Plane,
    /// 1 where the cell is far from dark spots, 0 where it was filled.
    pub(super) free: Plane,
    /// Darkest pixel of each cell.
    darkest: Plane,
    /// Pixels of the panel along a cell.
    pub(super) cell_px: usize,
    /// Side of a cell, mm.
    pub(super) cell_mm: f64,
}

impl Quiet {
    /// Silver without any dark spot, a pixel a cell.
    #[cfg(test)]
    pub(super) fn whole(silver: Plane, cell_mm: f64) -> Self {
        Quiet {
            free: Plane::ones(silver.dim()),
            darkest: silver.clone(),
            silver,
            cell_px: 1,
            cell_mm,
        }
    }

    /// The quiet silver as the level around each place.
    #[must_use]
    pub(super) fn surroundings(&self) -> Surroundings {
        Surroundings::of_cells(self.silver.clone(), self.cell_px)
    }

    /// For each row of cells the stretches of pixels, of `cols` in a row, whose cells hold something dark or lie beside
    /// such a cell; nothing that is dark against its surroundings lies elsewhere.
    pub(super) fn holes(&self, cols: usize, settings: &Settings) -> Vec<Vec<Range<usize>>> {
        let limit = MAY_BE_DARK * settings.speckle_contrast as f32;
        self.stretches(cols, |[r, c]| {
            self.free[[r, c]] < 0.5 && self.darkest[[r, c]] < limit * self.silver[[r, c]]
        })
    }

    /// For each row of cells the stretches of pixels whose cells hold a pixel under `level`.
    pub(super) fn darker(&self, cols: usize, level: f32) -> Vec<Vec<Range<usize>>> {
        self.stretches(cols, |cell| self.darkest[cell] < level)
    }

    fn stretches(
        &self,
        cols: usize,
        is: impl Fn([usize; 2]) -> bool + Sync,
    ) -> Vec<Vec<Range<usize>>> {
        let of_row = |r: usize| {
            let mut stretches: Vec<Range<usize>> = Vec::new();
            for i in (0..self.free.ncols()).filter(|c| is([r, *c])) {
                let (start, end) = (i * self.cell_px, ((i + 1) * self.cell_px).min(cols));
                match stretches.last_mut() {
                    Some(last) if last.end == start => last.end = end,
                    _ => stretches.push(start..end),
                }
            }
            stretches
        };
        (0..self.free.nrows()).into_par_iter().map(of_row).collect()
    }

    /// 1 where no hole lies within two cells and the panel's edge is at least `rim` cells away, 0 elsewhere. A hole is at
    /// least three cells wide, so nine cells at 0 and 2 cells' distance tell.
    pub(super) fn free_around(&self, rim: usize) -> Plane {
        let (rows, cols) = self.free.dim();
        let rim = rim.max(2);
        let mut around = Plane::zeros((rows, cols));
        around
            .axis_iter_mut(Axis(0))
            .into_par_iter()
            .enumerate()
            .filter(|(r, _)| (rim..rows.saturating_sub(rim)).contains(r))
            .for_each(|(r, mut row)| {
                let [above, here, below] = [r - 2, r, r + 2].map(|near| self.free.row(near));
                for c in rim..cols.saturating_sub(rim) {
                    let column = |c: usize| above[c] * here[c] * below[c];
                    row[c] = column(c - 2) * column(c) * column(c + 2);
                }
            });
        around
    }

    /// Leaves out what is dark against its surroundings, and what lies beside it.
    pub(super) fn new(panel: &Panel, level: &Surroundings, settings: &Settings) -> Self {
        let cell_px = ((CELL_MM * panel.px_per_mm).round() as usize).max(LEAST_CELL_PX);
        let (mut silver, darkest) = means_and_darkest(&panel.silver, cell_px);
        let contrast = settings.speckle_contrast as f32;
        let mut dark = Array2::<bool>::default(darkest.dim());
        let cols = dark.ncols();
        dark.axis_iter_mut(Axis(0))
            .into_par_iter()
            .zip(darkest.axis_iter(Axis(0)))
            .enumerate()
            .for_each_init(
                || vec![0.0; cols],
                |around, (r, (mut row, darkest))| {
                    level.fill_cells(r, cell_px, around);
                    for ((dark, darkest), level) in row.iter_mut().zip(darkest).zip(around) {
                        *dark = *darkest < contrast * *level;
                    }
                },
            );
        let free = free_of(&dark);
        fill(&mut silver, &free);
        Quiet {
            silver,
            free,
            darkest,
            cell_px,
            cell_mm: cell_px as f64 / panel.px_per_mm,
        }
    }
}

/// Mean and darkest pixel of each cell.
fn means_and_darkest(silver: &Plane, cell_px: usize) -> (Plane, Plane) {
    let (rows, cols) = silver.dim();
    let size = (rows.div_ceil(cell_px), cols.div_ceil(cell_px));
    let (mut means, mut darkest) = (Plane::zeros(size), Plane::zeros(size));
    means
        .axis_iter_mut(Axis(0))
        .into_par_iter()
        .zip(darkest.axis_iter_mut(Axis(0)))
        .enumerate()
        .for_each_init(
            || (vec![0.0; cols], vec![0.0; cols]),
            |(sum, low), (i, (mut means, mut darkest))| {
                let lines = i * cell_px..((i + 1) * cell_px).min(rows);
                let height = lines.len();
                sum.fill(0.0);
                low.fill(f32::MAX);
                // Down the columns first: whole rows at a time.
                for r in lines {
                    for ((sum, low), s) in sum.iter_mut().zip(low.iter_mut()).zip(silver.row(r)) {
                        *sum += s;
                        *low = if *s < *low { *s } else { *low };
                    }
                }
                let mean = |sum: &[f32]| sum.iter().sum::<f32>() / (sum.len() * height) as f32;
                let lowest = |low: &[f32]| low.iter().fold(f32::MAX, |a, b| a.min(*b));
                if let (Some(means), Some(darkest)) = (means.as_slice_mut(), darkest.as_slice_mut())
                {
                    fold_cells(sum, cell_px, means, mean);
                    fold_cells(low, cell_px, darkest, lowest);
                }
            },
        );
    (means, darkest)
}

/// 0 where a cell or one of its eight neighbours is dark, 1 elsewhere.
fn free_of(dark: &Array2<bool>) -> Plane {
    let (rows, cols) = dark.dim();
    let mut free = Plane::zeros((rows, cols));
    free.axis_iter_mut(Axis(0))
        .into_par_iter()
        .enumerate()
        .for_each_init(
            || vec![false; cols + 2],
            |column, (r, mut row)| {
                // One dark-free column on either side stands for what lies outside.
                column.fill(false);
                for near in r.saturating_sub(1)..(r + 2).min(rows) {
                    for (any, dark) in column[1..].iter_mut().zip(dark.row(near)) {
                        *any |= dark;
                    }
                }
                for (free, three) in row.iter_mut().zip(column.windows(3)) {
                    *free = f32::from(u8::from(!(three[0] | three[1] | three[2])));
                }
            },
        );
    free
}

/// Sum of the free silver and number of free cells in each block.
fn block_sums(silver: &Plane, free: &Plane) -> (Plane, Plane) {
    let (rows, cols) = silver.dim();
    let size = (rows.div_ceil(FILL_BLOCK), cols.div_ceil(FILL_BLOCK));
    let (mut sums, mut weights) = (Plane::zeros(size), Plane::zeros(size));
    sums.axis_iter_mut(Axis(0))
        .into_par_iter()
        .zip(weights.axis_iter_mut(Axis(0)))
        .enumerate()
        .for_each(|(i, (mut sums, mut weights))| {
            let (Some(sums), Some(weights)) = (sums.as_slice_mut(), weights.as_slice_mut()) else {
                return;
            };
            for r in i * FILL_BLOCK..((i + 1) * FILL_BLOCK).min(rows) {
                let (silver, free) = (silver.row(r), free.row(r));
                let (Some(silver), Some(free)) = (silver.to_slice(), free.to_slice()) else {
                    continue;
                };
                let (blocks, last) = silver.as_chunks::<FILL_BLOCK>();
                let (frees, last_free) = free.as_chunks::<FILL_BLOCK>();
                let all = blocks
                    .iter()
                    .map(<[f32; FILL_BLOCK]>::as_slice)
                    .chain([last]);
                let all_free = frees
                    .iter()
                    .map(<[f32; FILL_BLOCK]>::as_slice)
                    .chain([last_free]);
                for ((sum, weight), (silver, free)) in sums
                    .iter_mut()
                    .zip(weights.iter_mut())
                    .zip(all.zip(all_free))
                {
                    *sum += silver.iter().zip(free).map(|(s, f)| s * f).sum::<f32>();
                    *weight += free.iter().sum::<f32>();
                }
            }
        });
    (sums, weights)
}

/// Reads the holes from the free silver around them.
fn fill(silver: &mut Plane, free: &Plane) {
    let (sum, weight) = block_sums(silver, free);
    let overall = sum.sum() / weight.sum().max(1.0);
    let (near, weight) = (gaussian(&sum, FILL_BLOCKS), gaussian(&weight, FILL_BLOCKS));
    let around = ndarray::Zip::from(&near)
        .and(&weight)
        .map_collect(|n, w| if *w > 1e-3 { n / w } else { overall });
    let around = Between::new(&around, FILL_BLOCK as f32);
    let cols = silver.ncols();
    silver
        .axis_iter_mut(Axis(0))
        .into_par_iter()
        .enumerate()
        .for_each_init(
            || vec![0.0; cols],
            |filled, (r, mut row)| {
                around.fill_row(r, 0, filled);
                for ((value, free), filled) in row.iter_mut().zip(free.row(r)).zip(filled) {
                    if *free < 0.5 {
                        *value = *filled;
                    }
                }
            },
        );
}

#[cfg(test)]
mod tests {
    use super::super::painted::{exact, with_squares};
    use super::*;
    use crate::frame::drawn;

    /// Cells of an exact panel along a side, of five pixels each.
    const CELLS: usize = 48;

    fn filled(quiet: &Quiet) -> usize {
        quiet.free.iter().filter(|free| **free < 0.5).count()
    }

    #[test]
    fn silver_all_over_is_all_quiet() {
        for level in [1.0, 0.7, 0.0] {
            let quiet = exact(|_, _| level).quiet;
            assert_eq!((quiet.cell_px, quiet.silver.dim()), (5, (CELLS, CELLS)));
            assert_eq!(filled(&quiet), 0);
            assert!(quiet.silver.iter().all(|s| (s - level).abs() < 1e-6));
            let holes = quiet.holes(240, &Settings::default());
            assert!(holes.iter().all(Vec::is_empty));
        }
    }

    #[test]
    fn one_dark_pixel_takes_its_cell_and_the_eight_about_it() {
        for (at, cells) in [([122, 61], 9), ([0, 0], 4), ([239, 122], 6)] {
            let quiet = with_squares(&[[at[0], at[1], 1]]).quiet;
            assert_eq!(filled(&quiet), cells, "{at:?}");
            // What is filled is read from around.
            assert!(quiet.silver.iter().all(|s| (s - 1.0).abs() < 1e-5));
        }
        // Cell 24 down and 12 across, whose darkest pixel alone is dark.
        let quiet = with_squares(&[[122, 61, 1]]).quiet;
        let holes = quiet.holes(240, &Settings::default());
        let rows: Vec<usize> = (0..CELLS).filter(|r| !holes[*r].is_empty()).collect();
        assert_eq!(rows, [24]);
        assert!(holes[24].iter().eq([&(60..65)]));
        assert!(quiet.darker(240, 0.5)[24].iter().eq([&(60..65)]));
        assert!(quiet.darker(62, 0.5)[24].iter().eq([&(60..62)]));
    }

    #[test]
    fn nothing_quiet_is_read_as_nothing() {
        let mut silver = Plane::ones((8, 8));
        fill(&mut silver, &Plane::zeros((8, 8)));
        assert!(silver.iter().all(|s| s.abs() < 1e-6));
    }

    #[test]
    fn cells_know_their_mean_and_their_darkest() {
        let drawn = drawn::plane(&[".5.#.", "..84.", "....3"]);
        let (means, darkest) = means_and_darkest(&drawn, 2);
        assert_eq!(means.dim(), (2, 3));
        // The last of a row and of a column are what is left.
        for (cell, mean, low) in [
            ([0, 0], 0.875, 0.5),
            ([0, 1], 0.55, 0.0),
            ([0, 2], 1.0, 1.0),
            ([1, 2], 0.3, 0.3),
        ] {
            let off = [means[cell] - mean, darkest[cell] - low];
            assert!(off.iter().all(|v| v.abs() < 1e-6), "{cell:?}");
        }
    }

    #[test]
    fn a_rim_and_two_cells_about_a_hole_are_not_free_around() {
        let free = |around: &Plane, at: [usize; 2]| around[at] > 0.5;
        let whole = Quiet::whole(Plane::ones((9, 9)), 0.5).free_around(1);
        assert!((whole.sum() - 25.0).abs() < 1e-6);
        assert!(free(&whole, [2, 4]) && free(&whole, [6, 6]));
        assert!(!free(&whole, [1, 4]) && !free(&whole, [7, 6]));
        let mut holed = Quiet::whole(Plane::ones((20, 20)), 0.5);
        (0..9).for_each(|i| holed.free[[9 + i / 3, 9 + i % 3]] = 0.0);
        let around = holed.free_around(2);
        assert!(free(&around, [10, 6]) && free(&around, [14, 13]));
        assert!(!free(&around, [10, 7]) && !free(&around, [13, 13]));
        // A single row has nothing around it.
        let row = Quiet::whole(Plane::ones((1, 40)), 0.5).free_around(2);
        assert!(row.sum() < 0.5);
    }
}
