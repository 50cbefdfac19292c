//! What one photo says of a panel.

use std::path::Path;

use serde_json::{Map, Value, json};

use super::json::{SCHEMA, figure, rounded};
use super::{Answer, Block, Document, Lines, panel};
use crate::archive::Recipe;
use crate::compare::lie::Lie;
use crate::error::Result;
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{AGGRESSIVENESS, Metric, figures};
use crate::silver::Silver;
use crate::units::Measure;
use crate::words::{self, recipe};

/// A reading with the names it goes by.
pub struct Named<'a> {
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

impl<'a> Named<'a> {
    /// The reading of a photo.
    #[must_use]
    pub fn of_photo(photo: &Path, fingerprint: &'a Fingerprint) -> Self {
        Named {
            title: words::file_name(photo),
            photo: photo.to_string_lossy().into_owned(),
            fingerprint,
            kept: None,
            recipe: None,
            gone: None,
        }
    }
}

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

/// The answer; `silver` is the panel's, where it is to be shown.
///
/// # Errors
/// There is no memory for its pictures.
pub fn answer(reading: &Named<'_>, silver: Option<&Silver>) -> Result<Answer> {
    Ok(Answer {
        document: document(reading, silver)?,
        json: json(reading),
        lines: Lines {
            list: "measures",
            repeated: &[("photo", "photo"), ("name", "name")],
            instead: None,
        },
    })
}

/// What is said and shown of it.
///
/// # Errors
/// There is no memory for its pictures.
pub fn document(reading: &Named<'_>, silver: Option<&Silver>) -> Result<Document> {
    let (title, fingerprint) = (&reading.title, reading.fingerprint);
    let mut document = Document::new("reading sheet", title);
    document.push(Block::Title(title.clone()));
    let mut said = words::reading(&fingerprint.measurements);
    if fingerprint.provenance.anyway {
        said.insert(1, words::ANYWAY.to_owned());
    }
    document.say(said);
    document.signs(fingerprint);
    if let Some(silver) = silver {
        document.push(Block::Pictures(vec![panel::counted(title, silver)?]));
        document.on_page(vec![panel::charts(&fingerprint.measurements, silver)]);
    }
    document.push(panel::measures(fingerprint));
    document.note(words::reading_notes(fingerprint));
    document.note(reading.recipe.into_iter().flat_map(recipe::written));
    document.on_page(vec![panel::provenance(fingerprint)]);
    Ok(document)
}

/// All its figures, and how they came about.
#[must_use]
pub fn json(reading: &Named<'_>) -> Value {
    let fingerprint = reading.fingerprint;
    let m = &fingerprint.measurements;
    let p = &fingerprint.provenance;
    let measures: Map<String, Value> = figures()
        .map(|row| (row.key.to_owned(), measure(row, fingerprint.measure(row))))
        .collect();
    let part = |value| figure(&AGGRESSIVENESS, value);
    let mut object = json!({
        "schema": SCHEMA,
        "version": fingerprint.version,
        "photo": reading.photo,
        "photo_digest": p.photo_digest,
        "settings_digest": fingerprint.settings_digest,
        "measures": measures,
        "parts": {
            "even": part(m.parts.even),
            "fine": part(m.parts.fine),
            "middle": part(m.parts.middle),
            "coarse": part(m.parts.coarse),
        },
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
    if let Some(gone) = reading.gone {
        object["gone"] = json!(gone);
    }
    if let Some(kept) = reading.kept {
        kept.say_in(&mut object);
    }
    if let Some(recipe) = reading.recipe {
        object["recipe"] = json!(recipe);
    }
    object
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
