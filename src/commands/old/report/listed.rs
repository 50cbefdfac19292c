//! A finish in a list.

use serde_json::json;

use super::json::figure;
use super::words::{day, keeping};
use crate::archive::Listed;
use crate::fingerprint::metric::{AGGRESSIVENESS, COVERAGE, Metric};

/// As a JSON object.
#[must_use]
pub fn json(finish: &Listed) -> String {
    let rounded = |row: &Metric, value: Option<f64>| value.map(|v| figure(row, v));
    json!({
        "name": finish.name,
        "kept_at": finish.kept_at,
        "approved_at": finish.approved_at,
        "photo": finish.photo_name,
        "version": finish.version,
        "coverage": rounded(&COVERAGE, finish.coverage),
        "aggressiveness": rounded(&AGGRESSIVENESS, finish.aggressiveness),
        "notes": finish.notes,
        "recipe": finish.has_recipe,
    })
    .to_string()
}

/// As a line of text.
#[must_use]
pub fn text(finish: &Listed) -> String {
    let shown =
        |row: &Metric, value: Option<f64>| value.map_or_else(|| "-".to_owned(), |v| row.format(v));
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
        shown(&COVERAGE, finish.coverage),
        shown(&AGGRESSIVENESS, finish.aggressiveness),
        keeping::by_version(finish.version),
    )
}
