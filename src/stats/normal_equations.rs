//! Least squares by the normal equations XᵀX b = Xᵀy, gathered figure by figure.
//!
//! They lose half the digits that [`super::least_squares`] keeps, but need no memory and no allocation: right for a few columns
//! of about one size, solved thousands of times a photo.

use nalgebra::{SMatrix, SVector};

/// Sums over the figures of a model with N columns.
#[derive(Debug, Clone, Copy)]
pub struct NormalEquations<const N: usize> {
    /// XᵀX.
    pub squares: SMatrix<f64, N, N>,
    /// Xᵀy.
    products: SVector<f64, N>,
    /// yᵀy.
    total: f64,
}

impl<const N: usize> Default for NormalEquations<N> {
    fn default() -> Self {
        NormalEquations {
            squares: SMatrix::zeros(),
            products: SVector::zeros(),
            total: 0.0,
        }
    }
}

impl<const N: usize> NormalEquations<N> {
    /// Adds a figure y and its row of X.
    #[inline]
    pub fn add(&mut self, row: [f64; N], y: f64) {
        let row = SVector::from(row);
        self.squares += row * row.transpose();
        self.products += row * y;
        self.total += y * y;
    }

    /// b; `None` where its columns cannot be told apart.
    #[must_use]
    pub fn solve(&self) -> Option<[f64; N]> {
        Some((self.squares.try_inverse()? * self.products).into())
    }

    /// Sum of squares that b leaves of y; rounding may take it below 0.
    #[must_use]
    pub fn left_over(&self, b: &[f64; N]) -> f64 {
        self.total - self.products.dot(&SVector::from(*b))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_worked_by_hand() {
        // As in `least_squares`: slope 1.2 from 0.7, squares 1.8.
        let mut sums = NormalEquations::default();
        for [x, y] in [[0.0, 1.0], [1.0, 1.0], [2.0, 4.0], [3.0, 4.0]] {
            sums.add([1.0, x], y);
        }
        let line = sums.solve().unwrap();
        assert!((line[0] - 0.7).abs() < 1e-12 && (line[1] - 1.2).abs() < 1e-12);
        assert!((sums.left_over(&line) - 1.8).abs() < 1e-12);
        assert_eq!(NormalEquations::<2>::default().solve(), None);
    }
}
