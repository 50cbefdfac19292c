//! Smooth fields: Gaussian filtering, and noise painted coarse and drawn fine.

use ndarray::parallel::prelude::*;
use std::ops::Range;

use ndarray::{ArrayView2, Axis};
use rand::RngExt;
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;

use crate::frame::Plane;

/// Fills a plane row by row, rows in parallel.
pub(super) fn by_rows(
    rows: usize,
    cols: usize,
    fill: impl Fn(usize, &mut [f32]) + Sync + Send,
) -> Plane {
    let mut plane = Plane::zeros((rows, cols));
    plane
        .axis_iter_mut(Axis(0))
        .into_par_iter()
        .enumerate()
        .for_each(|(r, mut row)| {
            if let Some(row) = row.as_slice_mut() {
                fill(r, row);
            }
        });
    plane
}

/// The part of a plane in these rows and columns.
pub(super) fn window(
    mut plane: ArrayView2<'_, f32>,
    rows: Range<usize>,
    cols: Range<usize>,
) -> ArrayView2<'_, f32> {
    plane.slice_axis_inplace(Axis(0), rows.into());
    plane.slice_axis_inplace(Axis(1), cols.into());
    plane
}

/// Gaussian weights out to four standard deviations, summing to 1.
fn weights(sigma_px: f64) -> Vec<f32> {
    let reach = (4.0 * sigma_px).ceil() as i64;
    let raw: Vec<f64> = (-reach..=reach)
        .map(|d| (-0.5 * (d as f64 / sigma_px).powi(2)).exp())
        .collect();
    let sum: f64 = raw.iter().sum();
    raw.iter().map(|w| (w / sum) as f32).collect()
}

/// The plane after a Gaussian of standard deviation `sigma_px`; at the border the part of the Gaussian that falls
/// inside counts for the whole.
pub(super) fn gaussian(plane: ArrayView2<'_, f32>, sigma_px: f64) -> Plane {
    if sigma_px <= 0.0 {
        return plane.to_owned();
    }
    let (rows, cols) = plane.dim();
    let w = weights(sigma_px);
    let reach = w.len() / 2;
    // A row with nothing beyond its ends.
    let padded = |row: &mut dyn Iterator<Item = f32>| {
        let mut long = vec![0.0; cols + 2 * reach];
        long[reach..].iter_mut().zip(row).for_each(|(l, v)| *l = v);
        long
    };
    let windows = |long: &[f32], out: &mut [f32]| {
        weighted_sum(out, &w, |j, from| &long[from + j..]);
    };
    let mut inside = vec![0.0; cols];
    windows(&padded(&mut std::iter::repeat_n(1.0, cols)), &mut inside);
    let across = by_rows(rows, cols, |r, out| {
        windows(&padded(&mut plane.row(r).iter().copied()), out);
        for (o, n) in out.iter_mut().zip(&inside) {
            *o /= n;
        }
    });
    let across = across.as_slice().unwrap_or_default();
    by_rows(rows, cols, |r, out| {
        let (first, last) = (r.saturating_sub(reach), (r + reach).min(rows - 1));
        let used = &w[first + reach - r..=last + reach - r];
        weighted_sum(out, used, |j, from| &across[(first + j) * cols + from..]);
        let inside: f32 = used.iter().sum();
        for o in out.iter_mut() {
            *o /= inside;
        }
    })
}

/// Puts into each `out[i]` the sum over `j` of `weights[j]` times value `i` of line `j`; `line(j, from)` is line `j`
/// from value `from` on. By blocks small enough to be summed in registers.
fn weighted_sum<'a>(out: &mut [f32], weights: &[f32], line: impl Fn(usize, usize) -> &'a [f32]) {
    const BLOCK: usize = 32;
    for (at, block) in out.chunks_mut(BLOCK).enumerate() {
        let mut sums = [0.0f32; BLOCK];
        for (j, w) in weights.iter().enumerate() {
            let values = line(j, at * BLOCK);
            if let Some(values) = values.first_chunk::<BLOCK>() {
                for (s, v) in sums.iter_mut().zip(values) {
                    *s += w * v;
                }
            } else {
                for (s, v) in sums.iter_mut().zip(values) {
                    *s += w * v;
                }
            }
        }
        block.copy_from_slice(&sums[..block.len()]);
    }
}

/// The plane in cells of `k` × `k` pixels, each the mean of its own; what is left over at the right and bottom is
/// dropped.
pub(super) fn in_cells(plane: ArrayView2<'_, f32>, k: usize) -> Plane {
    if k <= 1 {
        return plane.to_owned();
    }
    let (rows, cols) = (plane.nrows() / k, plane.ncols() / k);
    let share = 1.0 / (k * k) as f32;
    by_rows(rows, cols, |r, out| {
        for row in window(plane, r * k..(r + 1) * k, 0..cols * k).rows() {
            for (o, v) in out.iter_mut().zip(row.exact_chunks(k)) {
                *o += v.iter().sum::<f32>() * share;
            }
        }
    })
}

/// Mean over a plane of a figure of each value: summed row by row, then the rows in order, whoever summed them.
pub(super) fn mean_of(plane: ArrayView2<'_, f32>, figure: impl Fn(f64) -> f64 + Sync) -> f64 {
    let sums: Vec<f64> = plane
        .axis_iter(Axis(0))
        .into_par_iter()
        .map(|row| row.iter().map(|v| figure(f64::from(*v))).sum())
        .collect();
    sums.iter().sum::<f64>() / plane.len() as f64
}

/// A smooth random field of mean 0 and standard deviation 1, known at every point of a rectangle.
#[derive(Debug, Clone)]
pub(super) struct Noise {
    grid: Plane,
    /// Distance from node to node, mm.
    step_mm: f64,
    /// Where node [0, 0] lies, mm right of and below the panel's top left corner.
    origin_mm: [f64; 2],
}

