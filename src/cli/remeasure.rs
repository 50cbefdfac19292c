//! `remeasure`: read kept finishes again by the present version.

use std::path::Path;

use serde_json::Value;

use super::args::{OutArgs, RemeasureArgs};
use super::context::Context;
use super::exit::Exit;
use crate::archive::{Archive, KeptReading, NewReading, Source};
use crate::error::{Error, Result};
use crate::fingerprint::{Provenance, VERSION};
use crate::pipeline::{Reading, again};
use crate::report::again::Again;
use crate::report::picture;
use crate::settings::Settings;

pub(super) fn run(args: &RemeasureArgs, context: &mut Context) -> Result<Exit> {
    let mut archive = context.archive()?;
    let names = if args.all {
        archive.names()?
    } else {
        args.names.clone()
    };
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
#[derive(serde::Deserialize)]
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
    let (source, read) = match archive.photo(name)? {
        Some(photo) => (
            Source::Photo,
            of_photo(name, photo, &before, &readings, archive, &settings)?,
        ),
        None => (Source::Map, of_map(name, &before, archive, &settings)?),
    };
    let Reading {
        mut fingerprint,
        measured,
    } = read;
    if let Some(rig) = &before.provenance.rig {
        fingerprint.take_on(archive.study(rig)?);
    }
    let measurements = serde_json::to_value(&fingerprint.measurements).unwrap_or_default();
    let keep = match source {
        Source::Photo => !present || Some(&measurements) != text.get("measurements"),
        Source::Map => !present,
    };
    if keep {
        let (silver_map, small) = match source {
            Source::Photo => (
                picture::png(&picture::silver_map(&measured))?,
                picture::png(&picture::small(&measured))?,
            ),
            Source::Map => archive.pictures_of(name)?,
        };
        archive.read_again(
            name,
            &Context::now(),
            &NewReading {
                fingerprint: &fingerprint,
                silver_map: &silver_map,
                picture: &small,
                source,
            },
        )?;
    }
    let again = Again {
        name,
        source,
        before: &text,
        now: &fingerprint,
        kept: keep,
    };
    let out = OutArgs {
        json: as_json,
        ..OutArgs::default()
    };
    context.answer(&again, &out)
}

/// From the photo, by the rig it was read with; a rig made anew since then is another corner.
fn of_photo(
    name: &str,
    photo: Vec<u8>,
    before: &Before,
    readings: &[KeptReading],
    archive: &Archive,
    settings: &Settings,
) -> Result<Reading> {
    let rig = match &before.provenance.rig {
        None => None,
        Some(rig) => {
            let made_anew = archive.rigs()?.into_iter().any(|kept| {
                kept.name == *rig && readings.first().is_some_and(|r| r.read_at < kept.made_at)
            });
            if made_anew {
                return Err(Error::RigMadeAnew {
                    name: name.to_owned(),
                    rig: rig.clone(),
                });
            }
            Some(archive.rig(rig)?)
        }
    };
    again::of_photo(
        photo,
        Path::new(name),
        &before.provenance,
        rig.as_ref(),
        settings,
    )
}

fn of_map(name: &str, before: &Before, archive: &Archive, settings: &Settings) -> Result<Reading> {
    let (map, _) = archive.pictures_of(name)?;
    let silver = picture::silver_of(&map).map_err(|_| Error::MapUnreadable {
        name: name.to_owned(),
    })?;
    Ok(again::of_map(silver, &before.provenance, settings))
}
