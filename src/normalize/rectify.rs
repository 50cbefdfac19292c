//! The hot path: codes to light, perspective, area weighting and lighting in one pass over the panel's grid, tile by
//! tile, so that each photo pixel is turned to light about once and stays in the cache while it is used.
//!
//! imageproc's `warp` reads one sample for a pixel, of a picture that is turned to light as a whole beforehand, and weighs no areas.
//!
//! Full silver changes so slowly over the photo that the ratio to it is taken where the light is read, before the
//! perspective: one number a pixel goes through it instead of three.

use std::ops::Range;

use rayon::prelude::*;

use super::count::{Cells, Counted, ToneCell};
use super::grid::Grid;
use super::light::Light;
use super::window::Window;
use crate::frame::Plane;
use crate::frame::panel::{Colour, Tone};
use crate::frame::photo::Photo;
use crate::frame::quad::Point;
use crate::ops::glass::silver_behind;
use crate::ops::wide::{Loop, wide};

/// Side of a tile, photo pixels: its light fits a core's own cache.
const TILE_PHOTO_PX: f64 = 64.0;

/// Tiles along each side of a photo at least: between their corners the light is read by straight lines, and over 1/32
/// of a photo even a steep light bends by less than 1e-3.
const LEAST_TILES: f64 = 32.0;

/// A panel made square-on and evenly lit.
pub(super) struct Rectified {
    pub(super) silver: Plane,
    pub(super) tone: Tone,
    pub(super) colour: Colour,
    /// Share of pixels read from codes at the top of the range.
    pub(super) clipped: f64,
    /// Share of pixels brighter than full silver can be.
    pub(super) over_silver: f64,
}

/// One coarse cell of the panel.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    /// Its middle, as shares of the photo's width and height.
    pub(super) place: Point,
    /// Mean linear light.
    pub(super) light: [f64; 3],
}

/// The panel's light in `rows` × `cols` cells, each the mean of a few samples; the outer 2 % left out.
pub(super) fn coarse(photo: &Photo, grid: &Grid, rows: usize, cols: usize) -> Vec<Cell> {
    const SAMPLES: usize = 4;
    let at = |i: usize, k: usize, cells: usize, side: usize| {
        let share = (i as f64 + (k as f64 + 0.5) / SAMPLES as f64) / cells as f64;
        (0.02 + 0.96 * share) * side as f64
    };
    let mut cells = Vec::with_capacity(rows * cols);
    for r in 0..rows {
        for c in 0..cols {
            let mut light = [0.0; 3];
            let mut place = [0.0; 2];
            for k in 0..SAMPLES * SAMPLES {
                let on_grid = [
                    at(c, k % SAMPLES, cols, grid.cols),
                    at(r, k / SAMPLES, rows, grid.rows),
                ];
                let [x, y] = grid.to_photo.apply(on_grid);
                let here = photo.light_at([x, y]);
                let n = (SAMPLES * SAMPLES) as f64;
                (0..3).for_each(|i| light[i] += f64::from(here[i]) / n);
                place[0] += x / photo.width as f64 / n;
                place[1] += y / photo.height as f64 / n;
            }
            cells.push(Cell { place, light });
        }
    }
    cells
}

