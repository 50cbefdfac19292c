//! What is said of a finish that leaves the archive as plain files.

use std::collections::BTreeMap;

use super::day;
use crate::fingerprint::metric::allowed_of;
use crate::frame::placement::Stage;
use crate::units::SizeMm;

/// The first line of a card.
#[must_use]
pub fn title(name: &str, kept_at: &str, photo: &str) -> String {
    format!("{name}\nKept on {} from {photo}.", day(kept_at))
}

/// What was photographed.
#[must_use]
pub fn made(size: SizeMm, stage: Option<Stage>) -> String {
    let stage = match stage {
        None => "",
        Some(Stage::Wet) => ", photographed wet",
        Some(Stage::Dry) => ", photographed dry, its back not painted",
        Some(Stage::Backed) => ", photographed with its back painted",
    };
    format!("A panel of {size}{stage}.")
}

/// Its reading is not this program's.
pub const OTHER_VERSION: &str =
    "It was measured by another version of the measures; its figures are in finish.json.";

/// It was read before.
#[must_use]
pub fn earlier(readings: usize) -> String {
    match readings {
        1 => "One earlier reading of it is kept too.".to_owned(),
        n => format!("{n} earlier readings of it are kept too."),
    }
}

/// It was signed.
#[must_use]
pub fn approved(at: &str) -> String {
    format!("An approved sample since {}.", day(at))
}

/// The studio's own figures.
#[must_use]
pub fn allowances(allowances: &BTreeMap<String, f64>) -> Option<String> {
    let parts: Vec<String> = allowances
        .iter()
        .map(|(key, figure)| {
            format!(
                "{} by {figure}",
                allowed_of(key).map_or(key.as_str(), |m| m.title)
            )
        })
        .collect();
    let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
    (!parts.is_empty()).then(|| format!("May differ in {}.", super::list(&parts)))
}

/// A decision about a panel beside it.
#[must_use]
pub fn decided(panel: &str, said: &str) -> String {
    format!("Panel {panel}: {said}")
}
