//! `note`: what is worth remembering of a kept finish, the words it is sorted by, and its photo where it was kept without.

use std::path::PathBuf;

use serde_json::json;

use super::args::OutArgs;
use super::context::Context;
use super::exit::Exit;
use crate::archive::Note;
use crate::document::{Answer, Document, Lines};
use crate::error::Result;
use crate::intake;
use crate::words::keeping;

/// Write, change or show the notes and tags of a kept finish, and keep its photo later
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// The kept finish
    name: String,

    /// What its notes are to say from now on; an empty text takes them away [default: as they are]
    #[arg(value_name = "TEXT")]
    text: Option<String>,

    /// A word to sort it by (repeatable)
    #[arg(long, value_name = "TAG")]
    tag: Vec<String>,

    /// A tag to take away (repeatable)
    #[arg(long, value_name = "TAG")]
    untag: Vec<String>,

    /// Its photo, where it was kept without: the very file that was read
    #[arg(long, value_name = "PHOTO")]
    photo: Option<PathBuf>,

    /// Write JSON
    #[arg(long)]
    json: bool,
}

/// What is said where there is nothing.
const NOTHING: &str = "No notes and no tags.";

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let studio = context.studio()?;
    let mut archive = studio.archive()?;
    let note = Note {
        notes: args.text.clone(),
        tags: args.tag.clone(),
        untags: args.untag.clone(),
    };
    if let Some(photo) = &args.photo {
        let bytes = intake::bytes_of(photo, &intake::Limits::default())?;
        let name = archive.kept_name(&args.name)?;
        archive.add_photo(&name, &bytes)?;
    }
    let changed = note != Note::default() && archive.note(&args.name, &note, &(studio.now)())?;
    let finish = archive.listed_named(&args.name)?;
    let photo_bytes = archive.photo_size(&finish.name)?;
    let mut document = Document::new("notes", &finish.name);
    document.say([format!("`{}`", finish.name)]);
    document.say((!finish.notes.is_empty()).then(|| keeping::notes(&finish.notes)));
    document.say(keeping::tags(&finish.tags));
    let nothing = finish.notes.is_empty() && finish.tags.is_empty();
    document.say(nothing.then(|| NOTHING.to_owned()));
    let photo = args.photo.as_ref().and(photo_bytes);
    document.say(photo.map(keeping::photo_there));
    let answer = Answer {
        document,
        json: json!({
            "name": finish.name,
            "notes": finish.notes,
            "tags": finish.tags,
            "photo_bytes": photo_bytes,
            "changed": changed,
        }),
        lines: Lines::default(),
    };
    context.answer(answer, &OutArgs::json(args.json))?;
    Ok(Exit::Done)
}
