//! A finish in a list.

use serde_json::json;

use super::json::figure;
use super::words::{day, keeping};
use crate::archive::Listed;
use crate::fingerprint::metric::metric;

/// As a JSON object.
#[must_use]
pub fn json(finish: &Listed) -> String {
    let rounded = |key, value: Option<f64>| metric(key).zip(value).map(|(row, v)| figure(row, v));
    json!({
        "name": finish.name,
        "kept_at": finish.kept_at,
        "approved_at": finish.approved_at,
        "photo": finish.photo_name,
        "version": finish.version,
        "coverage": rounded("coverage", finish.coverage),
        "aggressiveness": rounded("aggressiveness", finish.aggressiveness),
        "notes": finish.notes,
        "recipe": finish.has_recipe,
    })
    .to_string()
}

/// As a line of text.
#[must_use]
pub fn text(finish: &Listed) -> String {
    let shown = |key, value: Option<f64>| {
        let row = metric(key);
        row.zip(value)
            .map_or_else(|| "-".to_owned(), |(row, v)| row.format(v))
    };
    let approved = finish.approved_at.as_ref().map_or("", |_| ", approved");
    let recipe = if finish.has_recipe {
        keeping::WITH_RECIPE
    } else {
        ""
    };
    format!(
        "{}  (kept {}{approved}{recipe})  silver left {}, aggressiveness {}{}",
        finish.name,
        day(&finish.kept_at),
        shown("coverage", finish.coverage),
        shown("aggressiveness", finish.aggressiveness),
        keeping::by_version(finish.version),
    )
}
