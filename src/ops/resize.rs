//! A plane at another number of pixels.

use std::ops::Range;

use ndarray::Axis;
use rayon::prelude::*;

use crate::frame::Plane;

/// The source pixels that one target pixel is made of: the first, and the share of each from there on. Shares sum to 1.
struct Taps {
    first: usize,
    shares: Vec<f32>,
}

/// The part of a plane in these rows and columns.
#[must_use]
pub fn cut(plane: &Plane, rows: Range<usize>, cols: Range<usize>) -> Plane {
    let mut part = plane.view();
    part.slice_axis_inplace(Axis(0), rows.into());
    part.slice_axis_inplace(Axis(1), cols.into());
    // Row after row, as everything else expects it.
    part.as_standard_layout().into_owned()
}

/// Resamples a plane to `rows` × `cols`: the mean of the area each target pixel covers where it shrinks, straight lines
/// between pixel centres where it grows.
#[must_use]
pub fn resize(plane: &Plane, rows: usize, cols: usize) -> Plane {
    let (source_rows, source_cols) = plane.dim();
    let mut out = Plane::zeros((rows, cols));
    let Some(source) = plane.as_slice() else {
        return out;
    };
    if source.is_empty() || cols == 0 {
        return out;
    }
    let (down, across) = (taps(source_rows, rows), taps(source_cols, cols));
    out.as_slice_mut()
        .unwrap_or(&mut [])
        .par_chunks_mut(cols)
        .zip(&down)
        .for_each_init(
            || vec![0.0; source_cols],
            |row, (target, down)| {
                row.fill(0.0);
                for (r, share) in (down.first..).zip(&down.shares) {
                    let line = &source[r * source_cols..(r + 1) * source_cols];
                    for (sum, value) in row.iter_mut().zip(line) {
                        *sum += share * value;
                    }
                }
                for (value, across) in target.iter_mut().zip(&across) {
                    *value = across
                        .shares
                        .iter()
                        .zip(&row[across.first..])
                        .map(|(w, s)| w * s)
                        .sum();
                }
            },
        );
    out
}

fn taps(source: usize, target: usize) -> Vec<Taps> {
    let step = source as f64 / target as f64;
    (0..target)
        .map(|i| {
            if target < source {
                covering(i as f64 * step, (i + 1) as f64 * step, source)
            } else {
                between((i as f64 + 0.5) * step - 0.5, source)
            }
        })
        .collect()
}

/// The pixels from `start` to `end`, by how much of each lies within.
fn covering(start: f64, end: f64, source: usize) -> Taps {
    let first = start as usize;
    let last = (end.ceil() as usize).min(source);
    let shares = (first..last)
        .map(|i| ((end.min((i + 1) as f64) - start.max(i as f64)).max(0.0) / (end - start)) as f32)
        .collect();
    Taps { first, shares }
}

/// The two pixels about position `at`; level beyond the outermost.
fn between(at: f64, source: usize) -> Taps {
    let at = at.clamp(0.0, (source - 1) as f64);
    let first = at as usize;
    let t = (at - first as f64) as f32;
    let shares = if first + 1 < source {
        vec![1.0 - t, t]
    } else {
        vec![1.0]
    };
    Taps { first, shares }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ramp(rows: usize, cols: usize) -> Plane {
        Plane::from_shape_fn((rows, cols), |(r, c)| (r * 2 + c) as f32)
    }

    #[test]
    fn the_mean_survives_shrinking_by_any_ratio() {
        let plane = ramp(60, 90);
        for (rows, cols) in [(60, 90), (30, 45), (17, 23), (1, 1)] {
            let mean = resize(&plane, rows, cols).mean().unwrap();
            assert!(
                (mean - plane.mean().unwrap()).abs() < 1e-3,
                "{rows} x {cols}: {mean}"
            );
        }
    }

    #[test]
    fn a_ramp_stays_a_ramp_when_it_grows() {
        let out = resize(&ramp(10, 10), 30, 30);
        // Target centre (13.5, 16.5) lies at source (4.5, 5.5), which is the centre of source pixel (4, 5).
        assert!((out[[13, 16]] - 13.0).abs() < 1e-4);
        assert!((out[[13, 17]] - out[[13, 16]] - 1.0 / 3.0).abs() < 1e-4);
    }

    #[test]
    fn nothing_in_means_nothing_out() {
        assert_eq!(resize(&Plane::zeros((0, 0)), 2, 2).sum().to_bits(), 0);
    }
}
