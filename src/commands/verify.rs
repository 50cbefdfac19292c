//! `verify`: look at everything that is kept.

use std::path::Path;

use serde_json::{Value, json};

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::{self, Problem, Verified};
use crate::document::json::SCHEMA;
use crate::document::{Answer, Document, Lines};
use crate::error::Result;
use crate::words::list;

/// Look at everything that is kept, and say what is damaged
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Write what was found as JSON
    #[arg(long)]
    json: bool,
}

/// What to do where something is wrong.
const NEXT: &str = "Keep this file, and go on with your last backup. What still reads can be taken out as plain files: paneprint export FOLDER.";

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let path = context.archive_path()?;
    let found = archive::verify(&path)?;
    let out = OutArgs::json(args.json);
    context.answer(answer(&path, &found), &out)?;
    Ok(if found.problems.is_empty() {
        Exit::Done
    } else {
        Exit::CouldNotRun
    })
}

fn answer(path: &Path, found: &Verified) -> Answer {
    let archive = path.display();
    let mut document = Document::new("archive", archive.to_string());
    document.say([match found.problems.len() {
        0 => {
            let what = what(found);
            format!("All is as it was kept: {what}, with their pictures (in {archive}).")
        }
        n => {
            let wrong = count(n, ["thing is", "things are"]);
            format!("{wrong} not as kept. The archive was left as it is: {archive}")
        }
    }]);
    document.remark(found.problems.iter().map(|problem| told(problem).2));
    document.note((!found.problems.is_empty()).then(|| NEXT.to_owned()));
    Answer {
        document,
        json: json(path, found),
        lines: Lines::default(),
    }
}

/// How many, with the word for one and for more.
fn count(n: usize, [one, more]: [&str; 2]) -> String {
    format!("{n} {}", if n == 1 { one } else { more })
}

/// What was looked at.
pub(super) fn what(found: &Verified) -> String {
    let besides = [
        (found.approved, ["approved sample", "approved samples"]),
        (found.recipes, ["recipe", "recipes"]),
        (found.photos, ["photo", "photos"]),
    ];
    let mut parts = vec![
        count(found.finishes, ["finish", "finishes"]),
        count(found.readings, ["reading", "readings"]),
    ];
    let besides = besides.into_iter().filter(|(n, _)| *n > 0);
    parts.extend(besides.map(|(n, words)| count(n, words)));
    list(&parts.iter().map(String::as_str).collect::<Vec<_>>())
}

/// The archive at a path as a JSON object.
pub(super) fn json(path: &Path, found: &Verified) -> Value {
    let problem = |problem: &Problem| {
        let (kind, name, words) = told(problem);
        json!({"kind": kind, "name": name, "words": words})
    };
    json!({
        "schema": SCHEMA,
        "archive": path.to_string_lossy(),
        "clean": found.problems.is_empty(),
        "finishes": found.finishes,
        "approved": found.approved,
        "readings": found.readings,
        "recipes": found.recipes,
        "photos": found.photos,
        "problems": found.problems.iter().map(problem).collect::<Vec<_>>(),
    })
}

/// The kind of a problem for a program; the finish, the rig or the ladder that has it; and the sentence.
fn told(problem: &Problem) -> (&'static str, Option<&str>, String) {
    // The name stands where the braces are.
    let (kind, name, says) = match problem {
        Problem::File(words) => return ("file", None, format!("The file is damaged: {words}.")),
        Problem::Reference { from, to } => {
            let says =
                format!("Something in `{from}` belongs to something in `{to}` that is gone.");
            return ("reference", None, says);
        }
        Problem::StudioUnreadable => {
            let says = "The rigs or the ladders cannot be read.";
            return ("studio_unreadable", None, says.to_owned());
        }
        Problem::FinishChanged(name) => (
            "finish_changed",
            name,
            "What is noted of {} has changed since it was kept.",
        ),
        Problem::ListedOtherwise(name) => (
            "listed_otherwise",
            name,
            "What is listed of {} is not what its latest reading says.",
        ),
        Problem::NoReading(name) => ("no_reading", name, "{} has no reading."),
        Problem::ReadingChanged(name) => (
            "reading_changed",
            name,
            "The reading of {} has changed since it was kept.",
        ),
        Problem::ReadingUnreadable(name) => (
            "reading_unreadable",
            name,
            "The reading of {} cannot be understood.",
        ),
        Problem::PictureChanged(name) => (
            "picture_changed",
            name,
            "A picture of {} is gone or has changed since it was kept.",
        ),
        Problem::PictureUnreadable(name) => (
            "picture_unreadable",
            name,
            "A picture of {} cannot be opened.",
        ),
        Problem::PhotoChanged(name) => (
            "photo_changed",
            name,
            "The photo of {} is gone or has changed since it was kept.",
        ),
        Problem::ApprovalChanged(name) => (
            "approval_changed",
            name,
            "What was signed of {} has changed since it was kept.",
        ),
        Problem::ApprovalUnreadable(name) => (
            "approval_unreadable",
            name,
            "What was signed of {} cannot be understood.",
        ),
        Problem::DecisionChanged(name) => (
            "decision_changed",
            name,
            "A decision beside {} has changed since it was kept.",
        ),
        Problem::DecisionUnreadable(name) => (
            "decision_unreadable",
            name,
            "A decision beside {} cannot be understood.",
        ),
        Problem::RecipeChanged(name) => (
            "recipe_changed",
            name,
            "The recipe of {} has changed since it was kept.",
        ),
        Problem::RecipeUnreadable(name) => (
            "recipe_unreadable",
            name,
            "The recipe of {} cannot be understood.",
        ),
        Problem::LookChanged(name) => (
            "look_changed",
            name,
            "Where {} stands among those that look alike has changed since it was kept.",
        ),
        Problem::RigChanged(name) => (
            "rig_changed",
            name,
            "The rig {}, or its study, has changed since it was kept.",
        ),
        Problem::RigUnreadable(name) => (
            "rig_unreadable",
            name,
            "The rig {}, or its study, cannot be understood.",
        ),
        Problem::LadderChanged(name) => (
            "ladder_changed",
            name,
            "The ladder {} has changed since it was kept.",
        ),
        Problem::LadderUnreadable(name) => (
            "ladder_unreadable",
            name,
            "The ladder {} has steps whose finishes are gone.",
        ),
    };
    (kind, Some(name), says.replace("{}", &format!("`{name}`")))
}
