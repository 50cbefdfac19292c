//! The hot path: code table, perspective, area weighting and light in one pass over the panel's grid.

use rayon::prelude::*;

use super::grid::Grid;
use super::light::Light;
use crate::frame::Plane;
use crate::frame::panel::Tone;
use crate::frame::photo::{Linearisation, Photo, Samples};
use crate::frame::quad::Point;
use crate::ops::transfer::LUMINANCE;

/// Nodes along each side of the panel between which the light is read by straight lines. Over 1/32 of a panel even a
/// steep light bends by less than 1e-4.
const NODES: usize = 33;

/// Side of a tone cell, mm.
const TONE_CELL_MM: f64 = 1.0;

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
    match &photo.samples {
        Samples::Eight(codes) => resample::<u8, 256>(codes, photo, grid, &gains, bare_ratio),
        Samples::Sixteen(codes) => resample::<u16, 65536>(codes, photo, grid, &gains, bare_ratio),
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

    /// The gains along grid row `row`, one a column.
    fn fill_row(&self, grid: &Grid, row: usize, out: &mut [[f32; 3]]) {
        let split = |i: usize, side: usize| {
            let u = (i as f32 + 0.5) / side as f32 * (NODES - 1) as f32;
            let first = (u as usize).min(NODES - 2);
            (first, u - first as f32)
        };
        let (above, t) = split(row, grid.rows);
        let mix = |a: [f32; 3], b: [f32; 3], t: f32| [0, 1, 2].map(|c| a[c] + t * (b[c] - a[c]));
        let step = (NODES - 1) as f32 / grid.cols as f32;
        let nodes: [[f32; 3]; NODES] = std::array::from_fn(|i| {
            mix(
                self.nodes[above * NODES + i],
                self.nodes[(above + 1) * NODES + i],
                t,
            )
        });
        // Between two nodes the gain is a straight line.
        let mut col = 0;
        for left in 0..NODES - 1 {
            let end = (((left + 1) as f32 / step - 0.5).ceil() as usize).min(grid.cols);
            let rise = [0, 1, 2].map(|c| nodes[left + 1][c] - nodes[left][c]);
            for (i, gain) in out[col.min(end)..end].iter_mut().enumerate() {
                let t = ((col + i) as f32 + 0.5) * step - left as f32;
                *gain = [0, 1, 2].map(|c| nodes[left][c] + t * rise[c]);
            }
            col = col.max(end);
        }
        let last = nodes[NODES - 1];
        out[col..].fill(last);
    }
}

/// Sums over one band of rows, a tone cell high.
#[derive(Default, Clone, Copy)]
struct Band {
    clipped: usize,
    over_silver: usize,
}

/// `N` codes a channel: with the tables' length known, no look-up needs a check.
fn resample<T: Copy + Into<u16> + Sync, const N: usize>(
    codes: &[T],
    photo: &Photo,
    grid: &Grid,
    gains: &Gains,
    bare_ratio: f64,
) -> Rectified {
    let (rows, cols) = (grid.rows, grid.cols);
    let cell = ((TONE_CELL_MM * grid.px_per_mm).round() as usize).max(1);
    let (cell_rows, cell_cols) = (rows.div_ceil(cell), cols.div_ceil(cell));
    let mut silver = vec![0.0_f32; rows * cols];
    let mut tone = vec![[0.0_f32; 4]; cell_rows * cell_cols];
    let reader = Reader::<T, N>::new(codes, photo);
    let (bare, scale) = (bare_ratio as f32, 1.0 / (1.0 - bare_ratio as f32));
    let bands: Vec<Band> = silver
        .par_chunks_mut(cell * cols)
        .zip(tone.par_chunks_mut(cell_cols))
        .enumerate()
        .map(|(band, (silver, tone))| {
            let mut sums = Band::default();
            let mut gain = vec![[0.0; 3]; cols];
            for (i, line) in silver.chunks_mut(cols).enumerate() {
                let row = band * cell + i;
                gains.fill_row(grid, row, &mut gain);
                for (col, (value, gain)) in line.iter_mut().zip(&gain).enumerate() {
                    let (light, clipped) = reader.pixel(grid, row, col);
                    let parts = [0, 1, 2].map(|c| light[c] * gain[c]);
                    let s = (parts[0] + parts[1] + parts[2] - bare) * scale;
                    *value = s;
                    sums.clipped += usize::from(clipped);
                    sums.over_silver += usize::from(s > OVER_SILVER);
                    if s >= HAS_TONE {
                        let sum = &mut tone[col / cell];
                        (0..3).for_each(|c| sum[c] += parts[c]);
                        sum[3] += 1.0;
                    }
                }
            }
            sums
        })
        .collect();
    let share =
        |of: fn(&Band) -> usize| bands.iter().map(of).sum::<usize>() as f64 / (rows * cols) as f64;
    Rectified {
        clipped: share(|b| b.clipped),
        over_silver: share(|b| b.over_silver),
        silver: plane(silver, rows, cols),
        tone: tone_of(&tone, cell, (cell_rows, cell_cols), bare_ratio),
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
        weight: plane(sums.iter().map(|s| s[3]).collect(), rows, cols),
    }
}