/// Resamples the panel to its grid: the silver behind u = (Y/L − b)/(1 − b), with Y/L the luminance of the channels' ratios to
/// full silver, so that the lamp's colour drops out.
pub(super) fn rectify(photo: &Photo, grid: &Grid, light: &Light, bare_ratio: f64) -> Rectified {
    let cells = Cells::over(grid, bare_ratio);
    // A tile holds whole tone cells.
    let tile_px = (photo.width.min(photo.height) as f64 / LEAST_TILES).min(TILE_PHOTO_PX);
    let tile = ((tile_px / grid.footprint) as usize / cells.side).max(1) * cells.side;
    let (bare, scale) = (bare_ratio as f32, (1.0 / (1.0 - bare_ratio)) as f32);
    let mut silver = Plane::zeros((grid.rows, grid.cols));
    let mut tone = vec![ToneCell::default(); cells.rows * cells.cols];
    let mut colour = cells.colour();
    let counted: Vec<Counted> = silver
        .as_slice_mut()
        .unwrap_or(&mut [])
        .par_chunks_mut(tile * grid.cols)
        .zip(tone.par_chunks_mut(tile / cells.side * cells.cols))
        .zip(
            colour
                .cells
                .as_slice_mut()
                .unwrap_or(&mut [])
                .par_chunks_mut(tile / cells.fine * cells.fine_cols),
        )
        .enumerate()
        .map_init(Vec::new, |under, (band, ((silver, tone), colour))| {
            let (top, rows) = (band * tile, silver.len() / grid.cols);
            let mut counted = Counted::default();
            for left in (0..grid.cols).step_by(tile) {
                let right = (left + tile).min(grid.cols);
                let window = Window::under(photo, grid, light, [left, top, right, top + rows]);
                window.read(photo, under);
                wide(Tile {
                    window: &window,
                    ratios: under,
                    grid,
                    columns: left..right,
                    top,
                    silver,
                });
                for line in silver.chunks_mut(grid.cols) {
                    line[left..right]
                        .iter_mut()
                        .for_each(|s| *s = silver_behind((*s - bare) * scale));
                }
                let rows = silver
                    .chunks(cells.side * grid.cols)
                    .zip(tone.chunks_mut(cells.cols))
                    .zip(colour.chunks_mut(cells.side / cells.fine * cells.fine_cols));
                for (i, ((lines, tone), colour)) in rows.enumerate() {
                    for first in (left..right).step_by(cells.side) {
                        let corner = [top + i * cells.side, first];
                        let tone = &mut tone[first / cells.side];
                        cells.count(
                            photo,
                            grid,
                            &window,
                            lines,
                            corner,
                            colour,
                            tone,
                            &mut counted,
                        );
                    }
                }
            }
            counted
        })
        .collect();
    Rectified {
        clipped: Counted::share(&counted, |c| c.clipped),
        over_silver: Counted::share(&counted, |c| c.over_silver),
        tone: cells.tone(&tone),
        colour,
        silver,
    }
}

/// A tile to be resampled: what lies under it, the columns of the grid it takes, and the rows of the grid from `top` on.
struct Tile<'a> {
    window: &'a Window,
    ratios: &'a [f32],
    grid: &'a Grid,
    columns: Range<usize>,
    top: usize,
    silver: &'a mut [f32],
}

