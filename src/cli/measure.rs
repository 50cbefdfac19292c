//! `measure`: a reading of each photo.

use std::path::Path;

use super::args::MeasureArgs;
use super::context::Context;
use super::exit::Exit;
use super::photos::Photos;
use super::place;
use super::session;
use crate::error::{Error, Result};
use crate::report::{json, text};

pub(super) fn run(args: &MeasureArgs, context: &mut Context) -> Result<Exit> {
    let photos = Photos::of(&args.photos)?;
    if photos.len() > 1 && args.picture.is_some() {
        return Err(Error::OnePicture);
    }
    let rig = place::rig(args.read.rig.as_deref(), context)?;
    let read = |photo: &Path| {
        let reading = place::read_fit(photo, &args.read, rig.as_ref())?;
        place::draw(&reading, args.picture.as_deref())?;
        Ok(reading.fingerprint)
    };
    let mut readings = Vec::new();
    let ends = photos.each(context, read, |photo, fingerprint, _| {
        readings.push((photo.to_owned(), fingerprint));
        Ok(Exit::Done)
    })?;
    session::judge(readings.iter_mut().map(|(_, fingerprint)| fingerprint));
    for (photo, fingerprint) in &readings {
        context.say(&if args.json {
            json::reading(&photo.to_string_lossy(), fingerprint).to_string()
        } else {
            text::reading(&place::shown(photo), fingerprint)
        })?;
    }
    photos.sum_up(&ends, args.json, context)
}
