//! What a sample can promise, as a table and as JSON.

use comfy_table::Table;
use serde_json::{Map, Value, json};

use super::json::{SCHEMA, figure, rounded};
use super::text::{plain_table, right_align};
use super::{Report, words};
use crate::compare::promise::{Promise, Stray};
use crate::fingerprint::metric::Metric;
use crate::units::{SizeMm, Unmeasured};

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

/// A promise: what was asked and what was found; nothing where no size was asked about.
pub struct Promised<'a> {
    /// What was asked.
    pub asked: Asked<'a>,
    /// What was found of a size.
    pub found: Option<Promise>,
}

/// A measure that nothing is promised of.
fn left_out((row, why): &(&'static Metric, Option<Unmeasured>)) -> (String, Value) {
    let why = words::promise::left_out(*why);
    let found = json!({"value": null, "low": null, "high": null, "unit": row.unit, "why": why});
    (row.key.to_owned(), found)
}

impl Report for Promised<'_> {
    fn words(&self) -> Vec<String> {
        let Promised { asked, found } = self;
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

    fn list(&self) -> &'static str {
        "measures"
    }

    fn on_every_line(&self) -> &'static [(&'static str, &'static str)] {
        &[("sample", "sample"), ("size", "size")]
    }

    fn table(&self) -> Option<Table> {
        let found = self.found.as_ref()?;
        let mut table = plain_table();
        table.set_header(["", "sample", "panel between", "may be between", "", ""]);
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
                row.unit.to_owned(),
                if s.may_stray() {
                    words::promise::MAY_STRAY
                } else {
                    ""
                }
                .to_owned(),
            ]);
        }
        for (row, why) in &found.left_out {
            let none = || "-".to_owned();
            let why = words::promise::left_out(*why);
            table.add_row([row.title.to_owned(), none(), why, none(), String::new()]);
        }
        right_align(&mut table, 1..2);
        Some(table)
    }

    fn json(&self) -> Value {
        let (asked, found) = (&self.asked, self.found.as_ref());
        let size =
            |s: SizeMm| json!({"width": rounded(s.width, 3), "height": rounded(s.height, 3)});
        let measures: Option<Map<String, Value>> = found.map(|p| {
            let stray = |s: &Stray| {
                let row = s.metric;
                let (from, to) = s.may_be;
                let found = json!({
                    "value": figure(row, s.panel.value),
                    "low": figure(row, s.panel.low),
                    "high": figure(row, s.panel.high),
                    "unit": row.unit,
                    "may_be_from": figure(row, from),
                    "may_be_to": figure(row, to),
                    "may_stray": s.may_stray(),
                    "pinned_by_mm": s.pinned_by_mm.map(|mm| rounded(mm, 1)),
                });
                (row.key.to_owned(), found)
            };
            let left_out = p.left_out.iter().map(left_out);
            p.strays.iter().map(stray).chain(left_out).collect()
        });
        json!({
            "schema": SCHEMA,
            "sample": asked.name,
            "sample_size": size(asked.sample),
            "size": asked.size.map(size),
            "words": self.words(),
            "measures": measures,
            "pinned_by_mm": found.and_then(|p| p.pinned_by).map(|(mm, _)| rounded(mm, 1)),
            "never_pinned": found.map(|p| p.never_pinned.iter().map(|m| m.key).collect::<Vec<_>>()),
            "speckles": asked.speckles.map(|(count, (low, high))| {
                json!({"count": count, "low": rounded(low, 2), "high": rounded(high, 2)})
            }),
        })
    }
}
