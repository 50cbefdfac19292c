//! How much of a plane varies across a direction: second derivatives of Gaussians, steered, on planes of halving size.
//!
//! A plane here always has a Gaussian blur of one pixel. The second derivative of that Gaussian across the direction θ is
//! cos²θ ∂xx + 2 cosθ sinθ ∂xy + sin²θ ∂yy (Freeman & Adelson, "The design and use of steerable filters", IEEE PAMI 13
//! (1991) 891–906, table III without its quadrature pair), and on so smooth a plane differences of neighbours stand for
//! derivatives. It answers most to waves of 2π/√2 = 4.4 pixels. Beyond its edges a plane goes on mirrored.

use rayon::prelude::*;

use super::wide::{Loop, wide};
use crate::frame::Plane;

/// Directions across which a plane is looked at: 0° along the rows, then 45° down to the right, 90° and 135°.
pub const DIRECTIONS: usize = 4;

/// Answer to a wave of amplitude 1 of the length it answers to most, on the plane as it is: 2 − 2 cos √2. An amplitude is then
/// in the plane's own unit.
const ANSWER: f32 = 1.688;

/// The derivatives across each of the directions.
#[must_use]
pub fn second_derivatives(plane: &Plane) -> [Plane; DIRECTIONS] {
    second_derivatives_across(plane, [0, 1, 2, 3])
}

/// The derivatives across some of the directions.
#[must_use]
pub fn second_derivatives_across<const N: usize>(
    plane: &Plane,
    directions: [usize; N],
) -> [Plane; N] {
    let (rows, cols) = plane.dim();
    let mut out: [Plane; N] = std::array::from_fn(|_| Plane::zeros((rows, cols)));
    let Some(source) = plane.as_slice().filter(|_| rows > 1 && cols > 1) else {
        return out;
    };
    let mut lines = out
        .each_mut()
        .map(|plane| plane.as_slice_mut().unwrap_or(&mut []).chunks_mut(cols));
    let all: Vec<[&mut [f32]; N]> = (0..rows)
        .map(|_| {
            lines
                .each_mut()
                .map(|lines| lines.next().unwrap_or(&mut []))
        })
        .collect();
    all.into_par_iter().enumerate().for_each(|(r, out)| {
        let line = |r: usize| &source[r * cols..(r + 1) * cols];
        let above = if r == 0 { 1 } else { r - 1 };
        let below = if r + 1 == rows { r - 1 } else { r + 1 };
        let lines = [line(above), line(r), line(below)];
        for (out, direction) in out.into_iter().zip(directions) {
            wide(DerivativeRow {
                lines,
                direction,
                out,
            });
        }
    });
    out
}

/// One row across one direction.
struct DerivativeRow<'a, 'b> {
    lines: [&'a [f32]; 3],
    direction: usize,
    out: &'b mut [f32],
}

impl Loop for DerivativeRow<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        const SHARE: f32 = 1.0 / ANSWER;
        let [above, here, below] = self.lines;
        match self.direction {
            0 => fill(self.out, |left, i, right| {
                (here[left] - 2.0 * here[i] + here[right]) * SHARE
            }),
            2 => fill(self.out, |_, i, _| {
                (above[i] - 2.0 * here[i] + below[i]) * SHARE
            }),
            aslant => {
                let way = if aslant == 1 { 0.25 } else { -0.25 };
                fill(self.out, |left, i, right| {
                    let both = here[left] + here[right] + above[i] + below[i] - 4.0 * here[i];
                    let turned = above[left] - above[right] - below[left] + below[right];
                    (0.5 * both + way * turned) * SHARE
                });
            }
        }
    }
}

/// Fills a row from each place and those to its left and right.
#[inline(always)]
fn fill(out: &mut [f32], at: impl Fn(usize, usize, usize) -> f32) {
    let last = out.len() - 1;
    for (value, i) in out[1..last].iter_mut().zip(1..) {
        *value = at(i - 1, i, i + 1);
    }
    out[0] = at(1, 0, 1);
    out[last] = at(last - 1, last, last - 1);
}

/// Weights about every second pixel, and then about the pixels that are kept. Together they add a variance of three square pixels of
/// the finer plane, so that a blur of one pixel becomes a blur of one pixel of the coarser plane.
const BINOMIAL: [f32; 5] = [0.0625, 0.25, 0.375, 0.25, 0.0625];
const REST: [f32; 3] = [0.25, 0.5, 0.25];

/// Half as many rows and columns, of a blur of one of their pixels again.
#[must_use]
pub fn coarser(plane: &Plane) -> Plane {
    weighed(&weighed(plane, BINOMIAL, 2), REST, 1)
}

