//! `import`: take an export back in.

use serde_json::json;

use super::args::ImportArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::exchange::{Imported, Outcome};
use crate::error::Result;
use crate::report::words::{keeping, leaving};

/// Refusals that are told one by one; after so many nobody reads on.
const MOST_TOLD: usize = 20;

pub(super) fn run(args: &ImportArgs, context: &mut Context) -> Result<Exit> {
    let mut archive = context.archive_or_new()?;
    let import = archive.import(&args.folder)?;
    let refused = import.refused().count();
    for error in import.refused().take(MOST_TOLD) {
        context.complain(error);
    }
    if refused > MOST_TOLD {
        context.note(&leaving::refused_too(refused - MOST_TOLD));
    }
    let new = |all: &[Imported]| names(all, |o| matches!(o, Outcome::New)).len();
    let finishes = &import.finishes;
    let otherwise = names(finishes, |o| matches!(o, Outcome::ThereOtherwise));
    if args.json {
        let refused: Vec<_> = [finishes, &import.rigs, &import.ladders]
            .into_iter()
            .flatten()
            .filter_map(|came| match &came.outcome {
                Outcome::Refused(why) => Some(json!({"name": came.name, "why": why.to_string()})),
                _ => None,
            })
            .collect();
        let object = json!({
            "kept": names(finishes, |o| matches!(o, Outcome::New)),
            "there": names(finishes, |o| matches!(o, Outcome::There)),
            "there_otherwise": otherwise,
            "photos_added": import.photos,
            "rigs": names(&import.rigs, |o| matches!(o, Outcome::New)),
            "ladders": names(&import.ladders, |o| matches!(o, Outcome::New)),
            "refused": refused,
        });
        context.say(&object.to_string())?;
    } else {
        let there = names(finishes, |o| matches!(o, Outcome::There)).len() + otherwise.len();
        context.say(&leaving::came(new(finishes), there, &otherwise, refused))?;
        if let Some(photos) = leaving::photos_added(import.photos.len()) {
            context.say(&photos)?;
        }
        if let Some(besides) = leaving::came_besides(new(&import.rigs), new(&import.ladders)) {
            context.say(&besides)?;
        }
        context.say(&keeping::kept_in(archive.path()))?;
    }
    Ok(if refused == 0 {
        Exit::Done
    } else {
        Exit::CouldNotRun
    })
}

/// The names of those with such an outcome.
fn names(all: &[Imported], wanted: impl Fn(&Outcome) -> bool) -> Vec<&str> {
    all.iter()
        .filter(|c| wanted(&c.outcome))
        .map(|c| c.name.as_str())
        .collect()
}
