//! A shape laid through panels.
//!
//! Under a given form the height a and the rise b are those of a straight line against the rise, in closed form (variable
//! projection; Golub & Pereyra 1973, SIAM J. Numer. Anal. 10, 413–432). So the best of the forms spread over all that the
//! settings show is a start that no search can miss, and least squares of all parameters goes on from there. Where that leads
//! out of what the settings show, or nowhere, the best of the spread forms stands, and the shape is not to be told from
//! another.

use super::shape::{Shape, rise, shows, value};
use crate::stats::curve;
use crate::stats::least_squares::{self, Fit};

/// Settings, 0 to 1 or so, and the measure at each, about its middle.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Panels {
    pub(super) settings: Vec<f64>,
    pub(super) measure: Vec<f64>,
}

impl Panels {
    /// All but one.
    pub(super) fn without(&self, left_out: usize) -> Panels {
        let mut rest = self.clone();
        rest.settings.remove(left_out);
        rest.measure.remove(left_out);
        rest
    }

    /// The different settings, rising.
    pub(super) fn distinct(&self) -> Vec<f64> {
        let mut settings = self.settings.clone();
        settings.sort_unstable_by(f64::total_cmp);
        settings.dedup();
        settings
    }

    /// The rise of a form over the settings, about its middle and of length 1; `None` of one that is the same everywhere.
    pub(super) fn rises(&self, form: &[f64]) -> Option<Vec<f64>> {
        let mut rises: Vec<f64> = self.settings.iter().map(|u| rise(form, *u)).collect();
        let middle = rises.iter().sum::<f64>() / rises.len() as f64;
        rises.iter_mut().for_each(|r| *r -= middle);
        let length = rises.iter().map(|r| r * r).sum::<f64>().sqrt();
        (length > f64::EPSILON).then(|| rises.iter().map(|r| r / length).collect())
    }
}

/// Length of the measure along a rise of length 1: the longer, the less is left over.
pub(super) fn along(rises: &[f64], measure: &[f64]) -> f64 {
    let products = rises.iter().zip(measure).map(|(r, v)| r * v);
    products.sum::<f64>().abs()
}

/// The best curve of a shape.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fitted {
    /// a, b, and c or m and w.
    pub(super) parameters: Vec<f64>,
    /// Its doubt, where the panels show the form.
    pub(super) fit: Option<Fit>,
}

impl Fitted {
    /// `None` where no form of the shape could be seen with these settings.
    pub(super) fn new(shape: Shape, panels: &Panels) -> Option<Self> {
        let settings = panels.distinct();
        let seen = |form: Vec<f64>| Some((along(&panels.rises(&form)?, &panels.measure), form));
        let forms = shape.forms(&settings).into_iter().filter_map(seen);
        let (_, form) = forms.max_by(|one, other| one.0.total_cmp(&other.0))?;
        let points = panels.settings.iter().zip(&panels.measure);
        let points: Vec<[f64; 2]> = points.map(|(u, y)| [rise(&form, *u), *y]).collect();
        let line = least_squares::line(&points)?;
        let parameters = [&line.parameters[..], &form].concat();
        let fit = match shape {
            Shape::Line => Some(line),
            _ => curve::fit(&panels.measure, &parameters, |i, parameters, slopes| {
                if shows(&parameters[2..], &settings) {
                    value(parameters, panels.settings[i], slopes)
                } else {
                    f64::NAN
                }
            })
            .ok(),
        };
        Some(Fitted {
            parameters: fit.as_ref().map_or(parameters, |f| f.parameters.clone()),
            fit,
        })
    }

    /// The measure at a setting.
    pub(super) fn at(&self, setting: f64) -> f64 {
        value(
            &self.parameters,
            setting,
            &mut [0.0; 4][..self.parameters.len()],
        )
    }
}
