//! Making planes smaller, and reading between their pixels.

use rayon::prelude::*;

use crate::frame::Plane;

/// Combines every `cell` values of `row` into one value of `out`; the last cell may hold fewer. The usual widths are compiled
/// separately, each with its length known.
pub fn fold_cells(row: &[f32], cell: usize, out: &mut [f32], combine: impl Fn(&[f32]) -> f32) {
    fn by<const N: usize>(row: &[f32], out: &mut [f32], combine: &impl Fn(&[f32]) -> f32) {
        let (cells, rest) = row.as_chunks::<N>();
        for (value, cell) in out.iter_mut().zip(cells) {
            *value = combine(cell);
        }
        if let Some(last) = out.get_mut(cells.len()).filter(|_| !rest.is_empty()) {
            *last = combine(rest);
        }
    }
    match cell {
        2 => by::<2>(row, out, &combine),
        3 => by::<3>(row, out, &combine),
        4 => by::<4>(row, out, &combine),
        5 => by::<5>(row, out, &combine),
        _ => {
            for (value, cell) in out.iter_mut().zip(row.chunks(cell)) {
                *value = combine(cell);
            }
        }
    }
}

/// Mean of each full `cell` × `cell` block; the last blocks of a row or column may be smaller.
#[must_use]
pub fn block_mean(plane: &Plane, cell: usize) -> Plane {
    let (rows, cols) = plane.dim();
    let (out_rows, out_cols) = (rows.div_ceil(cell), cols.div_ceil(cell));
    let mut out = Plane::zeros((out_rows, out_cols));
    let Some(source) = plane.as_slice() else {
        return out;
    };
    out.as_slice_mut()
        .unwrap_or(&mut [])
        .par_chunks_mut(out_cols.max(1))
        .enumerate()
        .for_each_init(
            || vec![0.0; cols],
            |sums, (i, target)| {
                let last = ((i + 1) * cell).min(rows);
                // Down the columns first: whole rows at a time.
                sums.copy_from_slice(&source[i * cell * cols..(i * cell + 1) * cols]);
                for r in i * cell + 1..last {
                    let row = &source[r * cols..(r + 1) * cols];
                    sums.iter_mut().zip(row).for_each(|(sum, v)| *sum += v);
                }
                let height = (last - i * cell) as f32;
                fold_cells(sums, cell, target, |block| {
                    block.iter().sum::<f32>() / (height * block.len() as f32)
                });
            },
        );
    out
}

/// Sum of products, eight side by side so that none waits for the last; the shorter length counts.
#[must_use]
pub fn dot(a: &[f32], b: &[f32]) -> f32 {
    let mut lanes = [0.0_f32; 8];
    let n = a.len().min(b.len()) / 8 * 8;
    let (a, rest_a) = a.split_at(n);
    let (b, rest_b) = b.split_at(n);
    for (a, b) in a.chunks_exact(8).zip(b.chunks_exact(8)) {
        for i in 0..8 {
            lanes[i] += a[i] * b[i];
        }
    }
    for (lane, (x, y)) in lanes.iter_mut().zip(rest_a.iter().zip(rest_b)) {
        *lane += x * y;
    }
    lanes.iter().sum()
}

/// A coarse grid read as a smooth surface over the fine pixels of one row: cell centres are the nodes, straight lines
/// between them, level beyond the outermost.
pub struct Between<'a> {
    grid: &'a Plane,
    cell: f32,
}

impl<'a> Between<'a> {
    /// Reads `grid`, each node standing for `cell` × `cell` fine pixels, a whole number of them or not.
    #[must_use]
    pub fn new(grid: &'a Plane, cell: f32) -> Self {
        Between { grid, cell }
    }

    /// Fills `row` with the surface along fine row `r`, from fine column `first` on.
    pub fn fill_row(&self, r: usize, first: usize, row: &mut [f32]) {
        let (rows, cols) = self.grid.dim();
        let (above, below, t) = split(r as f32, self.cell, rows);
        let (above, below) = (self.grid.row(above), self.grid.row(below));
        let node = |c: usize| above[c] * (1.0 - t) + below[c] * t;
        // Between two nodes the surface is a straight line: one stretch of pixels a pair of nodes.
        let slope = 1.0 / self.cell;
        let (mut left, _, _) = split(first as f32, self.cell, cols);
        let mut begun = 0;
        while begun < row.len() {
            let node_after = (left as f32 + 1.5) * self.cell - 0.5;
            let end = if left + 1 == cols {
                row.len()
            } else {
                (node_after.ceil() as usize)
                    .saturating_sub(first)
                    .clamp(begun, row.len())
            };
            let (here, rise) = (node(left), node((left + 1).min(cols - 1)) - node(left));
            let offset = ((first + begun) as f32 + 0.5) * slope - 0.5 - left as f32;
            for (i, value) in row[begun..end].iter_mut().enumerate() {
                let u = i as f32 * slope + offset;
                *value = here + u.clamp(0.0, 1.0) * rise;
            }
            begun = end;
            left = (left + 1).min(cols - 1);
        }
    }
}

/// The two nodes about fine position `at`, and how far from the first to the second.
fn split(at: f32, cell: f32, nodes: usize) -> (usize, usize, f32) {
    let u = ((at + 0.5) / cell - 0.5).clamp(0.0, (nodes - 1) as f32);
    let first = u as usize;
    (first, (first + 1).min(nodes - 1), u - first as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_have_their_means_also_at_the_ragged_edge() {
        let plane = Plane::from_shape_fn((3, 5), |(r, c)| (r * 5 + c) as f32);
        let out = block_mean(&plane, 2);
        assert_eq!(out.dim(), (2, 3));
        assert!((out[[0, 0]] - 3.0).abs() < 1e-6);
        assert!((out[[1, 2]] - 14.0).abs() < 1e-6);
    }

    #[test]
    fn a_ramp_is_read_back_between_its_nodes() {
        let fine = Plane::from_shape_fn((8, 40), |(_, c)| c as f32);
        let coarse = block_mean(&fine, 4);
        let mut row = vec![0.0; 40];
        Between::new(&coarse, 4.0).fill_row(3, 0, &mut row);
        assert!((row[20] - 20.0).abs() < 1e-4);
        let mut tail = vec![0.0; 10];
        Between::new(&coarse, 4.0).fill_row(3, 20, &mut tail);
        assert!((tail[3] - 23.0).abs() < 1e-4);
    }
}
