//! `list`: what is kept.

use super::args::ListArgs;
use super::context::Context;
use super::exit::Exit;
use crate::error::Result;
use crate::report::listed;
use crate::words::keeping;

pub(super) fn run(args: &ListArgs, context: &mut Context) -> Result<Exit> {
    let archive = context.archive()?;
    let finishes = archive.listed()?;
    if finishes.is_empty() {
        if !args.json {
            context.say(&keeping::nothing_kept(archive.path()))?;
        }
        return Ok(Exit::Done);
    }
    let line = if args.json {
        listed::json
    } else {
        listed::text
    };
    let lines: Vec<String> = finishes.iter().map(line).collect();
    context.say(&lines.join("\n"))?;
    Ok(Exit::Done)
}
