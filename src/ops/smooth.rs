//! Gaussian smoothing and its derivatives, separable, with the kernel cut and renormalised at the edges.
//!
//! imageproc's `gaussian_blur_f32` samples its kernel and cuts it at two deviations, so that the variance is not the one asked for,
//! repeats the outermost pixels beyond the edges, and has no derivatives.

use rayon::prelude::*;
use statrs::function::erf::erf;

use crate::frame::Plane;

/// Half-width of a kernel in standard deviations: beyond it lie 3 in 1000 of a Gaussian, and the width is set by the
/// kernel's own variance.
const REACH: f64 = 3.0;

/// Under a tenth of a pixel a neighbour's weight is below the f32 rounding of a sum.
const LEAST_PX: f64 = 0.1;

/// The same of a derivative's kernels: a shorter one turns the angle of oblique lines, by 0.07° at 1.5 px.
const SLOPE_REACH: f64 = 4.5;

/// Samples of a Gaussian of standard deviation `sigma` (pixels), integrated over each pixel, middle first.
fn half_kernel(sigma: f64, reach: f64) -> Vec<f32> {
    let reach = (reach * sigma).ceil().max(1.0) as usize;
    let below = |x: f64| erf(x / (sigma * std::f64::consts::SQRT_2));
    (0..=reach)
        .map(|i| (0.5 * (below(i as f64 + 0.5) - below(i as f64 - 0.5))) as f32)
        .collect()
}

/// Smooths with a Gaussian of standard deviation `sigma_px`. Near an edge the weights that fall outside are left out
/// and the rest made to sum to one, so a flat plane stays flat.
#[must_use]
pub fn gaussian(plane: &Plane, sigma_px: f64) -> Plane {
    if sigma_px < LEAST_PX {
        return plane.clone();
    }
    let kernel = kernel_of_variance(sigma_px * sigma_px);
    separable(plane, &kernel, &kernel, Parity::Even, Parity::Even)
}

/// How many pixels away a Gaussian of this standard deviation still reaches.
#[must_use]
pub fn reach(sigma_px: f64) -> usize {
    if sigma_px < LEAST_PX {
        return 0;
    }
    kernel_of_variance(sigma_px * sigma_px).len() - 1
}

/// The half kernel whose own discrete variance is `variance` (px²): integrating over pixels widens a Gaussian, by 1/12
/// px² where it is wide and by less where it is narrow, so the width is found by bisection.
fn kernel_of_variance(variance: f64) -> Vec<f32> {
    let (mut low, mut high) = (1e-3, variance.sqrt() + 0.1);
    for _ in 0..40 {
        let sigma = f64::midpoint(low, high);
        let spread = |(i, w): (usize, &f32)| 2.0 * f64::from(*w) * (i * i) as f64;
        if half_kernel(sigma, REACH)
            .iter()
            .enumerate()
            .map(spread)
            .sum::<f64>()
            < variance
        {
            low = sigma;
        } else {
            high = sigma;
        }
    }
    half_kernel(high, REACH)
}

/// Gradient (down the rows, along the columns) by Gaussian derivatives of standard deviation `sigma_px`, per pixel.
///
/// Derivatives of a Gaussian turn no angle; differences of neighbours do (several degrees on fine lines).
#[must_use]
pub fn gradient(plane: &Plane, sigma_px: f64) -> (Plane, Plane) {
    let smooth = half_kernel(sigma_px, SLOPE_REACH);
    let slope: Vec<f32> = {
        let bell = |x: f64| (-x * x / (2.0 * sigma_px * sigma_px)).exp();
        let raw: Vec<f64> = (0..smooth.len())
            .map(|i| bell(i as f64 - 0.5) - bell(i as f64 + 0.5))
            .collect();
        // A ramp of one a pixel must have a slope of one.
        let ramp: f64 = raw
            .iter()
            .enumerate()
            .map(|(i, w)| 2.0 * w * i as f64)
            .sum();
        raw.iter().map(|w| (w / ramp) as f32).collect()
    };
    let down = separable(plane, &slope, &smooth, Parity::Odd, Parity::Even);
    let along = separable(plane, &smooth, &slope, Parity::Even, Parity::Odd);
    (down, along)
}

#[derive(Clone, Copy, PartialEq)]
enum Parity {
    /// Same weight on both sides.
    Even,
    /// Opposite weight on the two sides; nothing outside the plane is made up, the edge value is repeated.
    Odd,
}

/// Rows smoothed at a time: few enough to stay in the cache, many enough to outweigh the rows read twice.
const BAND: usize = 64;

/// Convolves the rows with `across` and the columns with `down` (half kernels, middle first), band by band.
fn separable(
    plane: &Plane,
    down: &[f32],
    across: &[f32],
    p_down: Parity,
    p_across: Parity,
) -> Plane {
    let (rows, cols) = plane.dim();
    let reach = down.len() - 1;
    let mut out = Plane::zeros((rows, cols));
    out.as_slice_mut()
        .unwrap_or(&mut [])
        .par_chunks_mut(BAND * cols.max(1))
        .enumerate()
        .for_each_init(Vec::new, |middle, (band, target)| {
            let first = (band * BAND).saturating_sub(reach);
            let last = (band * BAND + target.len() / cols + reach).min(rows);
            middle.resize((last - first) * cols, 0.0);
            for (row, line) in plane
                .rows()
                .into_iter()
                .skip(first)
                .zip(middle.chunks_mut(cols))
            {
                match row.as_slice() {
                    Some(row) => along_row(row, line, across, p_across),
                    None => along_row(&row.to_vec(), line, across, p_across),
                }
            }
            let lines = Lines {
                values: middle,
                first,
                cols,
                rows,
            };
            for (i, line) in target.chunks_mut(cols).enumerate() {
                lines.down_column(band * BAND + i, line, down, p_down);
            }
        });
    out
}