impl Loop for Tile<'_> {
    type Output = ();

    /// Each of its pixels becomes the mean of its samples.
    #[inline(always)]
    fn run(self) {
        let n = self.grid.samples;
        let share = 1.0 / (n * n) as f32;
        let place = |first: usize, sample: usize| first as f64 + (sample as f64 + 0.5) / n as f64;
        for (row, line) in (self.top..).zip(self.silver.chunks_mut(self.grid.cols)) {
            let line = &mut line[self.columns.clone()];
            line.fill(0.0);
            for sample in 0..n * n {
                let start = [
                    place(self.columns.start, sample % n),
                    place(row, sample / n),
                ];
                self.window
                    .add_row(self.ratios, self.grid, start, share, line);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;
    use crate::frame::quad::Quad;

    const BARE: f64 = 0.06;

    /// A panel of 100 mm on 200 pixels of a photo, under an even full silver of 0.5.
    fn rectified(light: impl Fn(usize, usize) -> f64) -> Rectified {
        let photo = drawn::photo([240, 260], |x, y| [light(x, y); 3]);
        let placement = drawn::placement(Quad::rectangle(20.0, 30.0, 200.0, 200.0));
        let grid = Grid::new(&placement, 10.0, 1.0).unwrap();
        rectify(&photo, &grid, &Light::Plane([[0.5, 0.0, 0.0]; 3]), BARE)
    }

    fn furthest(plane: &Plane, from: f32) -> f32 {
        plane.iter().fold(0.0, |most, v| most.max((v - from).abs()))
    }

    #[test]
    fn full_silver_is_one_and_bare_glass_nothing() {
        let full = rectified(|_, _| 0.5);
        assert_eq!(full.silver.dim(), (192, 192));
        assert!(furthest(&full.silver, 1.0) < 1e-3);
        assert!(
            full.tone
                .planes
                .iter()
                .all(|plane| furthest(plane, 1.0) < 1e-3)
        );
        assert!(
            full.colour
                .cells
                .iter()
                .all(|cell| (cell.remains - 1.0).abs() < 1e-6)
        );
        assert!(full.clipped.abs() < 1e-12 && full.over_silver.abs() < 1e-12);
        // Every pixel of a whole tone cell counts.
        let side = full.tone.cell_px as f32;
        assert!((full.tone.weight[[0, 0]] - side * side).abs() < 1e-3);
        let bare = rectified(|_, _| 0.5 * BARE);
        assert!(furthest(&bare.silver, 0.0) < 1e-3);
        assert!(furthest(&bare.tone.weight, 0.0) < 1e-6);
        assert!(
            bare.colour
                .cells
                .iter()
                .all(|cell| cell.remains.abs() < 1e-6)
        );
    }

    #[test]
    fn light_at_the_top_is_clipped_and_over_full_silver_no_silver() {
        let white = rectified(|_, _| 1.0);
        assert!((white.clipped - 1.0).abs() < 1e-9 && (white.over_silver - 1.0).abs() < 1e-9);
        let left = rectified(|x, _| if x < 120 { 1.0 } else { 0.5 });
        assert!((left.clipped - 0.5).abs() < 0.01, "{}", left.clipped);
        assert!(
            (left.over_silver - 0.5).abs() < 0.01,
            "{}",
            left.over_silver
        );
        assert!(rectified(|_, _| 0.54).over_silver.abs() < 1e-12);
    }

    #[test]
    fn each_place_of_the_panel_has_the_light_of_its_own() {
        // The photo's middle column is the panel's: bare to the left of it.
        let half = rectified(|x, _| if x < 120 { 0.5 * BARE } else { 0.5 });
        for (col, level) in [(0, 0.0), (90, 0.0), (101, 1.0), (191, 1.0)] {
            let column = half.silver.column(col);
            assert!(column.iter().all(|s| (s - level).abs() < 1e-3), "{col}");
        }
        // One pixel of the photo is one of the panel.
        let speck = rectified(|x, y| if (x, y) == (70, 150) { 0.5 * BARE } else { 0.5 });
        let dark: Vec<(usize, usize)> = speck
            .silver
            .indexed_iter()
            .filter(|(_, s)| **s < 0.5)
            .map(|(at, _)| at)
            .collect();
        assert_eq!(dark, [(116, 46)]);
    }

    #[test]
    fn coarse_cells_have_their_mean_light_and_place() {
        let photo = drawn::photo(
            [240, 260],
            |x, _| if x < 120 { [0.2; 3] } else { [0.6, 0.4, 0.2] },
        );
        let placement = drawn::placement(Quad::rectangle(20.0, 30.0, 200.0, 200.0));
        let grid = Grid::new(&placement, 10.0, 1.0).unwrap();
        let cells = coarse(&photo, &grid, 1, 2);
        let near = |found: &[f64], wanted: &[f64]| {
            found.iter().zip(wanted).all(|(v, w)| (v - w).abs() < 1e-4)
        };
        assert_eq!(cells.len(), 2);
        assert!(near(&cells[0].light, &[0.2; 3]) && near(&cells[1].light, &[0.6, 0.4, 0.2]));
        // A quarter of the inner 96 % of 192 px from the middle.
        let off = 0.96 * 192.0 / 4.0;
        assert!(near(&cells[0].place, &[(120.0 - off) / 240.0, 0.5]));
        assert!(near(&cells[1].place, &[(120.0 + off) / 240.0, 0.5]));
    }
}
