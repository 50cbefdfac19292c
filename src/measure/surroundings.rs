//! How bright the silver about a place is, specks left aside.
//!
//! A speckle is dark against the silver around it, not against a plain mirror: in a veil of 30 % it is what drops under
//! half of 0.7. Found in two steps. First the bright envelope: cells of 2 mm are closed (the brightest within reach,
//! then the darkest of those: greyscale closing), so dark areas narrower than the reach vanish and wider ones, with
//! clouds and lost edges, stay. What is dark against that is left out, and the second step reads the quiet silver that
//! is left, which follows a ridge into its trough.

use image::{GrayImage, Luma};
use imageproc::morphology::{Mask, grayscale_close};

use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::reduce::{Between, block_mean};
use crate::ops::smooth::gaussian;

/// Side of a cell, mm.
const CELL_MM: f64 = 2.0;

/// Reach of the closing, mm: a disc five cells wide holds the largest speckle (6 mm) wherever the cells cut it.
const REACH_MM: f64 = 4.0;

/// Smoothing of the closed cells, in cells.
const SMOOTH_CELLS: f64 = 1.0;

/// Silver levels are closed in steps of 1/200.
const STEPS: f32 = 200.0;

/// The silver level around each place.
#[derive(Debug, Clone)]
pub(super) struct Surroundings {
    cells: Plane,
    cell_px: usize,
}

impl Surroundings {
    /// The level of each cell of a grid whose cells are `cell_px` pixels wide.
    #[must_use]
    pub(super) fn of_cells(cells: Plane, cell_px: usize) -> Self {
        Surroundings { cells, cell_px }
    }

    /// The bright envelope of a panel.
    #[must_use]
    pub(super) fn envelope(panel: &Panel) -> Self {
        let cell_px = ((CELL_MM * panel.px_per_mm).round() as usize).max(1);
        let means = block_mean(&panel.silver, cell_px);
        let (rows, cols) = means.dim();
        let reach = (REACH_MM * panel.px_per_mm / cell_px as f64)
            .round()
            .clamp(1.0, 255.0) as usize;
        // Beyond the panel's edges the outermost cells go on: else a worn edge would be closed to what lies inside it.
        let beyond = |at: u32, cells: usize| (at as usize).saturating_sub(reach).min(cells - 1);
        let side = |cells: usize| (cells + 2 * reach) as u32;
        let image = GrayImage::from_fn(side(cols), side(rows), |x, y| {
            let mean = means[[beyond(y, rows), beyond(x, cols)]];
            Luma([(mean * STEPS).clamp(0.0, 255.0) as u8])
        });
        let closed = grayscale_close(&image, &Mask::disk(reach as u8));
        let cells = Plane::from_shape_fn((rows, cols), |(r, c)| {
            let [x, y] = [c, r].map(|at| (at + reach) as u32);
            f32::from(closed.get_pixel(x, y).0[0]) / STEPS
        });
        Surroundings {
            cells: gaussian(&cells, SMOOTH_CELLS),
            cell_px,
        }
    }

    /// Fills `row` with the level along row `r` of a grid whose cells are `cell_px` pixels wide.
    pub(super) fn fill_cells(&self, r: usize, cell_px: usize, row: &mut [f32]) {
        let cells_a_node = self.cell_px as f32 / cell_px as f32;
        Between::new(&self.cells, cells_a_node).fill_row(r, 0, row);
    }

    /// Fills `row` with the level along row `r` of the silver plane, from column `first` on.
    pub(super) fn fill_row(&self, r: usize, first: usize, row: &mut [f32]) {
        Between::new(&self.cells, self.cell_px as f32).fill_row(r, first, row);
    }
}

#[cfg(test)]
mod tests {
    use super::super::painted::{Exact, exact, with_squares};
    use super::*;

    fn levels(of: &Exact) -> Plane {
        let level = Surroundings::envelope(&of.panel);
        let (rows, cols) = of.panel.silver.dim();
        let mut all = Plane::zeros((rows, cols));
        for (r, mut row) in all.rows_mut().into_iter().enumerate() {
            level.fill_row(r, 0, row.as_slice_mut().unwrap());
        }
        all
    }

    fn assert_all(of: &Exact, wanted: f32) {
        let off = levels(of)
            .iter()
            .fold(0.0_f32, |a, v| a.max((v - wanted).abs()));
        assert!(off < 1e-5, "{off}");
    }

    #[test]
    fn even_silver_is_its_own_surroundings() {
        for level in [0.0, 0.5, 1.0] {
            assert_all(&exact(|_, _| level), level);
        }
    }

    #[test]
    fn what_is_no_wider_than_the_reach_vanishes() {
        // A pixel, the largest speckle, and one on the edge.
        for square in [[100, 100, 1], [93, 91, 53], [0, 100, 40]] {
            assert_all(&with_squares(&[square]), 1.0);
        }
    }

    #[test]
    fn a_bare_half_stays_bare() {
        let levels = levels(&exact(|_, c| f32::from(u8::from(c >= 120))));
        assert!(levels[[120, 20]].abs() < 1e-3 && (levels[[120, 220]] - 1.0).abs() < 1e-3);
        assert!((levels[[0, 20]] - levels[[120, 20]]).abs() < 1e-5);
    }

    #[test]
    fn a_grid_between_the_cells_is_read_by_straight_lines() {
        // Nodes 0 and 1 at the middles of cells of four: 2 and 6.
        let level =
            Surroundings::of_cells(Plane::from_shape_vec((1, 2), vec![0.0, 1.0]).unwrap(), 4);
        let mut row = [9.0; 8];
        level.fill_row(0, 0, &mut row);
        assert_eq!(
            row.to_vec(),
            vec![0.0, 0.0, 0.125, 0.375, 0.625, 0.875, 1.0, 1.0]
        );
        let mut part = [9.0; 2];
        level.fill_row(3, 3, &mut part);
        assert_eq!(part.to_vec(), vec![0.375, 0.625]);
        let mut cells = [9.0; 4];
        level.fill_cells(0, 2, &mut cells);
        assert_eq!(cells.to_vec(), vec![0.0, 0.25, 0.75, 1.0]);
    }
}
