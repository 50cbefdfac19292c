//! Least squares of what is linear in its parameters, and what every fit by least squares knows of itself.
//!
//! y = Σ bⱼ xⱼ + error. The columns are brought to length 1 and turned into a triangle, X = QR, by Householder's
//! reflections; R b = Qᵀy. Squaring X, as XᵀX b = Xᵀy does, would lose half the digits (Golub & Van Loan 2013, "Matrix
//! Computations", 5.3). Where columns lie nearly on each other and much is left over, rounding still moves b: so b and what is
//! left, r, are mended together, as r + Xb = y and Xᵀr = 0 say, from sums of products taken twice as long (Björck 1967,
//! "Iterative refinement of linear least squares solutions I", BIT 7, 257-278). The covariance of b is s²(XᵀX)⁻¹,
//! s² = Σr²/(n − p).

use nalgebra::{DMatrix, DVector};

/// Least length of what a column adds to those before it, of a length of 1; under it rounding decides the parameters.
const LEAST_NEWS: f64 = 1e-13;

/// How often a solution is mended; each time brings some digits, and a double has sixteen.
const MENDINGS: usize = 4;

/// Parameters found by least squares, and how well.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The parameters, in the order of the model.
    pub parameters: Vec<f64>,
    /// Sum of the squared differences from the data.
    pub squares: f64,
    /// Degrees of freedom: figures less parameters, at least 0.
    pub free: usize,
    /// R⁻¹ of the derivatives by the parameters, for their covariance is s² R⁻¹R⁻ᵀ.
    root: DMatrix<f64>,
}

impl Fit {
    /// Standard deviation of a figure about the model, s; `None` where there are no more figures than parameters.
    #[must_use]
    pub fn sd(&self) -> Option<f64> {
        (self.free > 0).then(|| (self.squares / self.free as f64).sqrt())
    }

    /// Standard error of Σ gⱼbⱼ, or to first order of what changes by gⱼ with each parameter (delta method): s ‖R⁻ᵀg‖. `None` as
    /// for [`Self::sd`], or where `gradient` is not as long as the parameters.
    #[must_use]
    pub fn standard_error(&self, gradient: &[f64]) -> Option<f64> {
        if gradient.len() != self.parameters.len() {
            return None;
        }
        let gradient = DVector::from_column_slice(gradient);
        Some(self.sd()? * self.root.tr_mul(&gradient).norm())
    }

    /// Standard error of each parameter; `None` as for [`Self::sd`].
    #[must_use]
    pub fn standard_errors(&self) -> Option<Vec<f64>> {
        let sd = self.sd()?;
        Some(self.root.row_iter().map(|row| sd * row.norm()).collect())
    }

    /// The fit whose derivatives, a row a figure, are `slopes`; `None` where its parameters cannot be told apart.
    pub(super) fn of(parameters: Vec<f64>, squares: f64, slopes: &DMatrix<f64>) -> Option<Self> {
        let triangle = Triangle::of(slopes)?;
        Some(Fit {
            free: slopes.nrows() - slopes.ncols(),
            root: triangle.root()?,
            parameters,
            squares,
        })
    }
}

/// A matrix of full rank as QR, its columns brought to length 1 first.
pub(super) struct Triangle {
    q: DMatrix<f64>,
    r: DMatrix<f64>,
    lengths: DVector<f64>,
}

impl Triangle {
    /// `None` of a matrix with fewer rows than columns, or with columns that are not independent.
    pub(super) fn of(matrix: &DMatrix<f64>) -> Option<Self> {
        let (rows, columns) = matrix.shape();
        let lengths = DVector::from_iterator(columns, matrix.column_iter().map(|c| c.norm()));
        if rows < columns || columns == 0 || lengths.iter().any(|l| !l.is_normal()) {
            return None;
        }
        let mut scaled = matrix.clone();
        for (mut column, length) in scaled.column_iter_mut().zip(&lengths) {
            column /= *length;
        }
        let (q, r) = scaled.qr().unpack();
        let independent = r.diagonal().iter().all(|d| d.abs() > LEAST_NEWS);
        independent.then_some(Triangle { q, r, lengths })
    }

    /// The b that makes ‖matrix · b − y‖ least.
    pub(super) fn solve(&self, y: &DVector<f64>) -> Option<DVector<f64>> {
        let scaled = self.r.solve_upper_triangular(&self.q.tr_mul(y))?;
        Some(scaled.component_div(&self.lengths))
    }

    /// As [`Self::solve`] for the `matrix` this is of, to nearly all the digits of a double; and what is left over of `y`.
    fn solve_closely(
        &self,
        matrix: &DMatrix<f64>,
        y: &DVector<f64>,
    ) -> Option<(DVector<f64>, DVector<f64>)> {
        let mut b = DVector::zeros(matrix.ncols());
        let mut left = DVector::zeros(matrix.nrows());
        for _ in 0..=MENDINGS {
            let amiss = DVector::from_fn(matrix.nrows(), |i, _| {
                let known = [(1.0, y[i]), (-1.0, left[i])].into_iter();
                let row = matrix.row(i);
                sum_of_products(known.chain(row.iter().zip(&b).map(|(x, b)| (-x, *b))))
            });
            let aslant = DVector::from_fn(matrix.ncols(), |j, _| {
                let products = matrix.column(j).into_iter().zip(&left);
                -sum_of_products(products.map(|(x, r)| (*x, *r))) / self.lengths[j]
            });
            let within = self.q.tr_mul(&amiss);
            let turned = self.r.tr_solve_upper_triangular(&aslant)?;
            let step = self.r.solve_upper_triangular(&(&within - &turned))?;
            b += step.component_div(&self.lengths);
            left += amiss + &self.q * (turned - within);
        }
        Some((b, left))
    }

