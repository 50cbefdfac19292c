//! Published figures: what the program computes, held to standards, papers, textbooks and reference data sets.
//!
//! The figures are in `fixtures/published/`, each file with its sources at its head; the page, table or example is named
//! again beside each check. There `P` marks what is published, `L` what a well-known library computes (named with its
//! version), `M` what was recalled and confirmed by one of the other two. A figure whose formula the program does not use
//! is left out. What is private to a module is checked beside it (`src/intake/primaries.rs`).

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "published counts and sides are small and whole; planes are f32"
)]

mod anova;
mod colour;
mod comparing;
mod counts;
mod curves;
mod directions;
mod exif_tags;
mod geometry;
mod hanging;
mod light;
mod monotone;
mod optics;
mod points;
mod profiles;
mod random_discs;
mod resampling;
mod straight;
mod studies;
mod texture;

use std::fmt::Display;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::Value;

/// Digits in which a figure agrees with the certified one; as many as a double holds where they are the same.
fn log_relative_error(found: f64, certified: f64) -> f64 {
    let error = (found - certified).abs() / certified.abs();
    if error == 0.0 { 16.0 } else { -error.log10() }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/published")
}

fn text(name: &str) -> String {
    fs::read_to_string(folder().join(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
}

/// A JSON file.
fn json(name: &str) -> Value {
    serde_json::from_str(&text(name)).unwrap()
}

/// The numbers of a JSON array.
#[track_caller]
fn numbers<const N: usize>(array: &Value) -> [f64; N] {
    let all: Vec<f64> = array.as_array().unwrap().iter().map(number).collect();
    all.try_into().unwrap()
}

/// The rows of a JSON array of arrays of numbers.
#[track_caller]
fn rows<const N: usize>(array: &Value) -> Vec<[f64; N]> {
    array.as_array().unwrap().iter().map(numbers).collect()
}

/// A JSON number.
#[track_caller]
fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

/// A CSV file: comment lines with its sources, a head, rows of cells.
struct Table {
    head: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    fn load(name: &str) -> Self {
        let text = text(name);
        let cells = |line: &str| line.split(',').map(|c| c.trim().to_owned()).collect();
        let mut lines = text.lines().filter(|l| !l.starts_with('#')).map(cells);
        Table {
            head: lines.next().unwrap(),
            rows: lines.collect(),
        }
    }

    fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().map(|cells| Row {
            head: &self.head,
            cells,
        })
    }

    /// A column of numbers.
    fn column(&self, name: &str) -> Vec<f64> {
        self.rows().map(|row| row.number(name)).collect()
    }
}

/// One row of a [`Table`].
struct Row<'a> {
    head: &'a [String],
    cells: &'a [String],
}

impl Row<'_> {
    #[track_caller]
    fn text(&self, column: &str) -> &str {
        let at = self.head.iter().position(|h| h == column);
        &self.cells[at.unwrap_or_else(|| panic!("no column {column}"))]
    }

    #[track_caller]
    fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap()
    }

    #[track_caller]
    fn numbers<const N: usize>(&self, columns: [&str; N]) -> [f64; N] {
        columns.map(|c| self.number(c))
    }
}

/// The figure found is the one published, within the tolerance.
#[track_caller]
fn near(what: impl Display, found: f64, published: f64, tolerance: f64) {
    assert!(
        (found - published).abs() <= tolerance,
        "{what}: found {found}, published {published}, may differ by {tolerance}"
    );
}

#[test]
fn every_file_names_its_source() {
    for entry in fs::read_dir(folder()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let says = if Path::new(&name).extension().is_some_and(|e| e == "json") {
            let text = text(&name);
            text.contains("class\"") || text.contains("source\"")
        } else {
            text(&name).starts_with("# ")
        };
        assert!(says, "{name}");
    }
}
