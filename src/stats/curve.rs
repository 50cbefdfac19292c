//! Least squares of a model that is not linear in its parameters, by damped Gauss-Newton steps (Levenberg 1944, Marquardt
//! 1963).
//!
//! With J the derivatives of the model by its parameters and r what it leaves over, a step δ makes ‖r − Jδ‖² + λ‖Dδ‖² least,
//! by QR of the two one under the other, never by JᵀJ. D holds the greatest lengths that the columns of J have had, so that
//! no unit of a parameter matters (Moré 1978, "The Levenberg-Marquardt algorithm: implementation and theory"). λ falls where
//! a step gained what it promised, and rises twice as fast at each one that gained nothing (Nielsen 1999, "Damping parameter
//! in Marquardt's method", IMM-REP-1999-05).
//!
//! It has settled where r stands at right angles on all that the parameters can change: within 10⁻⁹ by the relative offset of
//! Bates & Watts (1981, Technometrics 23, 179–183), which is small at a minimum and nowhere else, or within 10⁻⁵ where no step
//! gains any more; or where nothing is left over but the rounding of the figures. After 1000 steps it gives up. No chance
//! enters, so the same data give the same bits.

use nalgebra::{DMatrix, DVector};

use super::least_squares::{Fit, Triangle};

/// Relative offset at the minimum. At 0.001 a parameter is off by no more than a thousandth of its standard error or so; this
/// is as near as the rounding of most data allows.
const SETTLED: f64 = 1e-9;
/// Relative offset that is good enough where no step gains any more: what rounding allows where much is subtracted.
const NEARLY_SETTLED: f64 = 1e-5;
/// Sum of squares, over that of the data, that is nothing but rounding: figures that agree in thirteen digits.
const EXACT: f64 = 1e-26;
/// Steps tried before giving up. The hardest reference data take 600.
const MOST_STEPS: usize = 1000;
/// λ at first, over the squared lengths of the columns. A timid start: with 10 or less the first step from a far start can leap
/// to where the model is flat and nothing leads back; from 30 to 3000 the same reference data settle.
const FIRST_DAMPING: f64 = 300.0;
/// Least and most λ; beyond the most a step is lost in rounding.
const DAMPING: [f64; 2] = [1e-15, 1e15];

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unfitted {
    /// Fewer figures than parameters, or no parameters.
    TooFew,
    /// The model has no finite value at the start, or a figure is not finite.
    NotFinite,
    /// No minimum was reached.
    Unsettled,
    /// At the minimum the data cannot tell the parameters apart.
    Undetermined,
}

/// Where the search stands.
struct Place {
    parameters: DVector<f64>,
    left: DVector<f64>,
    slopes: DMatrix<f64>,
    squares: f64,
}

/// Fits `y` from a `start` near enough. `model` gives its value for figure i under some parameters, and writes its derivative
/// by each of them into the slice.
pub fn fit(
    y: &[f64],
    start: &[f64],
    model: impl Fn(usize, &[f64], &mut [f64]) -> f64,
) -> Result<Fit, Unfitted> {
    if y.len() < start.len() || start.is_empty() {
        return Err(Unfitted::TooFew);
    }
    let at = |parameters: DVector<f64>| Place::new(y, parameters, &model);
    let mut here = at(DVector::from_column_slice(start)).ok_or(Unfitted::NotFinite)?;
    let rounding = EXACT * y.iter().map(|v| v * v).sum::<f64>();
    let mut scale = DVector::zeros(start.len());
    let (mut damping, mut rise) = (FIRST_DAMPING, 2.0);
    for _ in 0..MOST_STEPS {
        if here.squares <= rounding || here.offset() <= SETTLED {
            break;
        }
        for (longest, column) in scale.iter_mut().zip(here.slopes.column_iter()) {
            *longest = column.norm().max(*longest);
            if *longest <= 0.0 {
                // A parameter that changes nothing here stays where it is.
                *longest = 1.0;
            }
        }
        let Some(step) = here.step(damping, &scale) else {
            break;
        };
        let promised = here.squares - (&here.left - &here.slopes * &step).norm_squared();
        let gained = at(&here.parameters + step).and_then(|next| {
            let gain = here.squares - next.squares;
            (gain > 0.0).then_some((next, gain / promised))
        });
        if let Some((next, ratio)) = gained {
            here = next;
            damping *= (1.0 - (2.0 * ratio - 1.0).powi(3)).max(1.0 / 3.0);
            rise = 2.0;
        } else {
            damping *= rise;
            rise *= 2.0;
        }
        if damping > DAMPING[1] {
            break;
        }
        damping = damping.max(DAMPING[0]);
    }
    here = polish(here, at);
    if here.squares > rounding && here.offset() > NEARLY_SETTLED {
        return Err(Unfitted::Unsettled);
    }
    let parameters = here.parameters.iter().copied().collect();
    Fit::of(parameters, here.squares, &here.slopes).ok_or(Unfitted::Undetermined)
}

