//! `backup`: a checked copy of the archive in one file.

use super::args::BackupArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive;
use crate::error::Result;
use crate::report::verify::json;
use crate::report::words::verify as words;

pub(super) fn run(args: &BackupArgs, context: &mut Context) -> Result<Exit> {
    let copied = archive::backup(&context.archive_path()?, &args.file)?;
    if args.json {
        context.say(&json(&args.file, &copied).to_string())?;
    } else {
        context.say(&words::backed_up(&args.file, &copied))?;
    }
    Ok(Exit::Done)
}
