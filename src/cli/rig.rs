//! `rig`: `make` teaches the program the studio's fixed corner, `study` what it repeats.

use super::args::{RigArgs, RigCommand, RigMakeArgs};
use super::context::Context;
use super::exit::Exit;
use super::study;
use crate::error::Result;
use crate::frame::placement::PatchKind;
use crate::normalize::Rig;
use crate::pipeline;
use crate::placement::Given;
use crate::settings::Settings;

pub(super) fn run(args: &RigArgs, context: &mut Context) -> Result<Exit> {
    match &args.command {
        RigCommand::Make(args) => make(args, context),
        RigCommand::Study(args) => study::run(args, context),
    }
}

fn make(args: &RigMakeArgs, context: &mut Context) -> Result<Exit> {
    let given = Given {
        steps: args.steps.iter().flat_map(|s| s.iter().copied()).collect(),
        ..Given::from(&args.place)
    };
    let card = args.steps_photo.as_deref();
    let rig = pipeline::learn_rig_by(&args.name, &args.plain, card, given, &Settings::default())?;
    let mut archive = context.archive()?;
    let study_dropped = archive.store_rig(&rig, &Context::now())?;
    if args.json {
        let mut object = serde_json::json!(rig);
        object["study_dropped"] = study_dropped.into();
        context.say(&object.to_string())?;
        return Ok(Exit::Done);
    }
    context.say(&format!("Rig `{}` made.", rig.name))?;
    if study_dropped {
        context.say("Its study was of the old corner and is dropped: study it again with `paneprint rig study`.")?;
    }
    context.say(&patches_in_words(&rig))?;
    if rig.response.is_taught() {
        context.say("It knows the phone's tones from the grey card.")?;
    }
    context.say(&format!("Kept in {}", archive.path().display()))?;
    Ok(Exit::Done)
}

fn patches_in_words(rig: &Rig) -> String {
    let ratio = |kind| rig.silver_over(kind).map(|r| r[1]);
    match (ratio(PatchKind::Grey), ratio(PatchKind::Mirror)) {
        (None, None) => {
            "No patch in the plain frame: its light can be used only where a photo shows a mirror patch of its own.".to_owned()
        }
        (Some(grey), _) => format!("Full silver reads {grey:.2} times the grey card beside it."),
        (None, Some(mirror)) => format!("Full silver reads {mirror:.2} times the mirror patch beside it."),
    }
}
