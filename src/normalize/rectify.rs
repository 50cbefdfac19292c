//! The hot path: codes to light, perspective, area weighting and lighting in one pass over the panel's grid, tile by
//! tile, so that each photo pixel is turned to light about once and stays in the cache while it is used.

use rayon::prelude::*;

use super::grid::Grid;
use super::light::Light;
use crate::frame::Plane;
use crate::frame::panel::Tone;
use crate::frame::photo::{self, Photo};
use crate::frame::quad::Point;
use crate::ops::transfer::LUMINANCE;

/// Nodes along each side of the panel between which the light is read by straight lines. Over 1/32 of a panel even a
/// steep light bends by less than 1e-4.
const NODES: usize = 33;

/// Side of a tile, photo pixels: its light fits a core's own cache.
const TILE_PHOTO_PX: f64 = 64.0;

/// Columns over which the way into the photo is taken for straight. A tilt of 20° bends it by under 0.01 pixel.
const STRAIGHT: usize = 16;

/// Tone, clipping and what is brighter than silver are taken from every so many rows: enough for shares and means.
const COUNTED_ROWS: usize = 2;

/// Side of a tone cell, mm.
const TONE_CELL_MM: f64 = 2.0;

/// Silver at and above this level has a tone.
const HAS_TONE: f32 = 0.5;

/// Silver level over this is more than full silver, with room for noise.
const OVER_SILVER: f32 = 1.1;

/// A panel made square-on and evenly lit.
pub(super) struct Rectified {
    pub(super) silver: Plane,
    pub(super) tone: Tone,
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

/// Resamples the panel to its grid: s = (Y/L − b)/(1 − b), with Y/L the luminance of the channels' ratios to full
/// silver, so that the lamp's colour drops out.
pub(super) fn rectify(photo: &Photo, grid: &Grid, light: &Light, bare_ratio: f64) -> Rectified {
    let gains = Gains::new(photo, grid, light);
    let (rows, cols) = (grid.rows, grid.cols);
    let cell = ((TONE_CELL_MM * grid.px_per_mm).round() as usize).max(1);
    let (cell_rows, cell_cols) = (rows.div_ceil(cell), cols.div_ceil(cell));
    // A tile holds whole tone cells.
    let tile = ((TILE_PHOTO_PX / grid.footprint) as usize / cell).max(1) * cell;
    let mut silver = vec![0.0_f32; rows * cols];
    let mut tone = vec![[0.0_f32; 4]; cell_rows * cell_cols];
    let bands: Vec<Band> = silver
        .par_chunks_mut(tile * cols)
        .zip(tone.par_chunks_mut(tile / cell * cell_cols))
        .enumerate()
        .map_init(
            || Scratch::new(tile),
            |scratch, (band, (silver, tone))| {
                let target = Target {
                    silver,
                    tone,
                    cell,
                    cols,
                    cell_cols,
                    bare_ratio: bare_ratio as f32,
                };
                scratch.band(photo, grid, &gains, band * tile, target)
            },
        )
        .collect();
    let sum = |of: fn(&Band) -> f64| bands.iter().map(of).sum::<f64>();
    let counted = sum(|b| b.pixels);
    Rectified {
        clipped: sum(|b| b.clipped) / counted,
        over_silver: sum(|b| b.over_silver) / counted,
        silver: plane(silver, rows, cols),
        tone: tone_of(&tone, cell, (cell_rows, cell_cols), bare_ratio),
    }
}

/// Luminance weight over full silver's light, per channel, at the nodes.
struct Gains {
    nodes: Vec<[f32; 3]>,
}

impl Gains {
    fn new(photo: &Photo, grid: &Grid, light: &Light) -> Self {
        let node = |i: usize, side: usize| i as f64 / (NODES - 1) as f64 * side as f64;
        let nodes = (0..NODES * NODES)
            .map(|i| {
                let [x, y] = grid
                    .to_photo
                    .apply([node(i % NODES, grid.cols), node(i / NODES, grid.rows)]);
                let full = light.at([x / photo.width as f64, y / photo.height as f64]);
                [0, 1, 2].map(|c| (LUMINANCE[c] / full[c].max(1e-6)) as f32)
            })
            .collect();
        Gains { nodes }
    }

