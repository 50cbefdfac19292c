//! A shape laid through panels.
//!
//! Under a given form the height a and the rise b are those of a straight line against the rise, in closed form (variable
//! projection; Golub & Pereyra 1973, SIAM J. Numer. Anal. 10, 413–432). So the best of the forms spread over all that the
//! settings show is a start that no search can miss, and least squares of all parameters goes on from there. Where that leads
//! out of what the settings show, or nowhere, the best of the spread forms stands, and the shape is not to be told from
//! another.

use super::shape::Shape;
use crate::stats::curve;
use crate::stats::least_squares::{self, Fit};

/// Settings, 0 to 1 or so, and the measure at each, about its middle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Panels {
    pub(super) settings: Vec<f64>,
    pub(super) measure: Vec<f64>,
}

impl Panels {
    pub(super) fn count(&self) -> usize {
        self.settings.len()
    }

    /// All but one.
    pub(super) fn without(&self, left_out: usize) -> Panels {
        let rest = |all: &[f64]| {
            let (before, after) = all.split_at(left_out);
            [before, &after[1..]].concat()
        };
        Panels {
            settings: rest(&self.settings),
            measure: rest(&self.measure),
        }
    }

    /// The different settings, rising.
    pub(super) fn distinct(&self) -> Vec<f64> {
        let mut settings = self.settings.clone();
        settings.sort_unstable_by(f64::total_cmp);
        settings.dedup();
        settings
    }
}

/// The best curve of a shape.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fitted {
    pub(super) shape: Shape,
    /// a, b, and c or m and w.
    pub(super) parameters: Vec<f64>,
    /// Its doubt, where the panels show the form.
    pub(super) fit: Option<Fit>,
}

impl Fitted {
    /// `None` where no form of the shape could be seen with these settings.
    pub(super) fn of(shape: Shape, panels: &Panels) -> Option<Self> {
        if shape == Shape::Line {
            let points = panels.settings.iter().zip(&panels.measure);
            let points: Vec<[f64; 2]> = points.map(|(u, y)| [*u, *y]).collect();
            let fit = least_squares::line(&points)?;
            return Some(Fitted {
                shape,
                parameters: fit.parameters.clone(),
                fit: Some(fit),
            });
        }
        let settings = panels.distinct();
        let start = shape
            .forms(&settings)
            .into_iter()
            .filter_map(|form| Projected::of(shape, form, panels))
            .min_by(|one, other| one.squares.total_cmp(&other.squares))?;
        let start = [vec![start.height, start.rise], start.form].concat();
        let fit = curve::fit(&panels.measure, &start, |i, parameters, slopes| {
            if shape.shows(&parameters[2..], &settings) {
                shape.value(parameters, panels.settings[i], slopes)
            } else {
                f64::NAN
            }
        })
        .ok();
        Some(Fitted {
            shape,
            parameters: fit.as_ref().map_or(start, |f| f.parameters.clone()),
            fit,
        })
    }

    /// The measure at a setting.
    pub(super) fn at(&self, setting: f64) -> f64 {
        let mut slopes = vec![0.0; self.parameters.len()];
        self.shape.value(&self.parameters, setting, &mut slopes)
    }
}

/// The best height and rise under one form.
struct Projected {
    form: Vec<f64>,
    height: f64,
    rise: f64,
    squares: f64,
}

impl Projected {
    /// `None` where the form does not rise over these settings.
    fn of(shape: Shape, form: Vec<f64>, panels: &Panels) -> Option<Self> {
        let n = panels.count() as f64;
        let rises: Vec<f64> = panels
            .settings
            .iter()
            .map(|u| shape.rise(&form, *u))
            .collect();
        let middle = |values: &[f64]| values.iter().sum::<f64>() / n;
        let [x, y] = [&rises, &panels.measure].map(|v| middle(v));
        let pairs = || {
            rises
                .iter()
                .zip(&panels.measure)
                .map(|(r, v)| (r - x, v - y))
        };
        let across: f64 = pairs().map(|(r, _)| r * r).sum();
        let rise = pairs().map(|(r, v)| r * v).sum::<f64>() / across;
        rise.is_finite().then(|| Projected {
            squares: pairs().map(|(r, v)| (v - rise * r).powi(2)).sum(),
            height: y - rise * x,
            rise,
            form,
        })
    }
}
