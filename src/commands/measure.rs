//! `measure`: a reading of each photo.

use std::path::{Path, PathBuf};

use super::args::{OutArgs, ReadArgs};
use super::context::Context;
use super::exit::Exit;
use super::photos::{Photos, draw};
use crate::document::Answer;
use crate::document::reading::{Named, answer};
use crate::error::Result;
use crate::studio::reading::{How, Reader, gone, silver_read};
use crate::studio::session;

/// Take a reading of each photo
#[derive(Debug, Default, clap::Args)]
pub(super) struct Args {
    /// Photos, or folders of photos
    #[arg(required = true, value_name = "PHOTO")]
    pub(super) photos: Vec<PathBuf>,

    #[command(flatten)]
    pub(super) read: ReadArgs,

    #[command(flatten)]
    pub(super) out: OutArgs,

    /// Write the straightened panel with what was counted drawn on it
    #[arg(long, value_name = "FILE.png")]
    pub(super) picture: Option<PathBuf>,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let photos = Photos::of(&args.photos)?;
    photos.one_at_a_time(&[&args.picture, &args.out.page])?;
    let how = How::from(&args.read);
    let reader = Reader::open(&how, &context.studio()?)?;
    let read = |photo: &Path| {
        let reading = reader.read_fit(photo)?;
        draw(&reading, args.picture.as_deref())?;
        let shown = args.out.page.is_some().then(|| silver_read(&reading));
        Ok((gone(&reading), shown, reading.fingerprint))
    };
    let mut readings = Vec::new();
    let ends = photos.each(context, read, |photo, read, _| {
        readings.push((photo.to_owned(), read));
        Ok(Exit::Done)
    })?;
    session::judge(
        readings
            .iter_mut()
            .map(|(_, (.., fingerprint))| fingerprint),
    );
    let answers = readings.iter().map(|(photo, (gone, shown, fingerprint))| {
        let named = Named {
            gone: *gone,
            ..Named::of_photo(photo, fingerprint)
        };
        answer(&named, shown.as_ref())
    });
    let answers: Vec<Answer> = answers.collect::<Result<_>>()?;
    context.answers(&answers, &args.out)?;
    photos.sum_up(&ends, args.out.json, context)
}
