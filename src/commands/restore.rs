//! `restore`: take a finish out of the bin.

use serde_json::json;

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::document::{Answer, Document, Lines};
use crate::error::Result;

/// Take a finish out of the bin, as it was
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The name that it had, or what it is called in the bin; of several of one name the last that was removed comes back
    name: String,

    /// The name that it is to have from now on [default: the name that it had]
    #[arg(long = "as", value_name = "NEW")]
    new: Option<String>,

    /// Write JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let studio = context.studio()?;
    let mut archive = studio.archive()?;
    let name = archive.bring_back(&args.name, args.new.as_deref(), &(studio.now)())?;
    let mut document = Document::new("finish restored", &name);
    document.say([format!("`{name}` is back from the bin, as it was.")]);
    let answer = Answer {
        document,
        json: json!({"restored": args.name, "name": name}),
        lines: Lines::default(),
    };
    context.answer(answer, &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}