    /// The gains along grid row `row`, one for every `cell` columns: over so few even a steep light changes by less than
    /// a thousandth, and as much above the cell's middle as below it.
    fn fill_row(&self, grid: &Grid, row: usize, cell: usize, out: &mut [[f32; 3]]) {
        let split = |at: f32, side: usize| {
            let u = at / side as f32 * (NODES - 1) as f32;
            let first = (u as usize).min(NODES - 2);
            (first, u - first as f32)
        };
        let mix = |a: [f32; 3], b: [f32; 3], t: f32| [0, 1, 2].map(|c| a[c] + t * (b[c] - a[c]));
        let (above, t) = split(row as f32 + 0.5, grid.rows);
        let node = |i: usize| {
            mix(
                self.nodes[above * NODES + i],
                self.nodes[(above + 1) * NODES + i],
                t,
            )
        };
        for (i, gain) in out.iter_mut().enumerate() {
            let middle = ((i as f32 + 0.5) * cell as f32).min(grid.cols as f32);
            let (left, t) = split(middle, grid.cols);
            *gain = mix(node(left), node(left + 1), t);
        }
    }
}

/// Sums over one band of rows, a tone cell high.
#[derive(Default, Clone, Copy)]
struct Band {
    clipped: f64,
    over_silver: f64,
    pixels: f64,
}

/// Where a band of rows is written to.
struct Target<'a> {
    silver: &'a mut [f32],
    tone: &'a mut [[f32; 4]],
    cell: usize,
    cols: usize,
    cell_cols: usize,
    bare_ratio: f32,
}

impl Target<'_> {
    /// Writes the light of a row's pixels from column `left` on, given with the gain of each tone cell.
    fn put(
        &mut self,
        row: usize,
        left: usize,
        light: &[photo::Light],
        gains: &[[f32; 3]],
        sums: &mut Band,
    ) {
        let (bare, scale) = (self.bare_ratio, 1.0 / (1.0 - self.bare_ratio));
        let first = row * self.cols + left;
        let silver = &mut self.silver[first..first + light.len()];
        // Tiles begin where tone cells do.
        let first = row / self.cell * self.cell_cols + left / self.cell;
        let cells = silver
            .chunks_mut(self.cell)
            .zip(light.chunks(self.cell))
            .zip(gains)
            .zip(&mut self.tone[first..]);
        for (((silver, light), gain), tone) in cells {
            for (value, light) in silver.iter_mut().zip(light) {
                let ratio = light[0] * gain[0] + light[1] * gain[1] + light[2] * gain[2];
                *value = (ratio - bare) * scale;
            }
            if row.is_multiple_of(COUNTED_ROWS) {
                count(silver, light, *gain, tone, sums);
            }
        }
    }
}

/// Adds a few pixels to their tone cell and to the band's sums.
fn count(
    silver: &[f32],
    light: &[photo::Light],
    gain: [f32; 3],
    tone: &mut [f32; 4],
    sums: &mut Band,
) {
    for (s, light) in silver.iter().zip(light) {
        let weight = f32::from(u8::from(*s >= HAS_TONE));
        (0..3).for_each(|c| tone[c] += weight * light[c] * gain[c]);
        tone[3] += weight;
        sums.clipped += f64::from(light[3]);
        sums.over_silver += f64::from(u8::from(*s > OVER_SILVER));
    }
    sums.pixels += silver.len() as f64;
}

/// A worker's own memory: the photo's light under one tile, the light along a row of it, the gains of the band.
struct Scratch {
    tile: usize,
    under: Vec<photo::Light>,
    along: Vec<photo::Light>,
    gains: Vec<[f32; 3]>,
}

impl Scratch {
    fn new(tile: usize) -> Self {
        Scratch {
            tile,
            under: Vec::new(),
            along: vec![[0.0; 4]; tile],
            gains: Vec::new(),
        }
    }

    /// Resamples the band of rows that starts at grid row `top`.
    fn band(
        &mut self,
        photo: &Photo,
        grid: &Grid,
        gains: &Gains,
        top: usize,
        mut target: Target<'_>,
    ) -> Band {
        let (cols, rows) = (target.cols, target.silver.len() / target.cols);
        let mut sums = Band::default();
        let (cell, cell_cols) = (target.cell, target.cell_cols);
        self.gains.resize(rows * cell_cols, [0.0; 3]);
        for (i, line) in self.gains.chunks_mut(cell_cols).enumerate() {
            gains.fill_row(grid, top + i, cell, line);
        }
        for left in (0..cols).step_by(self.tile) {
            let right = (left + self.tile).min(cols);
            let window = Window::under(photo, grid, [left, top, right, top + rows]);
            window.read(photo, &mut self.under);
            let along = &mut self.along[..right - left];
            for i in 0..rows {
                window.row(&self.under, grid, top + i, left, along);
                target.put(
                    i,
                    left,
                    along,
                    &self.gains[i * cell_cols + left / cell..(i + 1) * cell_cols],
                    &mut sums,
                );
            }
        }
        sums
    }
}

/// The upright rectangle of photo pixels under a tile, with the neighbours that reading between pixels needs.
struct Window {
    first_col: usize,
    first_row: usize,
    width: usize,
    height: usize,
}

