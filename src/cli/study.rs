//! `rig study`: how far readings of one and the same panel lie apart in a rig.

use super::args::{ReadArgs, RigStudyArgs};
use super::context::Context;
use super::exit::Exit;
use super::place;
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
    let all = args.panels.0.iter().map(Vec::len).sum();
    let mut number = 0;
    let mut panels = Vec::new();
    for photos in &args.panels.0 {
        let mut panel = Vec::new();
        for photo in photos {
            let name = place::shown(photo);
            number += 1;
            context.progress(number, all, &name);
            panel.push((
                name,
                place::read_fit(photo, &how, rig.as_ref())?.fingerprint,
            ));
        }
        panels.push(panel);
    }
    Ok(panels)
}

fn sides(photos: &[Named]) -> Vec<Side<'_>> {
    photos
        .iter()
        .map(|(name, fingerprint)| Side { name, fingerprint })
        .collect()
}
