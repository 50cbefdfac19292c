//! `ladder`: the studio's own named steps from light to heavy, and where a panel stands between them.

use super::args::{LadderArgs, LadderCommand, LadderMakeArgs, LadderPlaceArgs, LadderShowArgs};
use super::context::Context;
use super::exit::Exit;
use super::panel::{ToDraw, panel};
use super::pictured::small;
use super::place;
use super::whole_file::write_whole;
use crate::archive::{Archive, Finish, Step};
use crate::compare::Side;
use crate::compare::ladder::{Rung, rungs, stand};
use crate::error::{Error, Result};
use crate::report::{Placed, page, words};

pub(super) fn run(args: &LadderArgs, context: &mut Context) -> Result<Exit> {
    match &args.command {
        LadderCommand::Make(args) => make(args, context),
        LadderCommand::Place(args) => stand_on(args, context),
        LadderCommand::Show(args) => show(args, context),
    }
}

pub(super) fn make(args: &LadderMakeArgs, context: &mut Context) -> Result<Exit> {
    let mut archive = context.archive()?;
    let steps = args
        .steps
        .iter()
        .map(|text| step(text))
        .collect::<Result<Vec<Step>>>()?;
    for (i, step) in steps.iter().enumerate() {
        if steps[..i].iter().any(|s| s.name == step.name) {
            return Err(Error::StepTwice {
                step: step.name.clone(),
            });
        }
    }
    // A ladder that does not rise is refused before it takes the place of one that does.
    let finishes = finishes(&steps, &archive)?;
    rungs(&rungs_of(&steps, &finishes))?;
    archive.store_ladder(&args.name, &steps)?;
    said(&args.name, &steps, args.json, context)
}

/// Reads `medium=alcove sample`; a name alone is both.
fn step(text: &str) -> Result<Step> {
    let (name, finish) = text.split_once('=').unwrap_or((text, text));
    let (name, finish) = (name.trim().to_owned(), finish.trim().to_owned());
    if name.is_empty() || finish.is_empty() {
        return Err(Error::NoStep {
            given: text.to_owned(),
        });
    }
    Ok(Step { name, finish })
}

fn finishes(steps: &[Step], archive: &Archive) -> Result<Vec<Finish>> {
    steps
        .iter()
        .map(|s| archive.finish_named(&s.finish))
        .collect()
}

fn rungs_of<'a>(steps: &'a [Step], finishes: &'a [Finish]) -> Vec<Rung<'a>> {
    let rung = |(step, finish): (&'a Step, &'a Finish)| Rung {
        name: &step.name,
        side: Side {
            name: &finish.name,
            fingerprint: &finish.fingerprint,
        },
    };
    steps.iter().zip(finishes).map(rung).collect()
}

pub(super) fn stand_on(args: &LadderPlaceArgs, context: &mut Context) -> Result<Exit> {
    let archive = context.archive()?;
    let steps = archive.ladder(&args.on)?;
    let finishes = finishes(&steps, &archive)?;
    let rig = place::rig(args.read.rig.as_deref(), context)?;
    let draw = ToDraw {
        sheet: args.out.page.is_some(),
        ..ToDraw::default()
    };
    let panel = panel(&args.panel, &args.read, rig.as_ref(), draw, &archive)?;
    let standing = stand(panel.side(), &rungs_of(&steps, &finishes))?;
    let names: Vec<&str> = steps.iter().map(|s| s.name.as_str()).collect();
    let report = Placed {
        panel: &panel.name,
        ladder: &args.on,
        names: &names,
        standing: &standing,
    };
    if let (Some(file), Some(pictured)) = (&args.out.page, &panel.pictured) {
        let steps = finishes
            .iter()
            .map(|finish| small(finish, &archive))
            .collect::<Result<Vec<_>>>()?;
        let page = page::ladder(&report, &steps, &pictured.small())?;
        write_whole(file, page.as_bytes())?;
    }
    context.answer(&report, &args.out)?;
    Ok(Exit::Done)
}

fn show(args: &LadderShowArgs, context: &mut Context) -> Result<Exit> {
    let archive = context.archive()?;
    let names = match &args.name {
        Some(name) => vec![name.clone()],
        None => archive.ladders()?,
    };
    if names.is_empty() && !args.json {
        context.say(words::ladder::NONE)?;
    }
    for name in &names {
        said(name, &archive.ladder(name)?, args.json, context)?;
    }
    Ok(Exit::Done)
}

fn said(name: &str, steps: &[Step], json: bool, context: &mut Context) -> Result<Exit> {
    if json {
        let steps = steps
            .iter()
            .map(|s| serde_json::json!({"step": s.name, "finish": s.finish}));
        let object = serde_json::json!({"ladder": name, "steps": steps.collect::<Vec<_>>()});
        context.say(&object.to_string())?;
    } else {
        let names: Vec<&str> = steps.iter().map(|s| s.name.as_str()).collect();
        context.say(&words::ladder::made(name, &names))?;
    }
    Ok(Exit::Done)
}
