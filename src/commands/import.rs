//! `import`: take an export back in.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::exchange::{Import, Imported, Outcome};
use crate::document::{Answer, Document, Lines};
use crate::error::Result;
use crate::words::{keeping, list};

/// Take in what export wrote
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// A folder that export wrote
    folder: PathBuf,

    /// Write what became of each as JSON
    #[arg(long)]
    json: bool,
}

/// Refusals that are told one by one; after so many nobody reads on.
const MOST_TOLD: usize = 20;

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let mut archive = context.studio()?.archive_or_new()?;
    let import = archive.import(&args.folder)?;
    for error in import.refused().take(MOST_TOLD) {
        context.complain(error);
    }
    let refused = import.refused().count();
    if let Some(more @ 1..) = refused.checked_sub(MOST_TOLD) {
        context.note(&format!(
            "and {more} more were refused; --json tells of each"
        ));
    }
    let out = OutArgs::json(args.json);
    context.answer(answer(&import, archive.path()), &out)?;
    Ok(match refused {
        0 => Exit::Done,
        _ => Exit::CouldNotRun,
    })
}

fn answer(import: &Import, archive: &Path) -> Answer {
    let new = |came| names(came, |o| matches!(o, Outcome::New));
    let kept = new(&import.finishes);
    let there = names(&import.finishes, |o| matches!(o, Outcome::There));
    let otherwise = names(&import.finishes, |o| matches!(o, Outcome::ThereOtherwise));
    let [rigs, ladders, jobs] = [&import.rigs[..], &import.ladders[..], &import.jobs[..]].map(new);
    let mut document = Document::new("import", archive.display().to_string());
    document.say([came(
        kept.len(),
        there.len() + otherwise.len(),
        import.refused().count(),
    )]);
    document.say(stays(&otherwise));
    document.say(match import.photos.len() {
        0 => None,
        1 => Some("The photo of one that was there is kept now too.".to_owned()),
        n => Some(format!(
            "The photos of {n} that were there are kept now too."
        )),
    });
    document.say(besides(rigs.len(), ladders.len(), jobs.len()));
    document.note([keeping::kept_in(archive)]);
    let all = [
        &import.finishes,
        &import.rigs,
        &import.ladders,
        &import.jobs,
    ];
    let refused = all
        .into_iter()
        .flatten()
        .filter_map(|came| match &came.outcome {
            Outcome::Refused(why) => Some(json!({"name": came.name, "why": why.to_string()})),
            _ => None,
        });
    Answer {
        document,
        json: json!({
            "kept": kept,
            "there": there,
            "there_otherwise": otherwise,
            "photos_added": import.photos,
            "rigs": rigs,
            "ladders": ladders,
            "jobs": jobs,
            "refused": refused.collect::<Vec<Value>>(),
        }),
        lines: Lines::default(),
    }
}

/// The names of those with such an outcome.
fn names(all: &[Imported], wanted: impl Fn(&Outcome) -> bool) -> Vec<&str> {
    let wanted = all.iter().filter(|c| wanted(&c.outcome));
    wanted.map(|c| c.name.as_str()).collect()
}

/// What became of the finishes of an export.
fn came(new: usize, there: usize, refused: usize) -> String {
    let finishes = if new == 1 { "finish" } else { "finishes" };
    let mut said = format!("{new} {finishes} kept");
    if there > 0 {
        said.push_str(&format!(", {there} there already"));
    }
    if refused > 0 {
        said.push_str(&format!(", {refused} refused"));
    }
    said + "."
}

/// Which of them are there otherwise.
fn stays(otherwise: &[&str]) -> Option<String> {
    let quoted: Vec<String> = otherwise.iter().map(|name| format!("`{name}`")).collect();
    let quoted = list(&quoted.iter().map(String::as_str).collect::<Vec<_>>());
    (!otherwise.is_empty()).then(|| format!(
        "What was signed, decided or noted of {quoted}, or written of how it was made, differs in the export; what the archive says stays."
    ))
}

/// What became of rigs, ladders and jobs.
fn besides(rigs: usize, ladders: usize, jobs: usize) -> Option<String> {
    let count = |(n, one): (usize, &str)| match n {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {one}s")),
    };
    let parts = [(rigs, "rig"), (ladders, "ladder"), (jobs, "job")].into_iter();
    let parts: Vec<String> = parts.filter_map(count).collect();
    let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
    (!parts.is_empty()).then(|| format!("{} kept.", list(&parts)))
}
