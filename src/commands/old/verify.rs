//! `verify`: look at everything that is kept.

use super::args::VerifyArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive;
use crate::error::Result;
use crate::report::verify::{json, text};

pub(super) fn run(args: &VerifyArgs, context: &mut Context) -> Result<Exit> {
    let path = context.archive_path()?;
    let found = archive::verify(&path)?;
    if args.json {
        context.say(&json(&path, &found).to_string())?;
    } else {
        context.say(&text(&path, &found))?;
    }
    if found.problems.is_empty() {
        Ok(Exit::Done)
    } else {
        Ok(Exit::CouldNotRun)
    }
}
