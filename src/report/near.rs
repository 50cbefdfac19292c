//! The kept finishes that look most like a panel, for the terminal and as JSON.

use serde_json::{Value, json};

use super::json::{SCHEMA, rounded};
use super::words;

/// One of them.
pub struct Found {
    /// Its name.
    pub name: String,
    /// How far, in allowances.
    pub distance: f64,
    /// What differs, in words.
    pub differs: String,
    /// It is an approved sample.
    pub approved: bool,
    /// When it was kept.
    pub kept_at: String,
    /// What the maker wrote beside it.
    pub notes: String,
}

/// For the terminal.
#[must_use]
pub fn text(panel: &str, found: &[Found], searched: usize) -> String {
    let mut said = vec![words(panel, found, searched)];
    for f in found {
        let approved = if f.approved { ", approved" } else { "" };
        let day = f.kept_at.split('T').next().unwrap_or_default();
        said.push(format!(
            "\n{} (kept {day}{approved}): {}",
            f.name,
            words::near::how_near(f.distance)
        ));
        said.push(format!("  {}", f.differs));
        if !f.notes.is_empty() {
            said.push(format!("  Notes: {}", f.notes));
        }
    }
    said.join("\n") + "\n"
}

fn words(panel: &str, found: &[Found], searched: usize) -> String {
    let nearest = found.first().map(|f| (f.name.as_str(), f.distance));
    words::near::verdict(panel, nearest, searched)
}

/// As a JSON object.
#[must_use]
pub fn json(panel: &str, found: &[Found], searched: usize) -> Value {
    let near: Vec<Value> = found
        .iter()
        .map(|f| {
            json!({
                "name": f.name,
                "distance": rounded(f.distance, 4),
                "how_near": words::near::how_near(f.distance),
                "words": f.differs,
                "approved": f.approved,
                "kept_at": f.kept_at,
                "notes": f.notes,
            })
        })
        .collect();
    json!({
        "schema": SCHEMA,
        "panel": panel,
        "words": [words(panel, found, searched)],
        "searched": searched,
        "near": near,
    })
}