/// Every `stride`-th row and column of a plane, each pixel the mean of those about it under an odd number of weights both ways.
fn weighed<const N: usize>(plane: &Plane, weights: [f32; N], stride: usize) -> Plane {
    let (rows, cols) = plane.dim();
    let mut out = Plane::zeros((rows.div_ceil(stride), cols.div_ceil(stride)));
    let Some(source) = plane.as_slice() else {
        return out;
    };
    let (width, reach) = (out.ncols(), N / 2);
    out.as_slice_mut()
        .unwrap_or(&mut [])
        .par_chunks_mut(width.max(1))
        .enumerate()
        .for_each_init(
            || vec![0.0; cols + 2 * reach],
            |sums, (r, out)| {
                sums.fill(0.0);
                for (k, weight) in weights.iter().enumerate() {
                    let row = mirrored((stride * r + k) as isize - reach as isize, rows);
                    let line = &source[row * cols..(row + 1) * cols];
                    for (sum, value) in sums[reach..].iter_mut().zip(line) {
                        *sum += weight * value;
                    }
                }
                for i in 0..reach {
                    sums[i] = sums[reach + mirrored(i as isize - reach as isize, cols)];
                    let end = reach + cols + i;
                    sums[end] = sums[reach + mirrored((cols + i) as isize, cols)];
                }
                for (value, around) in out.iter_mut().zip(sums.windows(N).step_by(stride)) {
                    *value = weights.iter().zip(around).map(|(w, v)| w * v).sum();
                }
            },
        );
    out
}

/// Where position `at` of a line lies that goes on mirrored about its outermost pixels.
fn mirrored(at: isize, len: usize) -> usize {
    let last = len as isize - 1;
    let at = at.abs();
    (if at > last { 2 * last - at } else { at }).max(0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ops::resize::cut;

    /// A wave of amplitude 1, so many pixels long, across a direction.
    fn wave(length_px: f64, degrees: f64) -> Plane {
        let (s, c) = degrees.to_radians().sin_cos();
        Plane::from_shape_fn((64, 64), |(r, col)| {
            let along = (col as f64 * c + r as f64 * s) / length_px;
            (along * std::f64::consts::TAU).sin() as f32
        })
    }

    /// Root mean square of the middle, over that of a sine.
    fn amplitude(plane: &Plane) -> f64 {
        let inner = cut(plane, 16..48, 16..48);
        let square = inner.iter().map(|v| f64::from(v * v)).sum::<f64>();
        (2.0 * square / inner.len() as f64).sqrt()
    }

    #[test]
    fn a_wave_is_as_strong_as_it_is_across_its_own_direction_and_half_at_forty_five_degrees() {
        // cos² of the turn, as steered second derivatives are, but for what differences of neighbours add to the slanting ones:
        // across a slanting wave (2 − 2 cos u − sin² u) / 1.688 is left, u = 2π / (4.44 √2), which is 0.125.
        for (own, degrees) in [0.0, 45.0, 90.0, 135.0].into_iter().enumerate() {
            let found = second_derivatives(&wave(4.44, degrees))
                .each_ref()
                .map(amplitude);
            let beside = |turn: usize| found[(own + turn) % DIRECTIONS];
            assert!((beside(0) - 1.0).abs() < 0.07, "{degrees}: {found:?}");
            assert!((beside(1) - 0.5).abs() < 0.06 && (beside(3) - 0.5).abs() < 0.06);
            assert!(beside(2) < 0.13, "{degrees}: {found:?}");
        }
    }

    #[test]
    fn an_even_plane_stays_even_and_has_no_structure() {
        let plane = Plane::from_elem((41, 50), 0.8);
        let found = second_derivatives(&plane);
        assert!(found.iter().all(|p| p.iter().all(|v| v.abs() < 1e-6)));
        let half = coarser(&plane);
        assert_eq!(half.dim(), (21, 25));
        assert!(half.iter().all(|v| (v - 0.8).abs() < 1e-6));
    }

    #[test]
    fn a_blur_of_one_pixel_is_one_of_the_wider_pixel_again() {
        // A point blurred by a variance of one pixel, seen in pixels twice as wide.
        let bell = |d: f64| (-d * d / 2.0).exp();
        let point = Plane::from_shape_fn((65, 65), |(r, c)| {
            (bell(r as f64 - 32.0) * bell(c as f64 - 32.0)) as f32
        });
        let half = coarser(&point);
        let mass = f64::from(half.sum());
        let spread = half
            .indexed_iter()
            .map(|((_, c), v)| (c as f64 - 16.0).powi(2) * f64::from(*v));
        assert!((spread.sum::<f64>() / mass - 1.0).abs() < 0.01);
    }
}
