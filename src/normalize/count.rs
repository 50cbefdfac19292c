//! What is counted over a panel beside its silver: the tone of what is left, clipping, and what is brighter than silver.
//! Some places of each tone cell are enough for shares and means.

use super::grid::Grid;
use super::rectify::Window;
use crate::frame::Plane;
use crate::frame::panel::Tone;
use crate::frame::photo::Photo;
use crate::frame::quad::Point;
use crate::ops::transfer::LUMINANCE;

/// Side of a tone cell, mm.
const TONE_CELL_MM: f64 = 2.0;

/// Enough places over a panel to fix its tone to a ten-thousandth; more are skipped over evenly.
const ENOUGH: f64 = 500_000.0;

/// One pixel in fixed point.
const FIXED: f64 = 65_536.0;

/// Silver at and above this level has a tone.
const HAS_TONE: f32 = 0.5;

/// Silver level over this is more than full silver, with room for noise.
const OVER_SILVER: f32 = 1.1;

/// Sums over the places counted.
#[derive(Default, Clone, Copy)]
pub(super) struct Counted {
    pub(super) clipped: f64,
    pub(super) over_silver: f64,
    places: f64,
}

impl Counted {
    /// One of the sums as a share of the places.
    pub(super) fn share(counted: &[Counted], of: fn(&Counted) -> f64) -> f64 {
        let sum = |of: fn(&Counted) -> f64| counted.iter().map(of).sum::<f64>();
        sum(of) / sum(|c| c.places)
    }
}

/// The tone cells over a grid.
pub(super) struct Cells {
    /// Side of a cell, grid pixels.
    pub(super) side: usize,
    pub(super) rows: usize,
    pub(super) cols: usize,
    /// Grid pixels from one counted place to the next.
    stride: usize,
}

impl Cells {
    pub(super) fn over(grid: &Grid) -> Self {
        let side = ((TONE_CELL_MM * grid.px_per_mm).round() as usize).max(1);
        Cells {
            side,
            rows: grid.rows.div_ceil(side),
            cols: grid.cols.div_ceil(side),
            stride: (((grid.rows * grid.cols) as f64 / ENOUGH).sqrt() as usize).clamp(1, side),
        }
    }

    /// Counts the cell that begins at a row and a column of the grid; `lines` are the silver of the grid's rows from
    /// there on. Light is that of the nearest photo pixel.
    #[expect(
        clippy::too_many_arguments,
        reason = "the panel on one side, two sums on the other"
    )]
    pub(super) fn count(
        &self,
        photo: &Photo,
        grid: &Grid,
        window: &Window,
        lines: &[f32],
        [first_row, first_col]: [usize; 2],
        tone: &mut [f32; 4],
        counted: &mut Counted,
    ) {
        let on_grid = [first_col, first_row].map(|first| first as f64);
        let in_photo =
            |right: f64, down: f64| grid.to_photo.apply([on_grid[0] + right, on_grid[1] + down]);
        // Over a cell the way into the photo is straight to a small part of a pixel.
        let side = self.side as f64;
        let (corner, right, below) = (in_photo(0.0, 0.0), in_photo(side, 0.0), in_photo(0.0, side));
        let step = |to: Point| [0, 1].map(|a| ((to[a] - corner[a]) / side * FIXED) as i64);
        let (corner, across, down) = (
            corner.map(|at| (at * FIXED) as i64),
            step(right),
            step(below),
        );
        let ends = [photo.width, photo.height].map(|side| side as i64 - 1);
        let (stride, mut sum) = (self.stride, [0.0; 4]);
        let (mut clipped, mut over_silver, mut places) = (0.0, 0_u32, 0_u32);
        let last_col = (first_col + self.side).min(grid.cols);
        let lines = lines.chunks_exact(grid.cols).enumerate();
        for (i, line) in lines.skip(stride / 2).step_by(stride) {
            let places_along = line[first_col..last_col].iter().enumerate();
            for (j, silver) in places_along.skip(stride / 2).step_by(stride) {
                // The middle of the grid's pixel.
                let (j, i) = (2 * j as i64 + 1, 2 * i as i64 + 1);
                let [col, row] = [0, 1].map(|a| {
                    let at = corner[a] + (j * across[a] + i * down[a]) / 2;
                    (at >> 16).clamp(0, ends[a]) as usize
                });
                let [r, g, b, at_top] = photo.light(row, col);
                if *silver >= HAS_TONE {
                    sum = [sum[0] + r, sum[1] + g, sum[2] + b, sum[3] + 1.0];
                }
                clipped += at_top;
                over_silver += u32::from(*silver > OVER_SILVER);
                places += 1;
            }
        }
        counted.clipped += f64::from(clipped);
        counted.over_silver += f64::from(over_silver);
        counted.places += f64::from(places);
        let gains = window.gains_at(in_photo(side / 2.0, side / 2.0));
        *tone = [
            sum[0] * gains[0],
            sum[1] * gains[1],
            sum[2] * gains[2],
            sum[3],
        ];
    }

    /// Sums of weighted ratios → mean ratios to full silver, the glass's own reflection taken off as it is from s.
    pub(super) fn tone(&self, sums: &[[f32; 4]], bare_ratio: f64) -> Tone {
        let bare = bare_ratio as f32;
        let plane = |of: &dyn Fn(&[f32; 4]) -> f32| {
            Plane::from_shape_fn(
                (self.rows, self.cols),
                |(r, c)| of(&sums[r * self.cols + c]),
            )
        };
        let mean = |c: usize| {
            plane(&|s| {
                if s[3] > 0.0 {
                    (s[c] / s[3] / LUMINANCE[c] as f32 - bare) / (1.0 - bare)
                } else {
                    0.0
                }
            })
        };
        let places = (self.side - self.stride / 2).div_ceil(self.stride);
        let pixels = (self.side * self.side) as f32 / (places * places) as f32;
        Tone {
            cell_px: self.side,
            planes: [mean(0), mean(1), mean(2)],
            weight: plane(&|s| s[3] * pixels),
        }
    }
}
