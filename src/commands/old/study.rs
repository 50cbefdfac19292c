//! `rig study`: how far readings of one and the same panel lie apart in a rig.

use std::path::PathBuf;

use super::args::{ReadArgs, RigStudyArgs};
use super::context::Context;
use super::exit::Exit;
use super::place;
use super::several::{Heard, several};
use super::whole_file::write_whole;
use crate::compare::study::Session;
use crate::compare::{Side, study};
use crate::error::Result;
use crate::fingerprint::Fingerprint;
use crate::words::keeping;
use crate::report::{Studied, page};

/// A reading with the photo's file name.
type Named = (String, Fingerprint);

pub(super) fn run(args: &RigStudyArgs, context: &mut Context) -> Result<Exit> {
    // A rig that is not there is said before an hour of photos is read.
    context.archive()?.rig(&args.name)?;
    let read = read(args, context)?;
    let named = args.sessions.0.iter().zip(&read);
    let sessions: Vec<Session<'_>> = named
        .map(|(session, panels)| Session {
            name: &session.name,
            panels: panels.iter().map(|of_one| sides(of_one)).collect(),
        })
        .collect();
    let found = study(&sessions)?;
    let mut archive = context.archive()?;
    archive.store_study(&args.name, &found.repeatability, &Context::now())?;
    let report = Studied {
        rig: &args.name,
        study: &found,
    };
    if let Some(file) = &args.out.page {
        write_whole(file, page::study(&report).as_bytes())?;
    }
    context.answer(&report, &args.out)?;
    if !args.out.json {
        context.say(&keeping::kept_in(archive.path()))?;
    }
    Ok(Exit::Done)
}

/// Every reading, by session and panel.
fn read(args: &RigStudyArgs, context: &mut Context) -> Result<Vec<Vec<Vec<Named>>>> {
    // A picture that cannot be judged by would pass for the rig's own scatter: nothing goes on anyway here.
    let how = ReadArgs {
        place: args.place.clone(),
        ..ReadArgs::default()
    };
    let rig = place::rig(Some(&args.name), context)?;
    let sessions = &args.sessions.0;
    let photos: Vec<&PathBuf> = sessions
        .iter()
        .flat_map(|s| s.panels.iter().flatten())
        .collect();
    let mut readings = Vec::new();
    several(
        &photos,
        |photo| place::read_fit(photo, &how, rig.as_ref()).map(|r| r.fingerprint),
        |heard| {
            match heard {
                Heard::Begun(i) => context.progress(i + 1, photos.len(), &place::shown(photos[i])),
                Heard::Done(fingerprint) => {
                    readings.push((place::shown(photos[readings.len()]), fingerprint?));
                }
            }
            Ok(())
        },
    )?;
    let mut next = readings.into_iter();
    let of_panel = |photos: &Vec<PathBuf>, next: &mut dyn Iterator<Item = Named>| {
        next.take(photos.len()).collect()
    };
    Ok(sessions
        .iter()
        .map(|s| {
            s.panels
                .iter()
                .map(|photos| of_panel(photos, &mut next))
                .collect()
        })
        .collect())
}

fn sides(photos: &[Named]) -> Vec<Side<'_>> {
    photos
        .iter()
        .map(|(name, fingerprint)| Side { name, fingerprint })
        .collect()
}
