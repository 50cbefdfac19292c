//! `import`: take an export back in.

use serde_json::json;

use super::args::ImportArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::plain::{Came, Outcome};
use crate::error::Result;
use crate::words::{keeping, leaving};

/// Refusals that are told one by one; after so many nobody reads on.
const MOST_TOLD: usize = 20;

pub(super) fn run(args: &ImportArgs, context: &mut Context) -> Result<Exit> {
    let mut archive = context.archive_or_new()?;
    let entered = archive.enter(&args.folder)?;
    let refused = entered.refused().count();
    for error in entered.refused().take(MOST_TOLD) {
        context.complain(error);
    }
    if refused > MOST_TOLD {
        context.note(&leaving::refused_too(refused - MOST_TOLD));
    }
    let new = |came: &[Came]| names(came, |o| matches!(o, Outcome::New)).len();
    let finishes = &entered.finishes;
    let otherwise = names(finishes, |o| matches!(o, Outcome::ThereOtherwise));
    if args.json {
        let refused: Vec<_> = [finishes, &entered.rigs, &entered.ladders]
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
            "photos_added": entered.photos,
            "rigs": names(&entered.rigs, |o| matches!(o, Outcome::New)),
            "ladders": names(&entered.ladders, |o| matches!(o, Outcome::New)),
            "refused": refused,
        });
        context.say(&object.to_string())?;
    } else {
        let there = names(finishes, |o| matches!(o, Outcome::There)).len() + otherwise.len();
        context.say(&leaving::came(new(finishes), there, &otherwise, refused))?;
        if let Some(photos) = leaving::photos_added(entered.photos.len()) {
            context.say(&photos)?;
        }
        if let Some(besides) = leaving::came_besides(new(&entered.rigs), new(&entered.ladders)) {
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
fn names(came: &[Came], wanted: impl Fn(&Outcome) -> bool) -> Vec<&str> {
    came.iter()
        .filter(|c| wanted(&c.outcome))
        .map(|c| c.name.as_str())
        .collect()
}
