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

/// What to do where something was not read.
const NEXT_UNREAD: &str = "What cannot be read need not be damaged. See that the disk or stick sits firmly, and look again: paneprint verify. If it stays so, copy the archive to another disk.";

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
            let unread = found.problems.iter().filter(|p| p.is_unread()).count();
            let wrong = match (n - unread, unread) {
                (0, unread) => count(unread, ["thing", "things"]) + " could not be read",
                (n, 0) => count(n, ["thing is", "things are"]) + " not as kept",
                (n, unread) => {
                    let wrong = count(n, ["thing is", "things are"]);
                    format!("{wrong} not as kept, and {unread} could not be read")
                }
            };
            format!("{wrong}. The archive was left as it is: {archive}")
        }
    }]);
    document.remark(found.problems.iter().map(|problem| told(problem).2));
    let unread = found.problems.iter().any(Problem::is_unread);
    document.note(unread.then(|| NEXT_UNREAD.to_owned()));
    let damaged = found.problems.iter().any(|problem| !problem.is_unread());
    document.note(damaged.then(|| NEXT.to_owned()));
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
        (found.in_bin, ["finish in the bin", "finishes in the bin"]),
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
        "in_bin": found.in_bin,
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
        Problem::FileUnread(words) => {
            let says = format!("The file could not be read, though it was tried twice: {words}.");
            return ("file_unread", None, says);
        }
        Problem::StudioUnread => {
            let says = "The rigs or the ladders could not be read, though it was tried twice.";
            return ("studio_unread", None, says.to_owned());
        }
        Problem::Unread(name) => (
            "unread",
            name,
            "Something of {} could not be read, though it was tried twice.",
        ),
        Problem::StudioUnreadable => {
            let says = "The rigs, the ladders, the jobs or the history cannot be read.";
            return ("studio_unreadable", None, says.to_owned());
        }
        Problem::UsualUnreadable => {
            let says =
                "What is usual in the studio, or which job is current, cannot be understood.";
            return ("usual_unreadable", None, says.to_owned());
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
        Problem::ChangeChanged(name) => (
            "change_changed",
            name,
            "What the history says of {} has changed since it was kept.",
        ),
        Problem::ChangeUnreadable(name) => (
            "change_unreadable",
            name,
            "What the history says of {} cannot be understood.",
        ),
        Problem::BinChanged(name) => (
            "bin_changed",
            name,
            "What is noted of {} in the bin has changed since it was removed.",
        ),
        Problem::TagChanged(name) => (
            "tag_changed",
            name,
            "The tags of {} have changed since they were kept.",
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
        Problem::JobChanged(name) => (
            "job_changed",
            name,
            "The job {}, or the list of its panels, has changed since it was kept.",
        ),
        Problem::JobUnreadable(name) => {
            ("job_unreadable", name, "The job {} cannot be understood.")
        }
        Problem::UsualChanged(name) => (
            "usual_changed",
            name,
            "What is usual in the studio has changed since it was kept: {}.",
        ),
    };
    (kind, Some(name), says.replace("{}", &format!("`{name}`")))
}
