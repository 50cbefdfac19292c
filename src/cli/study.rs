//! `rig study`: how far readings of one and the same panel lie apart in a rig.

use std::path::PathBuf;

use super::args::{ReadArgs, RigStudyArgs};
use super::context::Context;
use super::exit::Exit;
use super::place;
use super::several::{Heard, several};
use crate::compare::{Side, study};
use crate::error::Result;
use crate::fingerprint::Fingerprint;
use crate::report;

/// A reading with the photo's file name.
type Named = (String, Fingerprint);

pub(super) fn run(args: &RigStudyArgs, context: &mut Context) -> Result<Exit> {
    // A rig that is not there is said before an hour of photos is read.
    context.archive()?.rig(&args.name)?;
    let panels = read(args, context)?;
    let sides: Vec<Vec<Side<'_>>> = panels.iter().map(|of_one| sides(of_one)).collect();
    let found = study(&sides)?;
    let mut archive = context.archive()?;
    archive.store_study(&args.name, &found.repeatability, &Context::now())?;
    if args.json {
        context.say(&report::study::json(&args.name, &found).to_string())?;
    } else {
        context.say(&report::study::text(&args.name, &found))?;
        context.say(&format!("Kept in {}", archive.path().display()))?;
    }
    Ok(Exit::Done)
}

fn read(args: &RigStudyArgs, context: &mut Context) -> Result<Vec<Vec<Named>>> {
    // A picture that cannot be judged by would pass for the rig's own scatter: nothing goes on anyway here.
    let how = ReadArgs {
        place: args.place.clone(),
        ..ReadArgs::default()
    };
    let rig = place::rig(Some(&args.name), context)?;
    let all = args.panels.0.iter().enumerate();
    let photos: Vec<(usize, &PathBuf)> = all
        .flat_map(|(panel, photos)| photos.iter().map(move |photo| (panel, photo)))
        .collect();
    let mut panels = vec![Vec::new(); args.panels.0.len()];
    let mut heard_of = photos.iter();
    several(
        &photos,
        |(_, photo)| place::read_fit(photo, &how, rig.as_ref()).map(|r| r.fingerprint),
        |heard| {
            match heard {
                Heard::Begun(i) => {
                    context.progress(i + 1, photos.len(), &place::shown(photos[i].1));
                }
                Heard::Done(fingerprint) => {
                    if let Some((panel, photo)) = heard_of.next() {
                        panels[*panel].push((place::shown(photo), fingerprint?));
                    }
                }
            }
            Ok(())
        },
    )?;
    Ok(panels)
}

fn sides(photos: &[Named]) -> Vec<Side<'_>> {
    photos
        .iter()
        .map(|(name, fingerprint)| Side { name, fingerprint })
        .collect()
}
