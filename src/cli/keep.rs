//! `keep`: measure a panel and keep it under a name.

use super::args::KeepArgs;
use super::context::Context;
use super::exit::Exit;
use super::place;
use crate::archive::{Archive, NewFinish};
use crate::error::Result;
use crate::pipeline::Reading;
use crate::report::{json, picture, text};

pub(super) fn run(args: &KeepArgs, context: &mut Context) -> Result<Exit> {
    let reading = place::read(&args.photo, &args.read, context)?;
    place::draw(&reading, args.picture.as_deref())?;
    let mut archive = context.archive()?;
    let photo_name = place::shown(&args.photo);
    keep(&reading, &args.name, &photo_name, &args.notes, &mut archive)?;
    if args.json {
        context
            .say(&json::reading(&args.photo.to_string_lossy(), &reading.fingerprint).to_string())?;
    } else {
        context.say(&text::reading(&photo_name, &reading.fingerprint))?;
        context.say(&format!(
            "Kept as `{}` in {}",
            args.name,
            archive.path().display()
        ))?;
    }
    Ok(Exit::Done)
}

/// Keeps a reading with its silver map and a small picture.
pub(super) fn keep(
    reading: &Reading,
    name: &str,
    photo_name: &str,
    notes: &str,
    archive: &mut Archive,
) -> Result<()> {
    archive.keep(&NewFinish {
        name,
        kept_at: &Context::now(),
        photo_name,
        fingerprint: &reading.fingerprint,
        silver_map: &picture::png(&picture::silver_map(&reading.measured))?,
        picture: &picture::png(&picture::small(&reading.measured))?,
        notes,
    })
}
