//! `rig list` and `rig rename`: the rigs that are kept.

use serde_json::{Value, json};

use super::super::args::OutArgs;
use super::super::context::Context;
use super::super::exit::Exit;
use crate::archive::{Change, ListedRig, Thing};
use crate::document::{Answer, Document, Lines};
use crate::error::Result;
use crate::words::{day, keeping, line};

/// Name the rigs that are kept
#[derive(Debug, clap::Args)]
pub(super) struct ListArgs {
    /// Write JSON
    #[arg(long)]
    json: bool,
}

/// Give a rig another name; its study goes with it
#[derive(Debug, clap::Args)]
pub(super) struct RenameArgs {
    /// The rig
    old: String,

    /// Its new name
    new: String,

    /// Write JSON
    #[arg(long)]
    json: bool,
}

/// What is said where there is no rig.
const NONE: &str = "No rig is kept yet. Make one: paneprint rig make NAME --plain PHOTO";

pub(super) fn list(args: &ListArgs, context: &mut Context) -> Result<Exit> {
    let archive = context.studio()?.archive()?;
    let rigs = archive.listed_rigs()?;
    let changes = context.studio()?.sound(archive.other_changes())?;
    let mut changes = changes.unwrap_or_default();
    changes.retain(|change| change.thing == Thing::Rig);
    context.answer(listed(&rigs, &changes), &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}

fn listed(rigs: &[ListedRig], changes: &[Change]) -> Answer {
    let mut document = Document::new("rigs", "rigs");
    document.say(rigs.iter().map(|rig| line(&told(rig))));
    document.say(rigs.is_empty().then(|| NONE.to_owned()));
    document.note(changes.iter().map(keeping::change));
    let json = |rig: &ListedRig| {
        json!({
            "rig": rig.name,
            "made_at": rig.made_at,
            "studied_at": rig.studied_at,
            "sound": rig.is_sound,
        })
    };
    Answer {
        document,
        json: json!({"rigs": rigs.iter().map(json).collect::<Vec<Value>>(), "changes": changes}),
        lines: Lines::default(),
    }
}

fn told(rig: &ListedRig) -> String {
    let made = day(&rig.made_at);
    let studied = match &rig.studied_at {
        Some(at) => format!("studied {}", day(at)),
        None => "not studied".to_owned(),
    };
    let damaged = if rig.is_sound { "" } else { ", damaged" };
    format!("{}  (made {made}, {studied}{damaged})", rig.name)
}

pub(super) fn rename(args: &RenameArgs, context: &mut Context) -> Result<Exit> {
    let studio = context.studio()?;
    let mut archive = studio.archive()?;
    let old = archive.rename_rig(&args.old, &args.new, &(studio.now)())?;
    let new = &args.new;
    let mut document = Document::new("rig", new);
    document.say([
        format!("The rig `{old}` is named `{new}` from now on."),
        format!("What was read with it says `{old}`, and still knows its light."),
    ]);
    let answer = Answer {
        document,
        json: json!({"was": old, "rig": new}),
        lines: Lines::default(),
    };
    context.answer(answer, &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}
