//! `backup`: a checked copy of the archive in one file.

use std::path::PathBuf;

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use super::verify;
use crate::document::{Answer, Document, Lines};
use crate::error::Result;
use crate::studio::backing_up::back_up;

/// Copy the archive into one file, and check the copy
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The file to write; nothing is overwritten
    file: PathBuf,

    /// Write what the copy holds as JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let copied = back_up(&args.file, &context.studio()?)?;
    let file = args.file.display();
    let mut document = Document::new("backup", file.to_string());
    let what = verify::what(&copied);
    document.say([format!("Backup written and checked: {file} ({what}).")]);
    let answer = Answer {
        document,
        json: verify::json(&args.file, &copied),
        lines: Lines::default(),
    };
    let out = OutArgs::json(args.json);
    context.answer(answer, &out)?;
    Ok(Exit::Done)
}
