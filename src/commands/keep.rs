//! `keep`: measure panels and keep each under a name.

use std::path::{Path, PathBuf};
use std::slice;

use super::args::{OutArgs, ReadArgs};
use super::context::Context;
use super::exit::Exit;
use super::photos::{Photos, draw};
use crate::document::Block;
use crate::document::reading::{Kept, Named, answer};
use crate::error::Result;
use crate::studio::keep::{ToKeep, name_for};
use crate::studio::reading::{How, Reader, silver_read};
use crate::words::file_name;

/// Measure panels and keep each under a name
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Photos, or folders of photos
    #[arg(required = true, value_name = "PHOTO")]
    photos: Vec<PathBuf>,

    /// The name to keep it under; of several photos the beginning of each name [default: the photo's own name]
    #[arg(long)]
    name: Option<String>,

    /// Anything worth remembering
    #[arg(long, default_value = "")]
    notes: String,

    /// Keep the photo's file too, so that it can be measured again by a later version
    #[arg(long)]
    with_photo: bool,

    #[command(flatten)]
    read: ReadArgs,

    #[command(flatten)]
    out: OutArgs,

    /// Write the straightened panel with what was counted drawn on it
    #[arg(long, value_name = "FILE.png")]
    picture: Option<PathBuf>,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let photos = Photos::of(&args.photos)?;
    photos.one_at_a_time(&[&args.picture, &args.out.page])?;
    let studio = context.studio()?;
    let reader = Reader::open(&How::from(&args.read), || studio.archive())?;
    let (now, mut archive) = (studio.now, studio.archive_or_new()?);
    let read = |photo: &Path| {
        let reading = reader.read_fit(photo)?;
        draw(&reading, args.picture.as_deref())?;
        let shown = args.out.page.is_some().then(|| silver_read(&reading));
        let to_keep = ToKeep::of(reading)?;
        let to_keep = if args.with_photo {
            to_keep.with_photo(photo)?
        } else {
            to_keep
        };
        Ok((to_keep, shown))
    };
    // Each is said as soon as it is kept; the table needs them all.
    let said = OutArgs::json(args.out.json);
    let mut answers = Vec::new();
    let ends = photos.each(context, read, |photo, (finish, shown), context| {
        let name = name_for(photo, args.name.as_deref(), photos.len());
        let kept_at = now();
        let kept = Kept {
            name: &name,
            kept_at: &kept_at,
            approved_at: None,
            notes: &args.notes,
        };
        let named = Named {
            kept: Some(kept),
            ..Named::of_photo(photo, &finish.fingerprint)
        };
        let mut answer = answer(&named, shown.as_ref())?;
        answer.lines.repeated = &[("photo", "photo")];
        let at = archive.path().display();
        let kept_as = format!("Kept as `{name}` in {at}");
        answer.document.push(Block::InText(vec![kept_as]));
        // What cannot be shown is not kept.
        context.page(&answer, &args.out)?;
        finish.keep(
            &name,
            &kept_at,
            &file_name(photo),
            &args.notes,
            &mut archive,
        )?;
        context.answers(slice::from_ref(&answer), &said)?;
        answers.push(answer);
        Ok(Exit::Done)
    })?;
    context.table(&answers, &args.out)?;
    photos.sum_up(&ends, args.out.json, context)
}
