//! Mean, standard deviation and one-way analysis of variance against the Statistical Reference Datasets of NIST.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use paneprint::stats::anova::OneWay;
use paneprint::stats::spread::Spread;
use serde_json::Value;

use super::log_relative_error;

fn text(file: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/published");
    fs::read_to_string(folder.join(file)).unwrap()
}

/// The data sets of a file, by name.
fn datasets(file: &str) -> Value {
    let whole: Value = serde_json::from_str(&text(file)).unwrap();
    whole["datasets"].clone()
}

/// A figure that is written as text so that no digit is lost.
fn figure(value: &Value) -> f64 {
    value.as_str().unwrap().parse().unwrap()
}

#[track_caller]
fn agrees(what: &str, found: f64, certified: f64, digits: f64) {
    let agreed = log_relative_error(found, certified);
    assert!(
        agreed >= digits,
        "{what}: {found} against {certified}: {agreed:.1} digits, {digits} wanted"
    );
}

/// The first figure and then so many times the pair of the accuracy sets.
fn pairs(first: f64, pair: [f64; 2]) -> Vec<f64> {
    std::iter::once(first)
        .chain(std::iter::repeat_n(pair, 500).flatten())
        .collect()
}

fn univariate(name: &str, set: &Value) -> Vec<f64> {
    match name {
        "NumAcc2" => pairs(1.2, [1.1, 1.3]),
        "NumAcc3" => pairs(1_000_000.2, [1_000_000.1, 1_000_000.3]),
        "NumAcc4" => pairs(10_000_000.2, [10_000_000.1, 10_000_000.3]),
        "PiDigits" => {
            let digits = set["digits"].as_str().unwrap().bytes();
            digits.map(|digit| f64::from(digit - b'0')).collect()
        }
        _ => set["data"].as_array().unwrap().iter().map(figure).collect(),
    }
}

#[test]
fn mean_and_standard_deviation_meet_the_certified_ones() {
    let sets = datasets("strd_univariate.json");
    let sets = sets.as_object().unwrap();
    assert_eq!(sets.len(), 8);
    for (name, set) in sets {
        let found = Spread::of(&univariate(name, set)).unwrap();
        assert_eq!(found.count as u64, set["n"].as_u64().unwrap(), "{name}");
        agrees(name, found.mean, figure(&set["mean"]), 9.0);
        // 10000000.1 is itself off by 2e-9 in a double, a part in 5e7 of its distance from the mean.
        let digits = if name == "NumAcc4" { 7.0 } else { 9.0 };
        agrees(
            name,
            found.sd().unwrap(),
            figure(&set["sd_n_minus_1"]),
            digits,
        );
    }
}

/// The figures of a data set, group by group.
fn groups(name: &str) -> Vec<Vec<f64>> {
    let mut groups: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
    for line in text(&format!("strd_anova_{name}.csv")).lines() {
        if let Some((group, figure)) = line.split_once(',')
            && let Ok(group) = group.parse()
        {
            groups
                .entry(group)
                .or_default()
                .push(figure.parse().unwrap());
        }
    }
    groups.into_values().collect()
}

#[test]
fn analysis_of_variance_meets_the_certified_one() {
    let sets = datasets("strd_anova.json");
    // 1000000000000.4 is off by up to 6e-5 in a double: four digits are all the data then hold.
    for (name, digits) in [
        ("SiRstv", 9.0),
        ("AtmWtAg", 9.0),
        ("SmLs01", 9.0),
        ("SmLs04", 9.0),
        ("SmLs07", 4.0),
    ] {
        let set = &sets[name];
        let found = OneWay::new(&groups(name)).unwrap();
        let dof = |side: &str| set[side]["df"].as_u64().unwrap();
        assert_eq!(found.between_dof as u64, dof("between"), "{name}");
        assert_eq!(found.within_dof as u64, dof("within"), "{name}");
        let certified = |side: &str, what: &str| figure(&set[side][what]);
        agrees(name, found.between, certified("between", "MS"), digits);
        agrees(name, found.within, certified("within", "MS"), digits);
        agrees(name, found.f().unwrap(), certified("between", "F"), digits);
    }
}
