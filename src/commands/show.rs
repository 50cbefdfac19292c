//! `show`: a kept finish.

use serde_json::json;

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::document::Block;
use crate::document::reading::{Kept, Named, answer};
use crate::error::Result;
use crate::studio::reading::silver_kept;
use crate::words::{day, keeping};

/// Show a kept finish
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The kept finish
    name: String,

    #[command(flatten)]
    out: OutArgs,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let mut studio = context.studio()?;
    let archive = studio.archive()?;
    let finish = archive.finish_named(&args.name)?;
    let recipe = studio.sound(archive.recipe(&finish.name))?.flatten();
    let changes = studio.sound(archive.changes(&finish.name))?;
    let (changes, tags) = (changes.unwrap_or_default(), archive.tags(&finish.name)?);
    let kept = Kept {
        name: &finish.name,
        kept_at: &finish.kept_at,
        approved_at: finish.approval.as_ref().map(|a| a.approved_at.as_str()),
        notes: &finish.notes,
    };
    let named = Named {
        title: title(&kept, &finish.photo_name),
        photo: finish.photo_name.clone(),
        fingerprint: &finish.fingerprint,
        kept: Some(kept),
        recipe: recipe.as_ref(),
        gone: None,
    };
    let shown = args.out.wants_page();
    let shown = shown.then(|| silver_kept(&finish, &archive)).transpose()?;
    let mut answer = answer(&named, shown.as_ref())?;
    let holds = finish.approval.iter().flat_map(keeping::signed);
    let about = keeping::about(&finish.fingerprint.provenance);
    answer.document.note(std::iter::once(about).chain(holds));
    answer.document.note(keeping::tags(&tags));
    answer.document.note(changes.iter().map(keeping::change));
    answer.json["approval"] = json!(finish.approval);
    answer.json["tags"] = json!(tags);
    answer.json["changes"] = json!(changes);
    answer.json["photo_bytes"] = archive.photo_size(&finish.name)?.into();
    if !args.out.json {
        let notes = (!finish.notes.is_empty()).then(|| keeping::notes(&finish.notes));
        let decided = archive.overrulings_of(&finish.fingerprint.provenance.photo_digest);
        let decided = studio.sound(decided)?.unwrap_or_default();
        let decided = decided
            .iter()
            .map(|o| keeping::overruled_beside(&o.made_at, &o.sample, o.decided, &o.reason));
        let beside = notes.into_iter().chain(decided).collect();
        answer.document.push(Block::InText(beside));
    }
    context.answer(answer, &args.out)?;
    Ok(Exit::Done)
}

/// What it is called where it is shown.
fn title(kept: &Kept<'_>, photo: &str) -> String {
    let approved = kept.approved_at.map(|at| format!(", approved {}", day(at)));
    format!(
        "{} (kept {}{}, from {photo})",
        kept.name,
        day(kept.kept_at),
        approved.unwrap_or_default()
    )
}