/// Undamped steps while the offset falls: near the minimum the sum of squares no longer shows what a step gains.
fn polish(mut here: Place, at: impl Fn(DVector<f64>) -> Option<Place>) -> Place {
    while let Some(next) = Triangle::of(&here.slopes)
        .and_then(|triangle| triangle.solve(&here.left))
        .and_then(|step| at(&here.parameters + step))
        && next.offset() < here.offset()
        && next.squares <= here.squares * (1.0 + NEARLY_SETTLED)
    {
        here = next;
    }
    here
}

impl Place {
    /// `None` where the model or a derivative is not finite.
    fn new(
        y: &[f64],
        parameters: DVector<f64>,
        model: &impl Fn(usize, &[f64], &mut [f64]) -> f64,
    ) -> Option<Self> {
        let mut row = vec![0.0; parameters.len()];
        let mut slopes = DMatrix::zeros(y.len(), parameters.len());
        let left = DVector::from_fn(y.len(), |i, _| {
            let value = model(i, parameters.as_slice(), &mut row);
            slopes.row_mut(i).copy_from_slice(&row);
            y[i] - value
        });
        let squares = left.norm_squared();
        let finite = squares.is_finite() && slopes.iter().all(|s| s.is_finite());
        finite.then_some(Place {
            parameters,
            left,
            slopes,
            squares,
        })
    }

    /// Relative offset: the part of what is left over that the parameters can still reach, over the part that they cannot,
    /// each by its root of dimensions. Endless where the parameters cannot be told apart.
    fn offset(&self) -> f64 {
        let Some(triangle) = Triangle::of(&self.slopes) else {
            return f64::INFINITY;
        };
        let (rows, columns) = self.slopes.shape();
        let within = triangle.within(&self.left);
        let beyond = (self.squares - within * within).max(0.0);
        let free = (rows - columns).max(1) as f64;
        let (within, beyond) = (within / (columns as f64).sqrt(), (beyond / free).sqrt());
        within / beyond
    }

    /// The step under a damping λ of the parameters in their scale.
    fn step(&self, damping: f64, scale: &DVector<f64>) -> Option<DVector<f64>> {
        let (rows, columns) = self.slopes.shape();
        let mut slopes = DMatrix::zeros(rows + columns, columns);
        slopes.rows_mut(0, rows).copy_from(&self.slopes);
        for (j, length) in scale.iter().enumerate() {
            slopes[(rows + j, j)] = damping.sqrt() * length;
        }
        let mut left = DVector::zeros(rows + columns);
        left.rows_mut(0, rows).copy_from(&self.left);
        Triangle::of(&slopes)?.solve(&left)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// y = a·exp(b x).
    fn growth(x: &[f64]) -> impl Fn(usize, &[f64], &mut [f64]) -> f64 {
        |i, b, slopes| {
            let e = (b[1] * x[i]).exp();
            slopes.copy_from_slice(&[e, b[0] * x[i] * e]);
            b[0] * e
        }
    }

    #[test]
    fn exact_figures_give_their_parameters_back_with_no_doubt() {
        let x = [0.0, 1.0, 2.0, 3.0];
        let y = x.map(|x: f64| 3.0 * (-0.5 * x).exp());
        let found = fit(&y, &[1.0, 0.0], growth(&x)).unwrap();
        assert!((found.parameters[0] - 3.0).abs() < 1e-12);
        assert!((found.parameters[1] + 0.5).abs() < 1e-12);
        assert!(found.sd().unwrap() < 1e-14);
    }

    #[test]
    fn a_model_that_is_linear_is_fitted_as_a_line() {
        let points = [[0.0, 1.0], [1.0, 1.0], [2.0, 4.0], [3.0, 4.0]];
        let line = super::super::least_squares::line(&points).unwrap();
        let y = points.map(|p| p[1]);
        let found = fit(&y, &[0.0, 0.0], |i, b, slopes| {
            slopes.copy_from_slice(&[1.0, points[i][0]]);
            b[0] + b[1] * points[i][0]
        })
        .unwrap();
        let [one, other] = [&found, &line].map(|f| f.standard_errors().unwrap());
        for j in 0..2 {
            assert!((found.parameters[j] - line.parameters[j]).abs() < 1e-9);
            assert!((one[j] - other[j]).abs() < 1e-9);
        }
    }

    #[test]
    fn what_has_no_minimum_is_refused() {
        let x = [0.0, 1.0, 2.0];
        let fit = |y: &[f64], start: &[f64]| fit(y, start, growth(&x));
        assert_eq!(fit(&[1.0], &[1.0, 0.0]), Err(Unfitted::TooFew));
        assert_eq!(fit(&[1.0; 3], &[]), Err(Unfitted::TooFew));
        assert_eq!(fit(&[1.0; 3], &[1.0, 1e6]), Err(Unfitted::NotFinite));
        let hole = [1.0, f64::NAN, 1.0];
        assert_eq!(fit(&hole, &[1.0, 0.0]), Err(Unfitted::NotFinite));
        // Nothing but the first: b runs off.
        assert!(fit(&[1.0, 0.0, 0.0], &[1.0, -1.0]).is_err());
    }
}