    /// The part of `y` within the reach of the columns: its length is what a change of the parameters can still take away.
    pub(super) fn within(&self, y: &DVector<f64>) -> f64 {
        self.q.tr_mul(y).norm()
    }

    /// R⁻¹ of the matrix as it was given.
    fn root(&self) -> Option<DMatrix<f64>> {
        let columns = self.r.ncols();
        let mut root = self
            .r
            .solve_upper_triangular(&DMatrix::identity(columns, columns))?;
        for (mut row, length) in root.row_iter_mut().zip(&self.lengths) {
            row /= *length;
        }
        Some(root)
    }
}

/// Fits y as a sum of `columns`, each as long as `y`. `None` where they are not, where a figure is not finite, where there
/// are fewer figures than columns, or where one column is a sum of others.
#[must_use]
pub fn solve(columns: &[Vec<f64>], y: &[f64]) -> Option<Fit> {
    let known = |column: &[f64]| column.len() == y.len() && column.iter().all(|v| v.is_finite());
    if !known(y) || !columns.iter().all(|column| known(column)) {
        return None;
    }
    let x = DMatrix::from_iterator(y.len(), columns.len(), columns.iter().flatten().copied());
    let y = DVector::from_column_slice(y);
    let (b, left) = Triangle::of(&x)?.solve_closely(&x, &y)?;
    Fit::of(b.iter().copied().collect(), left.norm_squared(), &x)
}

/// Sum of the products of `pairs` as if taken in twice the digits of a double and rounded once (Ogita, Rump & Oishi 2005, "Accurate
/// sum and dot product", SIAM J. Sci. Comput. 26, 1955-1988, algorithm 5.3).
fn sum_of_products(pairs: impl Iterator<Item = (f64, f64)>) -> f64 {
    let (mut sum, mut rest) = (0.0, 0.0);
    for (a, b) in pairs {
        let product = a * b;
        let longer = sum + product;
        let taken = longer - sum;
        rest += (sum - (longer - taken)) + (product - taken) + a.mul_add(b, -product);
        sum = longer;
    }
    sum + rest
}

/// The straight line y = a + b x through points [x, y], by least squares; `None` of fewer than two, or where all have one x.
#[must_use]
pub fn line(points: &[[f64; 2]]) -> Option<Fit> {
    let [x, y] = [0, 1].map(|i| points.iter().map(|p| p[i]).collect::<Vec<_>>());
    solve(&[vec![1.0; x.len()], x], &y)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_worked_by_hand() {
        // Means 1.5 and 2.5; Sxx 5, Sxy 6, Syy 9: slope 1.2, squares 9 − 7.2 over 2; its error √(0.9/5), of the height at
        // the middle √(0.9/4).
        let fit = line(&[[0.0, 1.0], [1.0, 1.0], [2.0, 4.0], [3.0, 4.0]]).unwrap();
        assert!((fit.parameters[0] - 0.7).abs() < 1e-12);
        assert!((fit.parameters[1] - 1.2).abs() < 1e-12);
        assert_eq!(fit.free, 2);
        assert!((fit.sd().unwrap() - 0.9_f64.sqrt()).abs() < 1e-12);
        let errors = fit.standard_errors().unwrap();
        assert!((errors[1] - 0.18_f64.sqrt()).abs() < 1e-12);
        let middle = fit.standard_error(&[1.0, 1.5]).unwrap();
        assert!((middle - 0.225_f64.sqrt()).abs() < 1e-12);
        assert_eq!(fit.standard_error(&[1.0]), None);
    }

    #[test]
    fn two_points_make_a_line_and_say_nothing_of_its_doubt() {
        let fit = line(&[[0.0, 1.0], [2.0, 5.0]]).unwrap();
        assert!((fit.parameters[1] - 2.0).abs() < 1e-12);
        assert_eq!((fit.sd(), fit.standard_errors()), (None, None));
    }

    #[test]
    fn what_cannot_be_told_apart_has_no_fit() {
        assert_eq!(line(&[]), None);
        assert_eq!(line(&[[1.0, 1.0]]), None);
        assert_eq!(line(&[[0.3, 1.0], [0.3, 2.0], [0.3, 3.0]]), None);
        assert_eq!(line(&[[0.0, 0.0], [1.0, f64::NAN], [2.0, 1.0]]), None);
        assert_eq!(solve(&[vec![1.0; 3], vec![1.0; 2]], &[1.0; 3]), None);
        let twice = [vec![1.0, 2.0, 3.0], vec![2.0, 4.0, 6.0]];
        assert_eq!(solve(&twice, &[1.0, 2.0, 4.0]), None);
    }
}
