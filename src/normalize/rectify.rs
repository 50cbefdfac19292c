//! The hot path: codes to light, perspective, area weighting and lighting in one pass over the panel's grid, tile by
//! tile, so that each photo pixel is turned to light about once and stays in the cache while it is used.
//!
//! Full silver changes so slowly over the photo that the ratio to it is taken where the light is read, before the
//! perspective: one number a pixel goes through it instead of three.

use std::ops::Range;

use rayon::prelude::*;

use super::count::{Cells, Counted, ToneCell};
use super::grid::Grid;
use super::light::Light;
use crate::frame::Plane;
use crate::frame::panel::{Colour, Tone};
use crate::frame::photo::Photo;
use crate::frame::quad::Point;
use crate::ops::glass::silver_behind;
use crate::ops::transfer::LUMINANCE;
use crate::ops::wide::{Loop, wide};

/// Side of a tile, photo pixels: its light fits a core's own cache.
const TILE_PHOTO_PX: f64 = 64.0;

/// Tiles along each side of a photo at least: between their corners the light is read by straight lines, and over 1/32
/// of a photo even a steep light bends by less than 1e-3.
const LEAST_TILES: f64 = 32.0;

/// Columns over which the way into the photo is taken for straight. A tilt of 20° bends it by under 0.01 pixel.
const STRAIGHT: usize = 16;

/// One pixel in fixed point.
const FIXED: f32 = 65_536.0;

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
                let col = (x.max(0.0) as usize).min(photo.width - 1);
                let row = (y.max(0.0) as usize).min(photo.height - 1);
                let here = photo.light(row, col);
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

/// The upright rectangle of photo pixels under a tile, with the neighbours that reading between pixels needs. It may
/// reach over the edge of the photo, which goes on there as its last pixels.
pub(super) struct Window {
    first_col: i32,
    first_row: i32,
    width: usize,
    height: usize,
    /// Luminance weight over full silver's light, per channel, at its corners: above left and right, below left and right.
    gains: [[f32; 3]; 4],
}

impl Window {
    /// Under the grid's pixels from (left, top) up to (right, bottom).
    fn under(
        photo: &Photo,
        grid: &Grid,
        light: &Light,
        [left, top, right, bottom]: [usize; 4],
    ) -> Self {
        // A projective map carries a rectangle to the quad of its corners.
        let corners = [[left, top], [right, top], [right, bottom], [left, bottom]]
            .map(|[x, y]| grid.to_photo.apply([x as f64, y as f64]));
        let span = |axis: usize| {
            let low = corners.iter().map(|c| c[axis]).fold(f64::MAX, f64::min);
            let high = corners.iter().map(|c| c[axis]).fold(f64::MIN, f64::max);
            let first = (low - 1.5).floor();
            (first as i32, ((high + 1.5).ceil() - first) as usize)
        };
        let ((first_col, width), (first_row, height)) = (span(0), span(1));
        let gains = [[0, 0], [1, 0], [0, 1], [1, 1]].map(|[right, down]| {
            let x = f64::from(first_col) + (right * (width - 1)) as f64 + 0.5;
            let y = f64::from(first_row) + (down * (height - 1)) as f64 + 0.5;
            let full = light.at([x / photo.width as f64, y / photo.height as f64]);
            [0, 1, 2].map(|c| (LUMINANCE[c] / full[c].max(1e-6)) as f32)
        });
        Window {
            first_col,
            first_row,
            width,
            height,
            gains,
        }
    }

    /// The gains in its first and last column, a share `down` of the way from its first row to its last.
    fn gains_across(&self, down: f32) -> [[f32; 3]; 2] {
        [0, 1].map(|side| between(self.gains[side], self.gains[side + 2], down))
    }

    /// The gains about a place in the photo.
    pub(super) fn gains_at(&self, [x, y]: Point) -> [f32; 3] {
        let share = |at: f64, first: i32, side: usize| {
            (at - 0.5 - f64::from(first)) as f32 / (side - 1) as f32
        };
        let [left, right] = self.gains_across(share(y, self.first_row, self.height));
        between(left, right, share(x, self.first_col, self.width))
    }

