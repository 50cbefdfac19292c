//! What one photo says of a panel: in words, as a table, as JSON.

use comfy_table::Table;
use serde_json::{Map, Value, json};

use super::json::{SCHEMA, figure, rounded};
use super::text::{flags, plain_table, right_align};
use super::{Report, words};
use crate::archive::Recipe;
use crate::compare::lie::Lie;
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{AGGRESSIVENESS, Metric, figures};
use crate::units::Measure;

/// What is known of a kept finish beside its reading.
#[derive(Debug, Clone, Copy)]
pub struct Kept<'a> {
    /// The studio's name for it.
    pub name: &'a str,
    /// When it was kept, RFC 3339.
    pub kept_at: &'a str,
    /// When it was approved, where it is an approved sample.
    pub approved_at: Option<&'a str>,
    /// Anything the maker wrote.
    pub notes: &'a str,
}

impl Kept<'_> {
    /// Adds it to a JSON object.
    pub(super) fn say_in(&self, object: &mut Value) {
        object["name"] = self.name.into();
        object["kept_at"] = self.kept_at.into();
        object["approved_at"] = self.approved_at.into();
        object["notes"] = self.notes.into();
    }
}

/// A reading with the names it goes by.
pub struct Reading<'a> {
    /// What it is called to people.
    pub title: String,
    /// What its photo is called in JSON.
    pub photo: String,
    /// What was read.
    pub fingerprint: &'a Fingerprint,
    /// As what it is kept, where it is.
    pub kept: Option<Kept<'a>>,
    /// How it was made, where that is written down.
    pub recipe: Option<&'a Recipe>,
    /// Where its silver is gone, where the silver itself is at hand.
    pub gone: Option<Lie>,
}

impl Report for Reading<'_> {
    fn words(&self) -> Vec<String> {
        let mut said = vec![self.title.clone()];
        said.extend(words::reading(&self.fingerprint.measurements));
        said.extend(flags(self.fingerprint));
        said
    }

    fn table(&self) -> Option<Table> {
        let mut table = plain_table();
        table.set_header(["", "value", "between", ""]);
        for row in figures() {
            match self.fingerprint.measure(row) {
                Ok(e) => table.add_row([
                    row.title.to_owned(),
                    row.format(e.value),
                    format!("{} and {}", row.format(e.low), row.format(e.high)),
                    row.unit.to_owned(),
                ]),
                Err(why) => table.add_row([
                    row.title.to_owned(),
                    "-".to_owned(),
                    why.to_string(),
                    String::new(),
                ]),
            };
        }
        right_align(&mut table, 1..2);
        Some(table)
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = words::reading_notes(self.fingerprint);
        notes.extend(
            self.recipe
                .map(words::recipe::written)
                .into_iter()
                .flatten(),
        );
        notes
    }

    fn json(&self) -> Value {
        let fingerprint = self.fingerprint;
        let m = &fingerprint.measurements;
        let p = &fingerprint.provenance;
        let measures: Map<String, Value> = figures()
            .map(|row| (row.key.to_owned(), measure(row, fingerprint.measure(row))))
            .collect();
        let parts = [
            ("even", m.parts.even),
            ("fine", m.parts.fine),
            ("middle", m.parts.middle),
            ("coarse", m.parts.coarse),
        ]
        .map(|(key, value)| (key.to_owned(), json!(figure(&AGGRESSIVENESS, value))));
        let mut object = json!({
            "schema": SCHEMA,
            "version": fingerprint.version,
            "photo": self.photo,
            "photo_digest": p.photo_digest,
            "settings_digest": fingerprint.settings_digest,
            "measures": measures,
            "parts": Map::from_iter(parts),
            "px_per_mm": rounded(p.px_per_mm, 4),
            "speckle_floor_mm": rounded(m.speckle_floor_mm, 4),
            "blur_mm": rounded(p.blur_mm, 4),
            "silver_scale": p.silver_scale,
            "rig": p.rig,
            "repeatability": fingerprint.repeatability.as_ref().map(|r| &r.measures),
            "colour": p.colour,
            "placement": p.placement,
            "flags": p.flags,
            "anyway": p.anyway,
            "steps": p.steps,
            "capture": p.capture,
        });
        if let Some(gone) = self.gone {
            object["gone"] = json!(gone);
        }
        if let Some(kept) = self.kept {
            kept.say_in(&mut object);
        }
        if let Some(recipe) = self.recipe {
            object["recipe"] = json!(recipe);
        }
        object
    }

    fn list(&self) -> &'static str {
        "measures"
    }

    fn on_every_line(&self) -> &'static [(&'static str, &'static str)] {
        &[("photo", "photo"), ("name", "name")]
    }
}

fn measure(metric: &Metric, measure: Measure) -> Value {
    match measure {
        Ok(e) => json!({
            "value": figure(metric, e.value),
            "low": figure(metric, e.low),
            "high": figure(metric, e.high),
            "unit": metric.unit,
        }),
        Err(why) => json!({
            "value": null,
            "low": null,
            "high": null,
            "unit": metric.unit,
            "why": why.to_string(),
        }),
    }
}
