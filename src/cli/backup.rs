//! `backup`: a checked copy of the archive in one file.

use super::args::BackupArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive;
use crate::error::Result;
use crate::report::verify::json;
use crate::report::words::verify as words;

pub(super) fn run(args: &BackupArgs, context: &mut Context) -> Result<Exit> {
    let path = context.archive_path()?;
    // The archive is opened first so that an error names it and not the copy. An empty file is no archive.
    if std::fs::metadata(&path).is_ok_and(|facts| facts.len() > 0) {
        drop(context.archive()?);
    }
    let copied = archive::backup(&path, &args.file)?;
    if args.json {
        context.say(&json(&args.file, &copied).to_string())?;
    } else {
        context.say(&words::backed_up(&args.file, &copied))?;
    }
    Ok(Exit::Done)
}
