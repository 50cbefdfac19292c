//! What is said of finishes that leave the archive as plain files, and of those that come back.

use std::collections::BTreeMap;
use std::path::Path;

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

fn finishes(n: usize) -> String {
    format!("{n} {}", if n == 1 { "finish" } else { "finishes" })
}

/// Finishes were written as plain files.
#[must_use]
pub fn written(n: usize, folder: &Path, photos_stay: usize) -> String {
    let mut said = format!("{} written to {}.", finishes(n), folder.display());
    if photos_stay > 0 {
        said.push_str(&format!(
            " {photos_stay} of their photos are kept too and stayed behind; --with-photo takes them along."
        ));
    }
    said
}

/// A limit piece of a sample could not leave with it.
#[must_use]
pub fn without_piece(sample: &str, piece: &str) -> String {
    format!(
        "`{sample}` was signed with `{piece}`, which stayed behind: it comes back in only where that one is kept."
    )
}

/// What became of the finishes of an export.
#[must_use]
pub fn came(new: usize, there: usize, otherwise: &[&str], refused: usize) -> String {
    let mut parts = vec![format!("{} kept", finishes(new))];
    if there > 0 {
        parts.push(format!("{there} there already"));
    }
    if refused > 0 {
        parts.push(format!("{refused} refused"));
    }
    let mut said = parts.join(", ") + ".";
    if !otherwise.is_empty() {
        let quoted: Vec<String> = otherwise.iter().map(|name| format!("`{name}`")).collect();
        let quoted: Vec<&str> = quoted.iter().map(String::as_str).collect();
        said.push_str(&format!(
            " What was signed, decided or noted of {}, or written of how it was made, differs in the export; what the archive says stays.",
            super::list(&quoted)
        ));
    }
    said
}

/// Photos came of finishes that were kept without.
#[must_use]
pub fn photos_added(n: usize) -> Option<String> {
    match n {
        0 => None,
        1 => Some("The photo of one that was there is kept now too.".to_owned()),
        n => Some(format!(
            "The photos of {n} that were there are kept now too."
        )),
    }
}

/// How many more were refused than were told of one by one.
#[must_use]
pub fn refused_too(more: usize) -> String {
    format!("and {more} more were refused; --json tells of each")
}

/// What became of rigs and ladders.
#[must_use]
pub fn came_besides(rigs: usize, ladders: usize) -> Option<String> {
    let count = |n: usize, one: &str| match n {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {one}s")),
    };
    let parts: Vec<String> = [count(rigs, "rig"), count(ladders, "ladder")]
        .into_iter()
        .flatten()
        .collect();
    (!parts.is_empty()).then(|| format!("{} kept.", parts.join(" and ")))
}
