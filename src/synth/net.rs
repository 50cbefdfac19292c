//! A net of fine lines: the borders of cells that fill the panel, a little bent.

use rand::RngExt;

use super::area::Area;
use super::smooth::{Noise, by_rows};
use super::stream::{Part, stream};
use super::strokes::covered;
use crate::frame::Plane;

/// How far a cell's middle may lie off its place on a square lattice, sides of the square.
const JITTER: f64 = 0.45;
/// How far lines are bent, sides of a cell (standard deviation), and over what distance.
const BENT: f64 = 0.06;
const BENT_OVER: f64 = 0.3;
/// Places of the lattice past the area on every side, so that no cell there lacks neighbours.
const PAST: usize = 4;

/// The middles of the cells, and what bends their borders.
pub(super) struct Net {
    cell_mm: f64,
    from_mm: [f64; 2],
    across: usize,
    down: usize,
    middles: Vec<[f64; 2]>,
    bend: [Noise; 2],
}

impl Net {
    pub(super) fn new(cell_mm: f64, seed: u64, area: Area) -> Self {
        let mut rng = stream(seed, Part::Marks, 0);
        let from_mm = area.from_mm.map(|mm| mm - PAST as f64 * cell_mm);
        let [across, down] = area
            .extent_mm
            .map(|mm| (mm / cell_mm).ceil() as usize + 2 * PAST);
        let middles = (0..across * down)
            .map(|k| {
                [k % across, k / across].map(|place| {
                    let off = (2.0 * rng.random::<f64>() - 1.0) * JITTER;
                    (place as f64 + 0.5 + off) * cell_mm
                })
            })
            .map(|[x, y]| [from_mm[0] + x, from_mm[1] + y])
            .collect();
        let bend = [0, 1].map(|piece| {
            let mut rng = stream(seed, Part::MarkWarp, piece);
            Noise::new(&mut rng, BENT_OVER * cell_mm, area.from_mm, area.extent_mm)
        });
        Net {
            cell_mm,
            from_mm,
            across,
            down,
            middles,
            bend,
        }
    }

    /// Share of each pixel that lines of this width cover.
    pub(super) fn cover(
        &self,
        (rows, cols): (usize, usize),
        width_mm: f64,
        (px_per_mm, margin_px): (f64, usize),
    ) -> Plane {
        let mm = |pixel: usize| (pixel as f64 + 0.5 - margin_px as f64) / px_per_mm;
        let xs_mm: Vec<f64> = (0..cols).map(mm).collect();
        let columns = self.bend.each_ref().map(|noise| noise.columns(&xs_mm));
        let push = BENT * self.cell_mm;
        by_rows(rows, cols, |r, row| {
            let y_mm = mm(r);
            let bent = [0, 1].map(|i| self.bend[i].row(y_mm, &columns[i]));
            for (c, cover) in row.iter_mut().enumerate() {
                let at = [
                    xs_mm[c] + push * f64::from(bent[0][c]),
                    y_mm + push * f64::from(bent[1][c]),
                ];
                let away = self.to_border_mm(at) * px_per_mm;
                *cover = covered(away, width_mm / 2.0 * px_per_mm) as f32;
            }
        })
    }

    /// Distance from a point to the nearest border between two cells, mm.
    fn to_border_mm(&self, at: [f64; 2]) -> f64 {
        let place = |i: usize, n: usize| {
            let place = (at[i] - self.from_mm[i]) / self.cell_mm;
            (place.max(0.0) as usize).clamp(2, n - 3)
        };
        let (col, row) = (place(0, self.across), place(1, self.down));
        let near = || {
            (row - 2..=row + 2).flat_map(move |j| {
                self.middles[j * self.across + col - 2..=j * self.across + col + 2].iter()
            })
        };
        let square = |p: &[f64; 2]| (at[0] - p[0]).powi(2) + (at[1] - p[1]).powi(2);
        let mut own = ([0.0; 2], f64::MAX);
        for p in near() {
            let d = square(p);
            if d < own.1 {
                own = (*p, d);
            }
        }
        let (mine, d) = own;
        near()
            .map(|p| {
                let apart = (p[0] - mine[0]).hypot(p[1] - mine[1]);
                if apart > 0.0 {
                    (square(p) - d) / (2.0 * apart)
                } else {
                    f64::MAX
                }
            })
            .fold(f64::MAX, f64::min)
    }
}
