//! What is said when the whole archive was looked at, or copied.

use std::path::Path;

use crate::archive::{Problem, Verified};

/// How many, with the word for one and for more.
fn count(n: usize, one: &str, more: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { more })
}

/// What was looked at.
fn what(v: &Verified) -> String {
    let mut parts = vec![
        count(v.finishes, "finish", "finishes"),
        count(v.readings, "reading", "readings"),
    ];
    if v.approved > 0 {
        parts.push(count(v.approved, "approved sample", "approved samples"));
    }
    if v.recipes > 0 {
        parts.push(count(v.recipes, "recipe", "recipes"));
    }
    if v.photos > 0 {
        parts.push(count(v.photos, "photo", "photos"));
    }
    let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
    super::list(&parts)
}

/// The answer.
#[must_use]
pub fn verdict(archive: &Path, v: &Verified) -> String {
    let archive = archive.display();
    match v.problems.len() {
        0 => format!(
            "{archive}: all is as it was kept: {}, with their pictures.",
            what(v)
        ),
        n => format!(
            "{archive}: {} not as kept. The archive was left as it is.",
            count(n, "thing is", "things are")
        ),
    }
}

/// What to do where something is wrong.
pub const NEXT: &str = "Keep this file, and go on with your last backup. What still reads can be taken out as plain files: paneprint export FOLDER.";

/// One thing that is wrong.
#[must_use]
pub fn problem(problem: &Problem) -> String {
    match problem {
        Problem::File(words) => format!("The file is damaged: {words}."),
        Problem::Reference { from, to } => {
            format!("Something in `{from}` belongs to something in `{to}` that is gone.")
        }
        Problem::FinishChanged(name) => {
            format!("What is noted of `{name}` has changed since it was kept.")
        }
        Problem::ListedOtherwise(name) => {
            format!("What is listed of `{name}` is not what its latest reading says.")
        }
        Problem::NoReading(name) => format!("`{name}` has no reading."),
        Problem::ReadingChanged(name) => {
            format!("The reading of `{name}` has changed since it was kept.")
        }
        Problem::ReadingUnreadable(name) => {
            format!("The reading of `{name}` cannot be understood.")
        }
        Problem::PictureChanged(name) => {
            format!("A picture of `{name}` is gone or has changed since it was kept.")
        }
        Problem::PictureUnreadable(name) => format!("A picture of `{name}` cannot be opened."),
        Problem::PhotoChanged(name) => {
            format!("The photo of `{name}` is gone or has changed since it was kept.")
        }
        Problem::ApprovalChanged(name) => {
            format!("What was signed of `{name}` has changed since it was kept.")
        }
        Problem::DecisionChanged(name) => {
            format!("A decision beside `{name}` has changed since it was kept.")
        }
        Problem::LookChanged(name) => {
            format!(
                "Where `{name}` stands among those that look alike has changed since it was kept."
            )
        }
        Problem::RigChanged(name) => {
            format!("The rig `{name}`, or its study, has changed since it was kept.")
        }
        Problem::LadderChanged(name) => {
            format!("The ladder `{name}` has changed since it was kept.")
        }
        Problem::ApprovalUnreadable(name) => {
            format!("What was signed of `{name}` cannot be understood.")
        }
        Problem::DecisionUnreadable(name) => {
            format!("A decision beside `{name}` cannot be understood.")
        }
        Problem::RecipeChanged(name) => {
            format!("The recipe of `{name}` has changed since it was kept.")
        }
        Problem::RecipeUnreadable(name) => format!("The recipe of `{name}` cannot be understood."),
        Problem::RigUnreadable(name) => {
            format!("The rig `{name}`, or its study, cannot be understood.")
        }
        Problem::LadderUnreadable(name) => {
            format!("The ladder `{name}` has steps whose finishes are gone.")
        }
        Problem::StudioUnreadable => "The rigs or the ladders cannot be read.".to_owned(),
    }
}

/// A backup was made.
#[must_use]
pub fn backed_up(to: &Path, v: &Verified) -> String {
    format!(
        "Backup written and checked: {} ({}).",
        to.display(),
        what(v)
    )
}