    /// Reads its pixels as luminance of the ratios to full silver.
    fn read(&self, photo: &Photo, ratios: &mut Vec<f32>) {
        ratios.resize(self.width * self.height, 0.0);
        // From which of its columns up to which it lies on the photo, and where there.
        let off = |edge: i64, least: usize| {
            usize::try_from(edge - i64::from(self.first_col))
                .unwrap_or(0)
                .clamp(least, self.width)
        };
        let begin = off(0, 0).min(self.width - 1);
        let end = off(photo.width as i64, begin + 1);
        let clamped = |at: i64, end: usize| usize::try_from(at).unwrap_or(0).min(end);
        let col = clamped(
            i64::from(self.first_col) + begin as i64,
            photo.width + begin - end,
        );
        for (i, line) in ratios.chunks_exact_mut(self.width).enumerate() {
            let [left, right] = self.gains_across(i as f32 / (self.height - 1) as f32);
            let step = [0, 1, 2].map(|c| (right[c] - left[c]) / (self.width - 1) as f32);
            let row = clamped(i64::from(self.first_row) + i as i64, photo.height - 1);
            photo.weighed_along(row, col, [left, step], &mut line[begin..end]);
            let (first, last) = (line[begin], line[end - 1]);
            line[..begin].fill(first);
            line[end..].fill(last);
        }
    }

    /// Adds `share` of the ratio at grid position `start`, one column further, and so on. Over a few columns the way
    /// into the photo is straight to a hundredth of a pixel, so it is worked out at their ends only; between them in
    /// fixed point, so that many columns are done at once.
    #[inline(always)]
    fn add_row(&self, ratios: &[f32], grid: &Grid, start: Point, share: f32, out: &mut [f32]) {
        let local = |columns: usize| {
            let [x, y] = grid.to_photo.apply([start[0] + columns as f64, start[1]]);
            [
                (x - 0.5 - f64::from(self.first_col)) as f32,
                (y - 0.5 - f64::from(self.first_row)) as f32,
            ]
        };
        let width = self.width as i32;
        let last = ratios.len() - self.width - 2;
        let mut from = local(0);
        for (k, few) in out.chunks_mut(STRAIGHT).enumerate() {
            let to = local(k * STRAIGHT + few.len());
            let begin = from.map(|at| (at * FIXED) as i32);
            let step = [0, 1].map(|a| ((to[a] - from[a]) * (FIXED / few.len() as f32)) as i32);
            from = to;
            let mut pixel = [0; STRAIGHT];
            let mut part = [[0.0; STRAIGHT]; 2];
            for i in 0..STRAIGHT {
                let [x, y] = [0, 1].map(|a| begin[a].wrapping_add(i as i32 * step[a]));
                pixel[i] = (y >> 16) * width + (x >> 16);
                part[0][i] = (x & 0xFFFF) as f32 / FIXED;
                part[1][i] = (y & 0xFFFF) as f32 / FIXED;
            }
            let mut about = [[0.0; STRAIGHT]; 4];
            for i in 0..STRAIGHT {
                let upper = (pixel[i] as usize).min(last);
                let lower = upper + self.width;
                let (above, below) = (&ratios[upper..upper + 2], &ratios[lower..lower + 2]);
                about[0][i] = above[0];
                about[1][i] = above[1];
                about[2][i] = below[0];
                about[3][i] = below[1];
            }
            for (i, sum) in few.iter_mut().enumerate() {
                let above = about[0][i] + part[0][i] * (about[1][i] - about[0][i]);
                let below = about[2][i] + part[0][i] * (about[3][i] - about[2][i]);
                *sum += share * (above + part[1][i] * (below - above));
            }
        }
    }
}

/// A share `t` of the way from `a` to `b`.
fn between(a: [f32; 3], b: [f32; 3], t: f32) -> [f32; 3] {
    [0, 1, 2].map(|c| a[c] + t * (b[c] - a[c]))
}
