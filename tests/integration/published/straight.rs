//! Linear least squares against the Statistical Reference Datasets of NIST
//! (<https://www.itl.nist.gov/div898/strd/lls/lls.shtml>).

use std::fs;
use std::path::Path;

use paneprint::stats::least_squares::{self, Fit};
use serde_json::Value;

use super::log_relative_error;

fn text(file: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/published");
    fs::read_to_string(folder.join(file)).unwrap()
}

/// The columns of a file of figures.
fn columns(file: &str) -> Vec<Vec<f64>> {
    let text = text(file);
    let rows: Vec<Vec<f64>> = text
        .lines()
        .filter_map(|line| line.split(',').map(|f| f.parse().ok()).collect())
        .collect();
    let column = |i: usize| rows.iter().map(|row| row[i]).collect();
    (0..rows[0].len()).map(column).collect()
}

fn powers(x: &[f64], powers: &[i32]) -> Vec<Vec<f64>> {
    let power = |p: &i32| x.iter().map(|x| x.powi(*p)).collect();
    powers.iter().map(power).collect()
}

fn figures(values: &Value) -> Vec<f64> {
    let values = values.as_array().unwrap().iter();
    values
        .map(|v| v.as_str().unwrap().parse().unwrap())
        .collect()
}

#[track_caller]
fn agrees(what: &str, found: &[f64], certified: &[f64], digits: f64) {
    assert_eq!(found.len(), certified.len(), "{what}");
    for (found, certified) in found.iter().zip(certified) {
        let agreed = log_relative_error(*found, *certified);
        assert!(
            agreed >= digits,
            "{what}: {found} against {certified}: {agreed:.1} digits, {digits} wanted"
        );
    }
}

#[track_caller]
fn meets(name: &str, fit: &Fit, digits: f64) {
    let whole: Value = serde_json::from_str(&text("strd_linear_certified.json")).unwrap();
    let set = &whole["datasets"][name];
    agrees(name, &fit.parameters, &figures(&set["coef"]), digits);
    agrees(
        name,
        &fit.standard_errors().unwrap(),
        &figures(&set["se"]),
        digits,
    );
    let sd = set["residual_sd"].as_str().unwrap().parse().unwrap();
    agrees(name, &[fit.sd().unwrap()], &[sd], digits);
}

#[test]
fn a_line_meets_the_certified_one() {
    let [y, x] = &columns("strd_norris.csv")[..] else {
        panic!("two columns")
    };
    let points: Vec<[f64; 2]> = x.iter().zip(y).map(|(x, y)| [*x, *y]).collect();
    meets("Norris", &least_squares::line(&points).unwrap(), 13.0);
}

#[test]
fn sums_of_columns_meet_the_certified_ones() {
    // Digits: Filip's powers up to the tenth lie so nearly on each other that rounding the powers alone takes nine of the sixteen
    // of a double.
    for (name, file, degrees, digits) in [
        ("NoInt1", "strd_noint1.csv", 1..=1, 13.0),
        ("NoInt2", "strd_noint2.csv", 1..=1, 13.0),
        ("Wampler3", "strd_wampler3.csv", 0..=5, 13.0),
        ("Wampler4", "strd_wampler4.csv", 0..=5, 13.0),
        ("Wampler5", "strd_wampler5.csv", 0..=5, 13.0),
        ("Filip", "strd_filip.csv", 0..=10, 7.0),
    ] {
        let data = columns(file);
        let degrees: Vec<i32> = degrees.collect();
        let fit = least_squares::solve(&powers(&data[1], &degrees), &data[0]).unwrap();
        meets(name, &fit, digits);
    }
    let data = columns("strd_longley.csv");
    let columns = [&[vec![1.0; data[0].len()]], &data[1..]].concat();
    meets(
        "Longley",
        &least_squares::solve(&columns, &data[0]).unwrap(),
        12.0,
    );
}

#[test]
fn exact_polynomials_come_back() {
    let data = columns("strd_wampler12.csv");
    let design = powers(&data[0], &[0, 1, 2, 3, 4, 5]);
    let first = least_squares::solve(&design, &data[1]).unwrap();
    agrees("Wampler1", &first.parameters, &[1.0; 6], 14.0);
    let second = least_squares::solve(&design, &data[2]).unwrap();
    let tenths = [1.0, 0.1, 0.01, 0.001, 0.0001, 0.000_01];
    agrees("Wampler2", &second.parameters, &tenths, 12.0);
}
