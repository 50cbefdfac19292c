//! `remeasure`: read kept finishes again by the present version.

use std::path::Path;

use serde::Deserialize;
use serde_json::Value;

use super::args::{OutArgs, RemeasureArgs};
use super::context::Context;
use super::exit::Exit;
use super::keep::pictures;
use super::pictured;
use crate::archive::{Archive, NewReading, Source};
use crate::error::{Error, Result};
use crate::fingerprint::{Provenance, VERSION};
use crate::measure::Measurements;
use crate::pipeline::{Reading, again};
use crate::report::again::Again;
use crate::report::words::{again as words, keeping};
use crate::settings::Settings;

pub(super) fn run(args: &RemeasureArgs, context: &mut Context) -> Result<Exit> {
    let mut archive = context.archive()?;
    let names = if args.all {
        archive.names()?
    } else {
        args.names.clone()
    };
    if names.is_empty() {
        context.note(&keeping::nothing_kept(archive.path()));
    }
    let mut worst = Exit::Done;
    for (i, name) in names.iter().enumerate() {
        context.progress(i + 1, names.len(), name);
        let done = one(name, args.json, &mut archive, context);
        match done {
            Ok(()) => {}
            Err(error @ Error::Output { .. }) => return Err(error),
            Err(error) => {
                context.complain(&error);
                worst = worst.max(Exit::from(&error));
            }
        }
    }
    Ok(worst)
}

/// What a fingerprint of any version says of how it came about.
#[derive(Deserialize)]
struct Before {
    version: u32,
    settings_digest: String,
    provenance: Provenance,
}

fn one(name: &str, as_json: bool, archive: &mut Archive, context: &mut Context) -> Result<()> {
    let readings = archive.readings(name)?;
    let unreadable = || Error::ReadingUnreadable {
        name: name.to_owned(),
    };
    let last = readings.last().ok_or_else(unreadable)?;
    if !last.is_unchanged() {
        return Err(Error::KeptChanged {
            name: name.to_owned(),
            path: archive.path().to_owned(),
        });
    }
    let before: Before = serde_json::from_str(&last.fingerprint).map_err(|_| unreadable())?;
    let text: Value = serde_json::from_str(&last.fingerprint).map_err(|_| unreadable())?;
    let settings = Settings::default();
    let present = before.version == VERSION && before.settings_digest == settings.digest();
    let first = readings.first().map_or("", |first| first.read_at.as_str());
    let rig = archive.rig_of(&before.provenance, first)?;
    // A photo that was read with a rig is read with that one or not at all.
    let photo = archive.photo(name)?;
    let rig_gone = rig
        .is_none()
        .then_some(&before.provenance.rig)
        .and_then(Option::as_ref);
    let (source, mut read) = match (photo, rig_gone) {
        (Some(photo), None) => {
            let rig = rig.as_ref().map(|(rig, _)| rig);
            let read = again::of_photo(photo, Path::new(name), &before.provenance, rig, &settings)?;
            (Source::Photo, read)
        }
        (photo, rig_gone) => {
            if let (Some(_), Some(rig)) = (photo, rig_gone) {
                context.note(&words::rig_gone(name, rig));
            }
            (Source::Map, of_map(name, &before, archive, &settings)?)
        }
    };
    read.fingerprint.take_on(rig.and_then(|(_, study)| study));
    let fingerprint = &read.fingerprint;
    // Of whatever form of file: what counts is what it says.
    let kept = text.get("measurements").map(Measurements::deserialize);
    let keep = match source {
        Source::Photo => {
            !present || kept.and_then(Result::ok) != Some(fingerprint.measurements.clone())
        }
        Source::Map => !present,
    };
    if keep {
        let pictures = match source {
            Source::Photo => pictures(&read)?,
            Source::Map => archive.pictures(name)?,
        };
        archive.read_again(
            name,
            &Context::now(),
            &NewReading {
                fingerprint,
                pictures: &pictures,
                source,
            },
        )?;
    }
    let again = Again {
        name,
        source,
        before: &text,
        now: fingerprint,
        kept: keep,
    };
    let out = OutArgs {
        json: as_json,
        ..OutArgs::default()
    };
    context.answer(&again, &out)
}

fn of_map(name: &str, before: &Before, archive: &Archive, settings: &Settings) -> Result<Reading> {
    let kept = archive.pictures(name)?;
    let silver = pictured::opened(&kept.silver_map, name)?;
    let tints = pictured::tints(kept.colour.as_deref(), name)?;
    let (rows, cols) = silver.dim();
    if !before.provenance.fits_map(cols, rows) {
        return Err(Error::MapUnreadable {
            name: name.to_owned(),
        });
    }
    Ok(again::of_map(silver, tints, &before.provenance, settings))
}
