//! What was found when the whole archive was looked at, for the terminal and as JSON.

use std::path::Path;

use serde_json::{Value, json};

use super::json::SCHEMA;
use super::words::verify as words;
use crate::archive::{Problem, Verified};

/// For the terminal: the answer, then what is wrong, then what to do.
#[must_use]
pub fn text(archive: &Path, found: &Verified) -> String {
    let mut said = vec![words::verdict(archive, found)];
    said.extend(
        found
            .problems
            .iter()
            .map(|p| format!("  {}", words::problem(p))),
    );
    if !found.problems.is_empty() {
        said.push(words::NEXT.to_owned());
    }
    said.join("\n")
}

/// As a JSON object.
#[must_use]
pub fn json(archive: &Path, found: &Verified) -> Value {
    let problems: Vec<Value> = found
        .problems
        .iter()
        .map(|p| json!({"kind": kind(p), "name": name(p), "words": words::problem(p)}))
        .collect();
    json!({
        "schema": SCHEMA,
        "archive": archive.to_string_lossy(),
        "clean": found.problems.is_empty(),
        "finishes": found.finishes,
        "approved": found.approved,
        "readings": found.readings,
        "recipes": found.recipes,
        "photos": found.photos,
        "problems": problems,
    })
}

/// The kind of a problem, for a program.
fn kind(problem: &Problem) -> &'static str {
    match problem {
        Problem::File(_) => "file",
        Problem::Reference { .. } => "reference",
        Problem::FinishChanged(_) => "finish_changed",
        Problem::ListedOtherwise(_) => "listed_otherwise",
        Problem::NoReading(_) => "no_reading",
        Problem::ReadingChanged(_) => "reading_changed",
        Problem::ReadingUnreadable(_) => "reading_unreadable",
        Problem::PictureChanged(_) => "picture_changed",
        Problem::PictureUnreadable(_) => "picture_unreadable",
        Problem::PhotoChanged(_) => "photo_changed",
        Problem::ApprovalChanged(_) => "approval_changed",
        Problem::DecisionChanged(_) => "decision_changed",
        Problem::LookChanged(_) => "look_changed",
        Problem::RigChanged(_) => "rig_changed",
        Problem::LadderChanged(_) => "ladder_changed",
        Problem::ApprovalUnreadable(_) => "approval_unreadable",
        Problem::DecisionUnreadable(_) => "decision_unreadable",
        Problem::RecipeChanged(_) => "recipe_changed",
        Problem::RecipeUnreadable(_) => "recipe_unreadable",
        Problem::RigUnreadable(_) => "rig_unreadable",
        Problem::LadderUnreadable(_) => "ladder_unreadable",
        Problem::StudioUnreadable => "studio_unreadable",
    }
}

/// The finish, the rig or the ladder that has it.
fn name(problem: &Problem) -> Option<&str> {
    match problem {
        Problem::File(_) | Problem::Reference { .. } | Problem::StudioUnreadable => None,
        Problem::FinishChanged(name)
        | Problem::ListedOtherwise(name)
        | Problem::ApprovalChanged(name)
        | Problem::DecisionChanged(name)
        | Problem::LookChanged(name)
        | Problem::RigChanged(name)
        | Problem::LadderChanged(name)
        | Problem::NoReading(name)
        | Problem::ReadingChanged(name)
        | Problem::ReadingUnreadable(name)
        | Problem::PictureChanged(name)
        | Problem::PictureUnreadable(name)
        | Problem::PhotoChanged(name)
        | Problem::ApprovalUnreadable(name)
        | Problem::DecisionUnreadable(name)
        | Problem::RecipeChanged(name)
        | Problem::RecipeUnreadable(name)
        | Problem::RigUnreadable(name)
        | Problem::LadderUnreadable(name) => Some(name),
    }
}
