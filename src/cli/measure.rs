//! `measure`: a reading of each photo.

use super::args::MeasureArgs;
use super::context::Context;
use super::exit::Exit;
use super::place;
use crate::error::{Error, Result};
use crate::report::{json, text};

pub(super) fn run(args: &MeasureArgs, context: &mut Context) -> Result<Exit> {
    if args.photos.len() > 1 && args.picture.is_some() {
        return Err(Error::OnePicture);
    }
    let mut worst = Exit::Done;
    for (i, photo) in args.photos.iter().enumerate() {
        context.progress(i + 1, args.photos.len(), &place::shown(photo));
        match one(photo, args, context) {
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

fn one(photo: &std::path::Path, args: &MeasureArgs, context: &mut Context) -> Result<()> {
    let reading = place::read(photo, &args.read, context)?;
    place::draw(&reading, args.picture.as_deref())?;
    let shown = if args.json {
        json::reading(&photo.to_string_lossy(), &reading.fingerprint).to_string()
    } else {
        text::reading(&place::shown(photo), &reading.fingerprint)
    };
    context.say(&shown)
}