/// Reads linear light between the pixels of a photo.
struct Reader<'a, T, const N: usize> {
    codes: &'a [T],
    tables: [&'a [f32; N]; 3],
    width: usize,
    last_col: f64,
    last_row: f64,
    linear: &'a Linearisation,
    top: u16,
}

impl<'a, T: Copy + Into<u16>, const N: usize> Reader<'a, T, N> {
    fn new(codes: &'a [T], photo: &'a Photo) -> Self {
        // A photo's tables are as long as its code range; a shorter one would read as black.
        let table = |c: usize| {
            photo.linear.tables[c]
                .first_chunk()
                .unwrap_or(const { &[0.0; N] })
        };
        let tables = [table(0), table(1), table(2)];
        Reader {
            codes,
            tables,
            width: photo.width,
            // Just under the last pixel, so that the neighbour on the far side is always there.
            last_col: (photo.width - 1) as f64 - 1e-6,
            last_row: (photo.height - 1) as f64 - 1e-6,
            linear: &photo.linear,
            top: photo.top_code(),
        }
    }

    /// Linear Rec. 709 light of one grid pixel, and whether it was read from a code at the top.
    #[inline]
    fn pixel(&self, grid: &Grid, row: usize, col: usize) -> ([f32; 3], bool) {
        let n = grid.samples;
        if n == 1 {
            let (light, clipped) =
                self.sample(grid.to_photo.apply([col as f64 + 0.5, row as f64 + 0.5]));
            return (self.linear.to_rec709(light), clipped);
        }
        let mut sum = [0.0; 3];
        let mut clipped = true;
        let offset = |i: usize| (i as f64 + 0.5) / n as f64;
        for i in 0..n {
            for j in 0..n {
                let at = [col as f64 + offset(j), row as f64 + offset(i)];
                let (light, top) = self.sample(grid.to_photo.apply(at));
                (0..3).for_each(|c| sum[c] += light[c]);
                clipped &= top;
            }
        }
        let share = 1.0 / (n * n) as f32;
        (self.linear.to_rec709(sum.map(|v| v * share)), clipped)
    }

    /// Light at a photo position by straight lines between the four pixels about it, in the file's primaries.
    #[inline]
    fn sample(&self, [x, y]: Point) -> ([f32; 3], bool) {
        let x = (x - 0.5).clamp(0.0, self.last_col);
        let y = (y - 0.5).clamp(0.0, self.last_row);
        let (col, row) = (x as usize, y as usize);
        let (u, v) = ((x - col as f64) as f32, (y - row as f64) as f32);
        let upper = 3 * (row * self.width + col);
        let lower = upper + 3 * self.width;
        let (a, b) = (&self.codes[upper..upper + 6], &self.codes[lower..lower + 6]);
        let mut light = [0.0; 3];
        let mut clipped = false;
        for c in 0..3 {
            let table = self.tables[c];
            let codes = [a[c], a[c + 3], b[c], b[c + 3]].map(Into::<u16>::into);
            let [tl, tr, bl, br] = codes.map(|code| table[usize::from(code) % N]);
            let (top, bottom) = (tl + u * (tr - tl), bl + u * (br - bl));
            light[c] = top + v * (bottom - top);
            clipped |= codes[0] == self.top;
        }
        (light, clipped)
    }
}
