//! `rig`: `make` teaches the program the studio's fixed corner, `study` what it repeats.

use super::args::{RigArgs, RigCommand, RigMakeArgs};
use super::context::Context;
use super::exit::Exit;
use super::study;
use crate::error::Result;
use crate::frame::placement::PatchKind;
use crate::pipeline;
use crate::placement::Given;
use crate::words::keeping;
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
    let mut archive = context.archive_or_new()?;
    let study_dropped = archive.store_rig(&rig, &Context::now())?;
    if args.json {
        let mut object = serde_json::json!(rig);
        object["study_dropped"] = study_dropped.into();
        context.say(&object.to_string())?;
        return Ok(Exit::Done);
    }
    context.say(&keeping::rig_made(&rig.name))?;
    if study_dropped {
        context.say(keeping::STUDY_DROPPED)?;
    }
    let ratio = |kind| rig.silver_over(kind).map(|r| r[1]);
    context.say(&keeping::patches(
        ratio(PatchKind::Grey),
        ratio(PatchKind::Mirror),
    ))?;
    if rig.response.is_taught() {
        context.say(keeping::TONES_LEARNT)?;
    }
    context.say(&keeping::kept_in(archive.path()))?;
    Ok(Exit::Done)
}