fn along_row(row: &[f32], out: &mut [f32], kernel: &[f32], parity: Parity) {
    let n = row.len();
    let reach = kernel.len() - 1;
    let edge = |c: usize| -> f32 {
        let mut sum = if parity == Parity::Even {
            kernel[0] * row[c]
        } else {
            0.0
        };
        let mut weight = kernel[0];
        for (k, &w) in kernel.iter().enumerate().skip(1) {
            if parity == Parity::Even {
                for at in [c.checked_sub(k), Some(c + k).filter(|i| *i < n)]
                    .into_iter()
                    .flatten()
                {
                    sum += w * row[at];
                    weight += w;
                }
            } else {
                sum += w * (row[(c + k).min(n - 1)] - row[c.saturating_sub(k)]);
            }
        }
        if parity == Parity::Even {
            sum / weight
        } else {
            sum
        }
    };
    if n <= 2 * reach {
        for (c, value) in out.iter_mut().enumerate() {
            *value = edge(c);
        }
        return;
    }
    let inner = &mut out[reach..n - reach];
    if parity == Parity::Even {
        let whole: f32 = kernel[0] + 2.0 * kernel[1..].iter().sum::<f32>();
        for (value, v) in inner.iter_mut().zip(&row[reach..]) {
            *value = kernel[0] / whole * v;
        }
        for (k, w) in kernel.iter().enumerate().skip(1) {
            let w = w / whole;
            for ((value, a), b) in inner
                .iter_mut()
                .zip(&row[reach - k..])
                .zip(&row[reach + k..])
            {
                *value += w * (a + b);
            }
        }
    } else {
        inner.fill(0.0);
        for (k, w) in kernel.iter().enumerate().skip(1) {
            for ((value, a), b) in inner
                .iter_mut()
                .zip(&row[reach - k..])
                .zip(&row[reach + k..])
            {
                *value += w * (b - a);
            }
        }
    }
    for c in (0..reach).chain(n - reach..n) {
        out[c] = edge(c);
    }
}

/// Some rows of a plane, from row `first` on.
struct Lines<'a> {
    values: &'a [f32],
    first: usize,
    cols: usize,
    /// Rows of the whole plane.
    rows: usize,
}

impl Lines<'_> {
    fn row(&self, i: usize) -> &[f32] {
        let at = (i - self.first) * self.cols;
        &self.values[at..at + self.cols]
    }

    /// Convolves the columns at row `r` of the plane.
    fn down_column(&self, r: usize, target: &mut [f32], kernel: &[f32], parity: Parity) {
        if parity == Parity::Odd {
            target.fill(0.0);
            for (k, w) in kernel.iter().enumerate().skip(1) {
                let (above, below) = (
                    self.row(r.saturating_sub(k)),
                    self.row((r + k).min(self.rows - 1)),
                );
                for ((value, a), b) in target.iter_mut().zip(above).zip(below) {
                    *value += w * (b - a);
                }
            }
            return;
        }
        let inside = |k: usize| [r.checked_sub(k), Some(r + k).filter(|i| *i < self.rows)];
        let whole: f32 = kernel[0]
            + kernel
                .iter()
                .enumerate()
                .skip(1)
                .map(|(k, w)| inside(k).iter().flatten().count() as f32 * w)
                .sum::<f32>();
        for (value, v) in target.iter_mut().zip(self.row(r)) {
            *value = kernel[0] / whole * v;
        }
        for (k, w) in kernel.iter().enumerate().skip(1) {
            let w = w / whole;
            match inside(k) {
                [Some(a), Some(b)] => {
                    for ((value, a), b) in target.iter_mut().zip(self.row(a)).zip(self.row(b)) {
                        *value += w * (a + b);
                    }
                }
                [Some(one), None] | [None, Some(one)] => {
                    for (value, v) in target.iter_mut().zip(self.row(one)) {
                        *value += w * v;
                    }
                }
                [None, None] => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn variance_of_a_dot(sigma: f64) -> f64 {
        let mut dot = Plane::zeros((61, 61));
        dot[[30, 30]] = 1.0;
        let out = gaussian(&dot, sigma);
        out.indexed_iter()
            .map(|((_, c), v)| f64::from(*v) * (c as f64 - 30.0).powi(2))
            .sum::<f64>()
    }

    #[test]
    fn a_dot_spreads_by_the_variance_asked_for() {
        for sigma in [0.5, 0.8, 1.0, 2.5, 5.0] {
            // 4 σ of reach leaves out 0.1 % of the second moment.
            let ratio = variance_of_a_dot(sigma) / (sigma * sigma);
            assert!((ratio - 1.0).abs() < 0.01, "{sigma}: {ratio}");
        }
    }

    #[test]
    fn a_flat_plane_stays_flat_to_its_edges() {
        let flat = Plane::from_elem((9, 14), 0.7);
        assert!(gaussian(&flat, 3.0).iter().all(|v| (v - 0.7).abs() < 1e-6));
    }

    #[test]
    fn a_ramp_has_its_slope() {
        let ramp = Plane::from_shape_fn((40, 40), |(r, c)| 0.5 * r as f32 - 0.25 * c as f32);
        let (down, along) = gradient(&ramp, 1.5);
        assert!((down[[20, 20]] - 0.5).abs() < 1e-4);
        assert!((along[[20, 20]] + 0.25).abs() < 1e-4);
    }
}
