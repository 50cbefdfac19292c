//! `measure`: a reading of each photo.

use std::path::{Path, PathBuf};

use super::args::{OutArgs, ReadArgs};
use super::context::Context;
use super::exit::Exit;
use super::own_file::PNG;
use super::photos::{COUNTED, Photos, counted, of};
use crate::document::Answer;
use crate::document::reading::{Named, answer};
use crate::error::Result;
use crate::studio::reading::{Reader, gone, silver_read};
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

    /// Write the straightened panel with what was counted drawn on it [without a name: one of its own]
    #[arg(long, value_name = "FILE.png")]
    pub(super) picture: Option<Option<PathBuf>>,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    let photos = Photos::of(&args.photos, context)?;
    let picture = args.picture.as_ref().and_then(Option::as_deref);
    photos.one_at_a_time(&[picture, args.out.named_page()])?;
    let how = context.how(&args.read)?;
    let reader = Reader::open(&how, &context.studio()?)?;
    let read = |photo: &Path| {
        let reading = reader.read_fit(photo)?;
        let drawn = args.picture.is_some().then(|| counted(&reading, photo));
        let shown = args.out.wants_page().then(|| silver_read(&reading));
        Ok((
            drawn.transpose()?,
            (gone(&reading), shown, reading.fingerprint),
        ))
    };
    let mut readings = Vec::new();
    let ends = photos.each(context, read, |photo, (drawn, read), context| {
        if let Some(drawn) = drawn {
            let what = of(COUNTED, photo);
            context.beside(Some(photo));
            context.write_beside(picture, (&what, PNG), &drawn, args.out.replace_file)?;
        }
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
    let mut answers: Vec<Answer> = answers.collect::<Result<_>>()?;
    context.answers(&mut answers, &args.out)?;
    photos.sum_up(&ends, args.out.json, context)
}
