//! `backup`: a checked copy of the archive in one file, and the way back.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use super::verify;
use crate::archive::Verified;
use crate::document::{Answer, Document, Lines};
use crate::error::Result;
use crate::studio::backup::{back_up, restore};

/// Copy the archive into one file, and check the copy; or put such a copy back
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The file to write; nothing is overwritten
    file: PathBuf,

    /// Put the copy in the archive's place instead; the archive that is there is set aside under another name
    #[arg(long)]
    restore: bool,

    /// Write what the copy holds as JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let studio = context.studio()?;
    let answer = if args.restore {
        let archive = studio.path.clone();
        let (found, aside) = restore(&args.file, &studio)?;
        restored(&archive, &found, aside.as_deref())
    } else {
        let found = back_up(&args.file, &studio)?;
        written(&args.file, &found)
    };
    context.answer(answer, &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}

fn written(file: &Path, found: &Verified) -> Answer {
    let (shown, what) = (file.display(), verify::what(found));
    let mut document = Document::new("backup", shown.to_string());
    document.say([format!("Backup written and checked: {shown} ({what}).")]);
    Answer {
        document,
        json: verify::json(file, found),
        lines: Lines::default(),
    }
}

fn restored(archive: &Path, found: &Verified, aside: Option<&Path>) -> Answer {
    let (shown, what) = (archive.display(), verify::what(found));
    let mut document = Document::new("backup", shown.to_string());
    document.say([format!("Restored and checked: {shown} ({what}).")]);
    let told = |aside: &Path| {
        format!(
            "The archive that was there is set aside: {}",
            aside.display()
        )
    };
    document.note(aside.map(told));
    let mut json = verify::json(archive, found);
    json["set_aside"] = json!(aside.map(Path::to_string_lossy));
    Answer {
        document,
        json,
        lines: Lines::default(),
    }
}
