//! What a sample can promise, as a table and as JSON.

use serde_json::{Map, Value, json};

use super::json::{SCHEMA, figure, rounded};
use super::text::{plain_table, right_align};
use super::words;
use crate::compare::promise::Promise;
use crate::units::SizeMm;

/// What a promise is about.
pub struct Asked<'a> {
    /// The sample's name.
    pub name: &'a str,
    /// Its size.
    pub sample: SizeMm,
    /// The panel's size.
    pub size: Option<SizeMm>,
    /// A number of specks, and between what numbers chance leaves them.
    pub speckles: Option<(usize, (f64, f64))>,
}

/// The words of a promise.
#[must_use]
pub fn words(asked: &Asked<'_>, found: Option<&Promise>) -> Vec<String> {
    let mut said = Vec::new();
    if let (Some(size), Some(found)) = (asked.size, found) {
        said.extend(words::promise::words(asked.name, asked.sample, size, found));
    }
    said.extend(
        asked
            .speckles
            .map(|(count, between)| words::promise::speckles(count, between)),
    );
    said
}

/// For the terminal.
#[must_use]
pub fn text(asked: &Asked<'_>, found: Option<&Promise>) -> String {
    let said = words(asked, found).join("\n") + "\n";
    let Some(found) = found else { return said };
    let mut table = plain_table();
    table.set_header(["", "sample", "panel between", "may be between", ""]);
    for s in &found.strays {
        let row = s.metric;
        let (from, to) = s.may_be;
        table.add_row([
            row.title.to_owned(),
            row.format(s.panel.value),
            format!(
                "{} and {}",
                row.format(s.panel.low),
                row.format(s.panel.high)
            ),
            format!("{} and {}", row.format(from), row.format(to)),
            if words::promise::is_loose(s) {
                "MAY STRAY"
            } else {
                ""
            }
            .to_owned(),
        ]);
    }
    right_align(&mut table, 1);
    said + "\n" + &table.to_string() + "\n"
}

/// As a JSON object.
#[must_use]
pub fn json(asked: &Asked<'_>, found: Option<&Promise>) -> Value {
    let size = |s: SizeMm| json!({"width": rounded(s.width, 3), "height": rounded(s.height, 3)});
    let measures: Option<Map<String, Value>> = found.map(|p| {
        let stray = |s: &crate::compare::promise::Stray| {
            let row = s.metric;
            let (from, to) = s.may_be;
            let found = json!({
                "value": figure(row, s.panel.value),
                "low": figure(row, s.panel.low),
                "high": figure(row, s.panel.high),
                "unit": row.unit,
                "may_be_from": figure(row, from),
                "may_be_to": figure(row, to),
                "may_stray": words::promise::is_loose(s),
                "pinned_by_mm": s.pinned_by_mm.map(|mm| rounded(mm, 1)),
            });
            (row.key.to_owned(), found)
        };
        p.strays.iter().map(stray).collect()
    });
    json!({
        "schema": SCHEMA,
        "sample": asked.name,
        "sample_size": size(asked.sample),
        "size": asked.size.map(size),
        "words": words(asked, found),
        "measures": measures,
        "pinned_by_mm": found.and_then(|p| p.pinned_by).map(|(mm, _)| rounded(mm, 1)),
        "never_pinned": found.map(|p| p.never_pinned.iter().map(|m| m.key).collect::<Vec<_>>()),
        "speckles": asked.speckles.map(|(count, (low, high))| {
            json!({"count": count, "low": rounded(low, 2), "high": rounded(high, 2)})
        }),
    })
}
