//! The photo made small enough to be looked at as a whole, and what its surround is like.

use rayon::prelude::*;

use crate::frame::Plane;
use crate::frame::photo::Photo;
use crate::ops::reduce::fold_cells;
use crate::ops::transfer::LUMINANCE;
use crate::stats::order::ranked;
use crate::stats::robust::SD_OVER_MAD;

/// Long side of the thumbnail at most, pixels.
const LONG_SIDE_PX: usize = 700;

/// Rows of the photo read for one row of the thumbnail.
const ROWS_READ: usize = 2;

/// Shorter than this on a side the thumbnail shows no panel, pixels.
const LEAST_SIDE_PX: usize = 48;

/// Width of the ring at the frame's edge that the surround is learnt from, pixels.
const RING_PX: usize = 4;

/// A level is the surround's where it lies within so many robust standard deviations of its median, and this slack for noise and
/// blur.
const DEVIATIONS: f32 = 3.0;
const SLACK: f32 = 0.02;

pub(super) struct Thumbnail {
    /// Square root of the luminance, in which noise is about the same on dark and bright.
    pub(super) level: Plane,
    /// Mean of the 3 × 3 levels about each pixel.
    pub(super) calm: Plane,
    /// Photo pixels to one of its own.
    pub(super) cell: usize,
    /// What lies at the frame's edge.
    pub(super) surround: Surround,
}

/// Levels of what the panel lies on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Surround {
    middle: f32,
    reach: f32,
}

impl Surround {
    fn at_edge(calm: &Plane) -> Self {
        let (rows, cols) = calm.dim();
        let is_at_edge =
            |r, c| r < RING_PX || c < RING_PX || r + RING_PX >= rows || c + RING_PX >= cols;
        let mut ring: Vec<f32> = (calm.indexed_iter())
            .filter_map(|((r, c), v)| is_at_edge(r, c).then_some(*v))
            .collect();
        let middle_of = |values: &mut [f32]| ranked(values, 0.5, f32::total_cmp).unwrap_or(0.0);
        let middle = middle_of(&mut ring);
        ring.iter_mut().for_each(|v| *v = (*v - middle).abs());
        let deviation = SD_OVER_MAD as f32 * middle_of(&mut ring);
        Surround {
            middle,
            reach: SLACK + DEVIATIONS * deviation,
        }
    }

    /// This level can be the surround's.
    pub(super) fn has(&self, level: f32) -> bool {
        (level - self.middle).abs() <= self.reach
    }

    /// This level can be the surround's or that of a shadow on it, which things that lie on the table cast.
    pub(super) fn may_be(&self, level: f32) -> bool {
        level - self.middle <= self.reach
    }

    /// The surround differs from place to place by less than this.
    pub(super) fn step(&self) -> f32 {
        (0.6 * self.reach).max(SLACK)
    }
}

impl Thumbnail {
    /// `None` where the photo is too small to show a panel.
    pub(super) fn new(photo: &Photo) -> Option<Self> {
        let cell = photo.width.max(photo.height).div_ceil(LONG_SIDE_PX).max(1);
        let (rows, cols) = (photo.height / cell, photo.width / cell);
        if rows.min(cols) < LEAST_SIDE_PX {
            return None;
        }
        let weights = [LUMINANCE.map(|w| w as f32), [0.0; 3]];
        let read = cell.min(ROWS_READ);
        let mut level = Plane::zeros((rows, cols));
        level
            .as_slice_mut()?
            .par_chunks_mut(cols)
            .enumerate()
            .for_each_init(
                || (vec![0.0; cols * cell], vec![0.0; cols]),
                |(line, cells), (r, out)| {
                    for i in 0..read {
                        let row = r * cell + (2 * i + 1) * cell / (2 * read);
                        photo.weighed_along(row, 0, weights, line);
                        fold_cells(line, cell, cells, |of| of.iter().sum());
                        out.iter_mut().zip(&*cells).for_each(|(o, v)| *o += v);
                    }
                    let share = 1.0 / (read * cell) as f32;
                    out.iter_mut()
                        .for_each(|v| *v = (*v * share).max(0.0).sqrt());
                },
            );
        let calm = calmed(&level);
        Some(Thumbnail {
            surround: Surround::at_edge(&calm),
            level,
            calm,
            cell,
        })
    }

    /// Height and width, pixels.
    pub(super) fn dim(&self) -> (usize, usize) {
        self.level.dim()
    }

    /// The calm level at a point; `None` outside.
    pub(super) fn calm_at(&self, [x, y]: [f64; 2]) -> Option<f32> {
        if x < 0.0 || y < 0.0 {
            return None;
        }
        self.calm.get([y as usize, x as usize]).copied()
    }
}

/// Mean of the 3 × 3 pixels about each; at the edge of those that are there, the outermost counted again.
fn calmed(level: &Plane) -> Plane {
    let (rows, cols) = level.dim();
    let mut calm = Plane::zeros((rows, cols));
    let source = level.as_slice().unwrap_or_default();
    let line = |r: usize| &source[r * cols..(r + 1) * cols];
    calm.as_slice_mut()
        .unwrap_or_default()
        .par_chunks_mut(cols)
        .enumerate()
        .for_each_init(
            || vec![0.0; cols],
            |sum, (r, out)| {
                let (a, b, c) = (
                    line(r.saturating_sub(1)),
                    line(r),
                    line((r + 1).min(rows - 1)),
                );
                for (i, s) in sum.iter_mut().enumerate() {
                    *s = a[i] + b[i] + c[i];
                }
                for (i, o) in out.iter_mut().enumerate() {
                    *o = (sum[i.saturating_sub(1)] + sum[i] + sum[(i + 1).min(cols - 1)]) / 9.0;
                }
            },
        );
    calm
}
