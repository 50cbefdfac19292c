//! `check`: is this picture good enough to judge by, and what to mend first?

use std::path::Path;

use image::RgbImage;

use super::args::CheckArgs;
use super::context::Context;
use super::exit::Exit;
use super::photos::Photos;
use super::place;
use super::session;
use super::whole_file::write_whole;
use crate::error::{Error, Kind, Result};
use crate::fingerprint::Fingerprint;
use crate::frame::placement::Sighting;
use crate::pipeline::Sighted;
use crate::report::check::{Checked, Looked};
use crate::report::{page, picture};

/// What became of a photo: a reading to judge it by, or the reason why nothing of it can be judged.
enum Seen {
    Read(Box<Fingerprint>),
    /// Its size is not known.
    Sighted(Box<Sighted>),
    Refused(Error),
}

pub(super) fn run(args: &CheckArgs, context: &mut Context) -> Result<Exit> {
    let photos = Photos::of(&args.photos)?;
    photos.one_at_a_time(&[&args.picture, &args.out.page])?;
    let rig = place::rig(args.rig.as_deref(), context)?;
    let look = |photo: &Path| match place::read(photo, &args.place, rig.as_ref()) {
        Ok(reading) => {
            place::write(photo, &reading, args.write_place)?;
            let seen = Sighting::from(&reading.fingerprint.provenance.placement);
            let seen_on = args.placed(photo, &seen)?;
            let read = Seen::Read(Box::new(reading.fingerprint));
            args.page(photo, &read, seen_on.as_ref())?;
            Ok(read)
        }
        Err(Error::PlacementMissing { .. }) => {
            sight(photo, args).or_else(|e| refused(e, photo, args))
        }
        Err(error) => refused(error, photo, args),
    };
    let mut looked_at = Vec::new();
    let ends = photos.each(context, look, |photo, seen, _| {
        let end = if seen.is_fit() {
            Exit::Done
        } else {
            Exit::PictureNotUsable
        };
        looked_at.push((photo.to_owned(), seen));
        Ok(end)
    })?;
    session::judge(looked_at.iter_mut().filter_map(|(_, seen)| match seen {
        Seen::Read(fingerprint) => Some(&mut **fingerprint),
        Seen::Sighted(_) | Seen::Refused(_) => None,
    }));
    let answers: Vec<Checked<'_>> = looked_at.iter().map(|(p, seen)| seen.report(p)).collect();
    context.answers(&answers, &args.out)?;
    photos.sum_up(&ends, args.out.json, context)
}

fn sight(photo: &Path, args: &CheckArgs) -> Result<Seen> {
    let sighted = place::sight(photo, &args.place, args.write_place)?;
    let placed = args.placed(photo, &sighted.seen)?;
    let seen = Seen::Sighted(Box::new(sighted));
    args.page(photo, &seen, placed.as_ref())?;
    Ok(seen)
}

/// No panel in the picture is an answer too.
fn refused(error: Error, photo: &Path, args: &CheckArgs) -> Result<Seen> {
    match error.kind() {
        Kind::PictureNotUsable => {
            let seen = Seen::Refused(error);
            args.page(photo, &seen, None)?;
            Ok(seen)
        }
        Kind::CouldNotRun => Err(error),
    }
}

impl CheckArgs {
    /// The photo with what was found drawn on it, where a picture or a sheet was asked for; the picture is written.
    fn placed(&self, photo: &Path, seen: &Sighting) -> Result<Option<RgbImage>> {
        if self.picture.is_none() && self.out.page.is_none() {
            return Ok(None);
        }
        let placed = place::placed(photo, seen)?;
        if let Some(file) = &self.picture {
            write_whole(file, &picture::png(&placed)?)?;
        }
        Ok(Some(placed))
    }

    fn page(&self, photo: &Path, seen: &Seen, placed: Option<&RgbImage>) -> Result<()> {
        let Some(file) = &self.out.page else {
            return Ok(());
        };
        write_whole(file, page::check(&seen.report(photo), placed)?.as_bytes())
    }
}

impl Seen {
    fn is_fit(&self) -> bool {
        match self {
            Seen::Read(fingerprint) => !fingerprint.provenance.flags.blocks(),
            Seen::Sighted(sighted) => !sighted.flags.blocks(),
            Seen::Refused(_) => false,
        }
    }

    fn report(&self, photo: &Path) -> Checked<'_> {
        Checked {
            title: place::shown(photo),
            photo: photo.to_string_lossy().into_owned(),
            seen: match self {
                Seen::Read(fingerprint) => Looked::Judged(&fingerprint.provenance),
                Seen::Sighted(sighted) => Looked::Sighted(&sighted.seen, &sighted.flags),
                Seen::Refused(error) => Looked::Refused(error),
            },
        }
    }
}
