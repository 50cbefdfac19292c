//! `rename`: give a kept finish another name.

use serde_json::json;

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::document::{Answer, Document, Lines};
use crate::error::Result;

/// Give a kept finish another name; all that belongs to it goes with it
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The kept finish
    old: String,

    /// Its new name
    new: String,

    /// Write JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let studio = context.studio()?;
    let mut archive = studio.archive()?;
    let old = archive.kept_name(&args.old)?;
    archive.rename(&old, &args.new, &(studio.now)())?;
    let new = &args.new;
    let mut document = Document::new("finish renamed", new);
    document.say([format!("`{old}` is named `{new}` from now on.")]);
    let answer = Answer {
        document,
        json: json!({"was": old, "name": new}),
        lines: Lines::default(),
    };
    context.answer(answer, &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}
