//! Least squares against the Statistical Reference Datasets of NIST.
//!
//! `fixtures/nist-strd/*.dat` are the files of nonlinear regression as NIST publishes them
//! (<https://www.itl.nist.gov/div898/strd/nls/nls_main.shtml>), works of the United States government in the public domain:
//! starts in line 41 and following, certified values beside them, data from line 61 on. Eleven digits are certified.

mod models;

use std::fs;
use std::path::Path;

use models::{MODELS, Model};
use paneprint::stats::curve::{self, Unfitted};
use paneprint::stats::least_squares::Fit;
use serde_json::Value;

use super::log_relative_error as digits;

/// A data set.
struct Set {
    /// Parameters to start from, far and near.
    starts: [Vec<f64>; 2],
    parameters: Vec<f64>,
    deviations: Vec<f64>,
    sd: f64,
    free: f64,
    /// Rows of y, x (or x₁, x₂).
    data: Vec<Vec<f64>>,
}

fn figures(text: &str) -> Vec<f64> {
    text.split_whitespace()
        .map(|f| f.parse().unwrap())
        .collect()
}

impl Set {
    fn read(name: &str) -> Set {
        let file =
            Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("fixtures/nist-strd/{name}.dat"));
        let text = fs::read_to_string(file).unwrap();
        let rows: Vec<Vec<f64>> = text
            .lines()
            .skip(40)
            .map_while(|line| line.trim().strip_prefix('b')?.split_once('='))
            .map(|(_, row)| figures(row))
            .collect();
        let column = |i: usize| rows.iter().map(|row| row[i]).collect::<Vec<f64>>();
        let after = |what: &str| -> f64 {
            let mut found = text.lines().filter_map(|line| line.strip_prefix(what));
            found.next().unwrap().trim().parse().unwrap()
        };
        Set {
            starts: [column(0), column(1)],
            parameters: column(2),
            deviations: column(3),
            sd: after("Residual Standard Deviation:"),
            free: after("Degrees of Freedom:"),
            data: text
                .lines()
                .skip(60)
                .map(figures)
                .filter(|row| !row.is_empty())
                .collect(),
        }
    }

    fn fit(&self, model: &Model, start: &[f64]) -> Result<Fit, Unfitted> {
        let response = |row: &Vec<f64>| (model.response)(row[0]);
        let y: Vec<f64> = self.data.iter().map(response).collect();
        curve::fit(&y, start, |i, b, slopes| {
            (model.value)(&self.data[i][1..], b, slopes)
        })
    }
}

/// Digits of the figure that agrees least.
fn least(found: &[f64], certified: &[f64]) -> f64 {
    assert_eq!(found.len(), certified.len());
    let each = found.iter().zip(certified).map(|(f, c)| digits(*f, *c));
    each.fold(f64::INFINITY, f64::min)
}

/// Data sets, and which of their starts, that do not come to the certified minimum.
const UNSETTLED: [(&str, usize); 1] = [
    // From (2, 400000, 25000) the search ends where the model is nearly 0 at all places, and nothing leads out.
    ("MGH10", 1),
];

/// Digits to which the parameters, their standard deviations and that of the residuals must agree.
fn wanted(name: &str) -> [f64; 3] {
    match name {
        // The data have fourteen digits and are off the model by less than the last, so its residual, certified as 9e-14, is
        // no more than the rounding of a double: only the parameters can be held to theirs.
        "Lanczos1" => [10.0, 0.0, 0.0],
        _ => [10.0; 3],
    }
}

#[test]
fn curves_meet_the_certified_ones_from_both_starts() {
    for model in &MODELS {
        let set = Set::read(model.name);
        for (start, from) in (1..).zip(&set.starts) {
            let found = set.fit(model, from);
            if UNSETTLED.contains(&(model.name, start)) {
                assert_eq!(found, Err(Unfitted::Unsettled), "{}", model.name);
                continue;
            }
            let found = found.unwrap_or_else(|why| panic!("{} {start}: {why:?}", model.name));
            let agreed = [
                least(&found.parameters, &set.parameters),
                least(&found.standard_errors().unwrap(), &set.deviations),
                digits(found.sd().unwrap(), set.sd),
            ];
            let wanted = wanted(model.name);
            assert!(
                (0..3).all(|i| agreed[i] >= wanted[i]),
                "{} {start}: {agreed:.1?} digits, {wanted:?} wanted",
                model.name
            );
            // The file of Rat43 says 9, but its own residual deviation is √(squares/11).
            let free = if model.name == "Rat43" {
                11.0
            } else {
                set.free
            };
            assert!((found.free as f64 - free).abs() < 0.5, "{}", model.name);
        }
    }
}

#[test]
fn errors_of_what_changes_with_several_parameters_meet_those_of_exact_arithmetic() {
    // The certified covariances are not published; these were worked out from the published data with forty digits (mpmath).
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/published/strd_nonlinear.json");
    let whole: Value = serde_json::from_str(&fs::read_to_string(file).unwrap()).unwrap();
    for name in ["Misra1a", "BoxBOD", "Rat42"] {
        let model = MODELS.iter().find(|model| model.name == name).unwrap();
        let set = Set::read(name);
        let found = set.fit(model, &set.starts[1]).unwrap();
        let errors = found.standard_errors().unwrap();
        let covariance = |i: usize, j: usize| -> f64 {
            let entry = &whole["datasets"][name]["cov_L"][i][j];
            entry.as_str().unwrap().parse().unwrap()
        };
        for (i, j) in [(0, 1), (1, 2), (0, 2)] {
            if j < errors.len() {
                // Of xᵢ/eᵢ ± xⱼ/eⱼ, each in its own errors, the variances differ by four correlations.
                let variance = |sign: f64| {
                    let mut gradient = vec![0.0; errors.len()];
                    gradient[i] = 1.0 / errors[i];
                    gradient[j] = sign / errors[j];
                    found.standard_error(&gradient).unwrap().powi(2)
                };
                let correlation = (variance(1.0) - variance(-1.0)) / 4.0;
                let worked = covariance(i, j) / (covariance(i, i) * covariance(j, j)).sqrt();
                assert!(digits(correlation, worked) >= 9.0, "{name} {i} {j}");
            }
        }
    }
}