impl Window {
    /// Under the grid's pixels from (left, top) up to (right, bottom).
    fn under(photo: &Photo, grid: &Grid, [left, top, right, bottom]: [usize; 4]) -> Self {
        // A projective map carries a rectangle to the quad of its corners.
        let corners = [[left, top], [right, top], [right, bottom], [left, bottom]]
            .map(|[x, y]| grid.to_photo.apply([x as f64, y as f64]));
        let span = |axis: usize, side: usize| {
            let low = corners.iter().map(|c| c[axis]).fold(f64::MAX, f64::min);
            let high = corners.iter().map(|c| c[axis]).fold(f64::MIN, f64::max);
            let first = ((low - 1.5).max(0.0) as usize).min(side - 2);
            let end = ((high + 1.5).max(0.0).ceil() as usize).clamp(first + 2, side);
            (first, end - first)
        };
        let ((first_col, width), (first_row, height)) =
            (span(0, photo.width), span(1, photo.height));
        Window {
            first_col,
            first_row,
            width,
            height,
        }
    }

    /// Reads the light of its pixels.
    fn read(&self, photo: &Photo, light: &mut Vec<photo::Light>) {
        light.resize(self.width * self.height, [0.0; 4]);
        for (i, line) in light.chunks_exact_mut(self.width).enumerate() {
            photo.light_along(self.first_row + i, self.first_col, line);
        }
    }

    /// Light of the grid pixels of row `row` from column `left` on: each the mean of its samples.
    fn row(
        &self,
        light: &[photo::Light],
        grid: &Grid,
        row: usize,
        left: usize,
        out: &mut [photo::Light],
    ) {
        let n = grid.samples;
        let share = 1.0 / (n * n) as f32;
        out.fill([0.0; 4]);
        for i in 0..n {
            let y = row as f64 + (i as f64 + 0.5) / n as f64;
            for j in 0..n {
                let x = left as f64 + (j as f64 + 0.5) / n as f64;
                self.add_row(light, grid, [x, y], share, out);
            }
        }
    }

    /// Adds `share` of the light at grid position `start`, one column further, and so on. Over a few columns the way
    /// into the photo is straight to a hundredth of a pixel, so it is worked out at their ends only.
    fn add_row(
        &self,
        light: &[photo::Light],
        grid: &Grid,
        start: Point,
        share: f32,
        out: &mut [photo::Light],
    ) {
        let (last_col, last_row) = ((self.width - 2) as f32, (self.height - 2) as f32);
        let local = |columns: usize| {
            let [x, y] = grid.to_photo.apply([start[0] + columns as f64, start[1]]);
            [
                (x - 0.5 - self.first_col as f64) as f32,
                (y - 0.5 - self.first_row as f64) as f32,
            ]
        };
        let mut from = local(0);
        for (k, few) in out.chunks_mut(STRAIGHT).enumerate() {
            let to = local(k * STRAIGHT + few.len());
            let step = [0, 1].map(|a| (to[a] - from[a]) / few.len() as f32);
            for (i, sum) in few.iter_mut().enumerate() {
                let x = (from[0] + i as f32 * step[0]).clamp(0.0, last_col + 1.0);
                let y = (from[1] + i as f32 * step[1]).clamp(0.0, last_row + 1.0);
                let (col, row) = (x.min(last_col) as u32, y.min(last_row) as u32);
                let (u, v) = (x - col as f32, y - row as f32);
                let upper = row as usize * self.width + col as usize;
                let lower = upper + self.width;
                let (a, b) = (&light[upper..upper + 2], &light[lower..lower + 2]);
                for (c, value) in sum.iter_mut().enumerate() {
                    let top = a[0][c] + u * (a[1][c] - a[0][c]);
                    let bottom = b[0][c] + u * (b[1][c] - b[0][c]);
                    *value += share * (top + v * (bottom - top));
                }
            }
            from = to;
        }
    }
}

fn plane(values: Vec<f32>, rows: usize, cols: usize) -> Plane {
    Plane::from_shape_vec((rows, cols), values).unwrap_or_else(|_| Plane::zeros((rows, cols)))
}

/// Sums of weighted ratios → mean ratios to full silver, the glass's own reflection taken off as it is from s.
fn tone_of(
    sums: &[[f32; 4]],
    cell_px: usize,
    (rows, cols): (usize, usize),
    bare_ratio: f64,
) -> Tone {
    let bare = bare_ratio as f32;
    let mean = |c: usize| {
        let weight = LUMINANCE[c] as f32;
        let of = |s: &[f32; 4]| {
            if s[3] > 0.0 {
                (s[c] / s[3] / weight - bare) / (1.0 - bare)
            } else {
                0.0
            }
        };
        plane(sums.iter().map(of).collect(), rows, cols)
    };
    Tone {
        cell_px,
        planes: [mean(0), mean(1), mean(2)],
        weight: plane(
            sums.iter().map(|s| s[3] * COUNTED_ROWS as f32).collect(),
            rows,
            cols,
        ),
    }
}
