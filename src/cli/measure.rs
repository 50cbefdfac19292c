//! `measure`: a reading of each photo.

use std::path::Path;

use super::args::MeasureArgs;
use super::context::Context;
use super::exit::Exit;
use super::place::{self, KnownRig};
use super::several::{Heard, several};
use crate::error::{Error, Result};
use crate::report::{json, text};

pub(super) fn run(args: &MeasureArgs, context: &mut Context) -> Result<Exit> {
    if args.photos.len() > 1 && args.picture.is_some() {
        return Err(Error::OnePicture);
    }
    let rig = place::rig(&args.read, context)?;
    let mut worst = Exit::Done;
    let hear = |heard: Heard<Result<String>>| match heard {
        Heard::Begun(i) => {
            context.progress(i + 1, args.photos.len(), &place::shown(&args.photos[i]));
            Ok(())
        }
        Heard::Done(Ok(said)) => context.say(&said),
        Heard::Done(Err(error)) => {
            context.complain(&error);
            worst = worst.max(Exit::from(&error));
            Ok(())
        }
    };
    several(&args.photos, |photo| one(photo, args, rig.as_ref()), hear)?;
    Ok(worst)
}

/// What is said of one photo.
fn one(photo: &Path, args: &MeasureArgs, rig: Option<&KnownRig>) -> Result<String> {
    let reading = place::read_with(photo, &args.read, rig)?;
    place::draw(&reading, args.picture.as_deref())?;
    Ok(if args.json {
        json::reading(&photo.to_string_lossy(), &reading.fingerprint).to_string()
    } else {
        text::reading(&place::shown(photo), &reading.fingerprint)
    })
}
