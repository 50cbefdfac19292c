//! `keep`: measure panels and keep each under a name.

use std::path::Path;

use super::args::{KeepArgs, OutArgs};
use super::context::Context;
use super::exit::Exit;
use super::photos::Photos;
use super::place;
use crate::archive::{Archive, NewFinish, NewReading, Pictures, Source};
use crate::error::Result;
use crate::fingerprint::Fingerprint;
use crate::intake;
use crate::pipeline;
use crate::report::words::keeping;
use crate::report::{Kept, Reading, picture};

pub(super) fn run(args: &KeepArgs, context: &mut Context) -> Result<Exit> {
    let photos = Photos::of(&args.photos)?;
    photos.one_at_a_time(&[&args.picture, &args.out.page])?;
    let rig = place::rig(args.read.rig.as_deref(), context)?;
    let mut archive = context.archive_or_new()?;
    let read = |photo: &Path| {
        let reading = place::read_fit(photo, &args.read, rig.as_ref())?;
        place::draw(&reading, args.picture.as_deref())?;
        place::page(&reading, photo, args.out.page.as_deref())?;
        let to_keep = ToKeep::of(reading)?;
        if args.with_photo {
            to_keep.with_photo(photo)
        } else {
            Ok(to_keep)
        }
    };
    // Each is said as soon as it is kept; the table needs them all.
    let said = OutArgs {
        csv: None,
        ..args.out.clone()
    };
    let mut kept = Vec::new();
    let ends = photos.each(context, read, |photo, finish, context| {
        let name = name(photo, args.name.as_deref(), photos.len());
        let kept_at = Context::now();
        finish.keep(
            &name,
            &kept_at,
            &place::shown(photo),
            &args.notes,
            &mut archive,
        )?;
        let as_kept = Kept {
            name: &name,
            kept_at: &kept_at,
            approved_at: None,
            notes: &args.notes,
        };
        let report = Reading {
            kept: Some(as_kept),
            ..place::report(photo, &finish.fingerprint)
        };
        context.answer(&report, &said)?;
        if !args.out.json {
            context.say(&keeping::kept_as(&name, archive.path()))?;
        }
        kept.push((photo.to_owned(), finish.fingerprint));
        Ok(Exit::Done)
    })?;
    let answers: Vec<Reading<'_>> = kept
        .iter()
        .map(|(photo, fingerprint)| place::report(photo, fingerprint))
        .collect();
    context.table(&answers, &args.out)?;
    photos.sum_up(&ends, args.out.json, context)
}

/// What a photo is kept as: the name given; of several photos that and the file's own name, so that the order does not
/// matter; and the file's own name alone where none is given.
fn name(photo: &Path, given: Option<&str>, photos: usize) -> String {
    let own = || photo.file_stem().unwrap_or_default().to_string_lossy();
    match given {
        Some(name) if photos == 1 => name.to_owned(),
        Some(name) => format!("{name} {}", own()),
        None => own().into_owned(),
    }
}

/// The pictures of a reading, as they are kept.
pub(super) fn pictures(reading: &pipeline::Reading) -> Result<Pictures> {
    let small = picture::small(&reading.measured.silver, reading.tints.as_ref());
    let tints = reading.tints.as_ref();
    Ok(Pictures {
        silver_map: picture::png(&picture::silver_map(&reading.measured))?,
        thumbnail: picture::small_png(&small)?,
        colour: tints.map(picture::tints_png).transpose()?,
    })
}

/// A reading made ready for the archive, without its planes.
pub(super) struct ToKeep {
    /// What is kept and compared.
    pub(super) fingerprint: Fingerprint,
    pictures: Pictures,
    photo: Option<Vec<u8>>,
}

impl ToKeep {
    pub(super) fn of(reading: pipeline::Reading) -> Result<Self> {
        Ok(ToKeep {
            pictures: pictures(&reading)?,
            fingerprint: reading.fingerprint,
            photo: None,
        })
    }

    /// With the photo's file itself.
    fn with_photo(self, photo: &Path) -> Result<Self> {
        Ok(ToKeep {
            photo: Some(intake::bytes_of(photo, &intake::Limits::default())?),
            ..self
        })
    }

    /// Keeps it under a name.
    pub(super) fn keep(
        &self,
        name: &str,
        kept_at: &str,
        photo_name: &str,
        notes: &str,
        archive: &mut Archive,
    ) -> Result<()> {
        archive.keep(&NewFinish {
            name,
            kept_at,
            photo_name,
            reading: NewReading {
                fingerprint: &self.fingerprint,
                pictures: &self.pictures,
                source: Source::Photo,
            },
            notes,
            photo: self.photo.as_deref(),
        })
    }
}