/// Where a column of pixels falls on the grid: the first of four nodes, and their weights.
pub(super) type Column = (usize, [f32; 4]);

impl Noise {
    /// White noise filtered by a Gaussian of standard deviation `sigma_mm`, over the rectangle with top left corner
    /// `from_mm` and the given extent. Its autocorrelation falls to 1/e at twice `sigma_mm`.
    pub(super) fn new(
        rng: &mut Pcg64,
        sigma_mm: f64,
        from_mm: [f64; 2],
        extent_mm: [f64; 2],
    ) -> Self {
        // Four nodes to a standard deviation: cubic interpolation then errs by under a thousandth.
        const NODES_PER_SIGMA: f64 = 4.0;
        let step_mm = sigma_mm.max(0.1) / NODES_PER_SIGMA;
        // Out of reach of the border of the white noise, plus the reach of the interpolation.
        let pad = 4.0 * NODES_PER_SIGMA + 2.0;
        let nodes = |mm: f64| (mm / step_mm + 2.0 * pad).ceil() as usize + 1;
        let (rows, cols) = (nodes(extent_mm[1]), nodes(extent_mm[0]));
        let white =
            Plane::from_shape_simple_fn((rows, cols), || rng.sample::<f32, _>(StandardNormal));
        let mut grid = gaussian(white.view(), NODES_PER_SIGMA);
        let gain: f32 = weights(NODES_PER_SIGMA).iter().map(|w| w * w).sum();
        grid.mapv_inplace(|v| v / gain);
        Noise {
            grid,
            step_mm,
            origin_mm: from_mm.map(|mm| mm - pad * step_mm),
        }
    }

    /// Node and weights for a position along one axis (Catmull-Rom), kept inside the grid.
    fn locate(&self, mm: f64, axis: usize) -> Column {
        let at = (mm - self.origin_mm[axis]) / self.step_mm;
        let nodes = if axis == 0 {
            self.grid.ncols()
        } else {
            self.grid.nrows()
        };
        let first = (at.floor() - 1.0).clamp(0.0, nodes as f64 - 4.0);
        let t = (at - first - 1.0) as f32;
        let (t2, t3) = (t * t, t * t * t);
        let weights = [
            0.5 * (-t + 2.0 * t2 - t3),
            0.5 * (2.0 - 5.0 * t2 + 3.0 * t3),
            0.5 * (t + 4.0 * t2 - 3.0 * t3),
            0.5 * (t3 - t2),
        ];
        (first as usize, weights)
    }

    /// Where each of these positions right of the panel's left edge falls.
    pub(super) fn columns(&self, xs_mm: &[f64]) -> Vec<Column> {
        xs_mm.iter().map(|x| self.locate(*x, 0)).collect()
    }

    /// The field along a row `y_mm` below the panel's top edge.
    pub(super) fn row(&self, y_mm: f64, columns: &[Column]) -> Vec<f32> {
        let (first, w) = self.locate(y_mm, 1);
        let mut nodes = vec![0.0f32; self.grid.ncols()];
        for (k, weight) in w.iter().enumerate() {
            for (n, v) in nodes.iter_mut().zip(self.grid.row(first + k)) {
                *n += weight * v;
            }
        }
        columns
            .iter()
            .map(|(c, w)| {
                let n = &nodes[*c..*c + 4];
                w[0] * n[0] + w[1] * n[1] + w[2] * n[2] + w[3] * n[3]
            })
            .collect()
    }

    /// The field at one point, mm right of and below the panel's top left corner.
    pub(super) fn at(&self, x_mm: f64, y_mm: f64) -> f64 {
        let (col, across) = self.locate(x_mm, 0);
        let (row, down) = self.locate(y_mm, 1);
        let mut sum = 0.0f32;
        for (j, v) in down.iter().enumerate() {
            for (i, u) in across.iter().enumerate() {
                sum += v * u * self.grid[[row + j, col + i]];
            }
        }
        f64::from(sum)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::synth::stream::{Part, stream};

    #[test]
    fn a_gaussian_keeps_a_flat_plane_flat_and_spreads_a_point_by_its_sigma() {
        let flat = gaussian(Plane::from_elem((20, 30), 0.7).view(), 3.0);
        assert!(flat.iter().all(|v| (v - 0.7).abs() < 1e-5));
        let mut point = Plane::zeros((41, 41));
        point[[20, 20]] = 1.0;
        let spread = gaussian(point.view(), 3.0);
        let variance: f32 = spread
            .indexed_iter()
            .map(|((_, c), v)| (c as f32 - 20.0).powi(2) * v)
            .sum();
        // Weights end at four sigma: 0.1 % of the variance is missing.
        assert!((variance - 9.0).abs() < 0.05, "{variance}");
    }

    #[test]
    fn noise_has_unit_spread_and_falls_to_a_third_at_twice_its_sigma() {
        let mut rng = stream(5, Part::Clouds, 0);
        let noise = Noise::new(&mut rng, 1.0, [0.0, 0.0], [200.0, 200.0]);
        let (mut n, mut square, mut product) = (0.0, 0.0, 0.0);
        for y in 0..198 {
            for x in 0..198 {
                let (x, y) = (f64::from(x), f64::from(y));
                let v = noise.at(x, y);
                n += 1.0;
                square += v * v;
                product += v * noise.at(x + 2.0, y);
            }
        }
        // About 3000 independent patches: the variance is known to 3 %.
        assert!((square / n - 1.0).abs() < 0.08, "{}", square / n);
        assert!((product / square - (-1.0f64).exp()).abs() < 0.05);
    }
}
