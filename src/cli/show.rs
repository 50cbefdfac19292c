//! `show`: a kept finish.

use super::args::ShowArgs;
use super::context::Context;
use super::exit::Exit;
use crate::error::Result;
use crate::report::words::keeping;
use crate::report::{json, text};

pub(super) fn run(args: &ShowArgs, context: &mut Context) -> Result<Exit> {
    let archive = context.archive()?;
    let finish = archive.finish_named(&args.name)?;
    if args.json {
        context.say(&json::reading(&finish.photo_name, &finish.fingerprint).to_string())?;
        return Ok(Exit::Done);
    }
    let approved = finish
        .approval
        .map_or_else(String::new, |a| format!(", approved {}", a.approved_at));
    let title = format!(
        "{} (kept {}{approved}, from {})",
        finish.name, finish.kept_at, finish.photo_name
    );
    context.say(&text::reading(&title, &finish.fingerprint))?;
    if !finish.notes.is_empty() {
        context.say(&keeping::notes(&finish.notes))?;
    }
    for o in archive.overrulings_of(&finish.fingerprint.provenance.photo_digest)? {
        context.say(&keeping::overruled_beside(
            &o.made_at, &o.sample, o.decided, &o.reason,
        ))?;
    }
    Ok(Exit::Done)
}
