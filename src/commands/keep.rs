//! `keep`: measure panels and keep each under a name.

use std::path::{Path, PathBuf};
use std::slice;

use super::args::{OutArgs, ReadArgs};
use super::context::Context;
use super::exit::Exit;
use super::own_file::PNG;
use super::photos::{COUNTED, Photos, counted, of};
use super::watching::{WatchArgs, each_new};
use crate::document::Block;
use crate::document::reading::{Kept, Named, answer};
use crate::error::{Error, Result};
use crate::studio::keep::{Place, ToKeep};
use crate::studio::reading::{How, Reader, silver_read};
use crate::words::job::kept_in_job;
use crate::words::{file_name, keeping};

/// Measure panels and keep each under a name
#[derive(Debug, Clone, Default, clap::Args)]
pub(super) struct Args {
    /// Photos, or folders of photos
    #[arg(
        required_unless_present = "watch",
        conflicts_with = "watch",
        value_name = "PHOTO"
    )]
    photos: Vec<PathBuf>,

    /// The name to keep it under; of several photos the beginning of each name [default: the photo's own name; in a job its next number]
    #[arg(long)]
    name: Option<String>,

    /// Anything worth remembering
    #[arg(long, default_value = "")]
    notes: String,

    /// Keep the photo's file too; that is what happens unless --no-photo is given
    #[arg(long, conflicts_with = "no_photo")]
    with_photo: bool,

    /// Do not keep the photo's file: a replacement years on, or a later version, then has only the silver map
    #[arg(long)]
    no_photo: bool,

    #[command(flatten)]
    watch: WatchArgs,

    #[command(flatten)]
    read: ReadArgs,

    #[command(flatten)]
    out: OutArgs,

    /// Write the straightened panel with what was counted drawn on it [without a name: one of its own]
    #[arg(long, value_name = "FILE.png")]
    picture: Option<Option<PathBuf>>,
}

pub(super) fn run(args: &Args, context: &mut Context) -> Result<Exit> {
    if let Some(folder) = args.watch.folder() {
        return each_new(folder, context, |photo, context| {
            let one = Args {
                photos: vec![photo.to_owned()],
                watch: WatchArgs::default(),
                ..args.clone()
            };
            run(&one, context)
        });
    }
    let photos = Photos::of(&args.photos, context)?;
    let picture = args.picture.as_ref().and_then(Option::as_deref);
    photos.one_at_a_time(&[picture, args.out.named_page()])?;
    let holds = context.holds()?;
    let how = holds.how(How::from(&args.read));
    let job = holds.job.map(|job| job.name);
    let studio = context.studio()?;
    let reader = Reader::open(&how, &studio)?;
    let (now, mut archive) = (studio.now, studio.archive_or_new()?);
    let read = |photo: &Path| {
        let reading = reader.read_fit(photo)?;
        let drawn = args.picture.is_some().then(|| counted(&reading, photo));
        let shown = args.out.wants_page().then(|| silver_read(&reading));
        let drawn = drawn.transpose()?;
        let to_keep = ToKeep::of(reading)?;
        let to_keep = if args.with_photo || !args.no_photo {
            to_keep.with_photo(photo)?
        } else {
            to_keep
        };
        Ok((to_keep, drawn, shown))
    };
    // Each is said as soon as it is kept; the table needs them all.
    let said = OutArgs::json(args.out.json);
    let mut answers = Vec::new();
    let ends = photos.each(context, read, |photo, (finish, drawn, shown), context| {
        if let Some(drawn) = drawn {
            let what = of(COUNTED, photo);
            context.beside(Some(photo));
            context.write_beside(picture, (&what, PNG), &drawn, args.out.replace_file)?;
        }
        let place = Place {
            given: args.name.as_deref(),
            photos: photos.len(),
            job: job.as_deref(),
        };
        // Another program may take a number meanwhile: the next is taken then.
        let photo_bytes = finish.photo_bytes();
        let mut tries = 0..MOST_TRIES;
        let mut kept = loop {
            let name = place.name(photo, &finish, &archive)?;
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
            answer.lines.repeated = &[("photo", "photo"), ("name", "name")];
            answer.document.push(Block::InText(vec![
                kept_as(&name, &place, archive.path()),
                keeping::photo_kept(photo_bytes),
            ]));
            answer.json["photo_bytes"] = photo_bytes.into();
            // What cannot be shown is not kept.
            context.page(&mut answer, &args.out)?;
            let file_name = file_name(photo);
            let new = finish.new_finish(&name, &kept_at, &file_name, &args.notes);
            match place.keep(&new, &mut archive) {
                Err(Error::NameTaken { .. }) if place.numbers() && tries.next().is_some() => {}
                kept => break kept.map(|()| answer)?,
            }
        };
        context.answers(slice::from_mut(&mut kept), &said)?;
        answers.push(kept);
        Ok(Exit::Done)
    })?;
    context.table(&answers, &args.out)?;
    photos.sum_up(&ends, args.out.json, context)
}

/// How often a number that another program took is counted on from.
const MOST_TRIES: usize = 100;

/// Where a finish is kept.
fn kept_as(name: &str, place: &Place<'_>, archive: &Path) -> String {
    match place.job {
        Some(job) => kept_in_job(name, job, archive),
        None => format!("Kept as `{name}` in {}", archive.display()),
    }
}
