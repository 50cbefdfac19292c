//! `show`: a kept finish.

use super::args::ShowArgs;
use super::context::Context;
use super::exit::Exit;
use super::pictured::Pictured;
use super::whole_file::write_whole;
use crate::error::Result;
use crate::words::keeping;
use crate::report::{Kept, Reading, page};

pub(super) fn run(args: &ShowArgs, context: &mut Context) -> Result<Exit> {
    let archive = context.archive()?;
    let finish = archive.finish_named(&args.name)?;
    let recipe = context.sound(archive.recipe(&args.name))?.flatten();
    let approved_at = finish.approval.as_ref().map(|a| a.approved_at.as_str());
    let report = Reading {
        title: keeping::title(
            &finish.name,
            &finish.kept_at,
            approved_at,
            &finish.photo_name,
        ),
        photo: finish.photo_name.clone(),
        fingerprint: &finish.fingerprint,
        kept: Some(Kept {
            name: &finish.name,
            kept_at: &finish.kept_at,
            approved_at,
            notes: &finish.notes,
        }),
        recipe: recipe.as_ref(),
        gone: None,
    };
    if let Some(file) = &args.out.page {
        let pictured = Pictured::of_kept(&finish, &archive)?;
        write_whole(file, page::reading(&report, &pictured.silver())?.as_bytes())?;
    }
    context.answer(&report, &args.out)?;
    if args.out.json {
        return Ok(Exit::Done);
    }
    if !finish.notes.is_empty() {
        context.say(&keeping::notes(&finish.notes))?;
    }
    let about = archive.overrulings_of(&finish.fingerprint.provenance.photo_digest);
    for o in context.sound(about)?.unwrap_or_default() {
        context.say(&keeping::overruled_beside(
            &o.made_at, &o.sample, o.decided, &o.reason,
        ))?;
    }
    Ok(Exit::Done)
}
