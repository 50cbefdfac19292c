//! `check`: is this picture good enough to judge by, and what to mend first?

use std::path::Path;

use super::args::CheckArgs;
use super::context::Context;
use super::exit::Exit;
use super::photos::Photos;
use super::place;
use super::session;
use crate::error::{Error, Kind, Result};
use crate::fingerprint::Fingerprint;
use crate::report::check;

/// What became of a photo: a reading to judge it by, or the reason why nothing of it can be judged.
enum Seen {
    Read(Box<Fingerprint>),
    Refused(Error),
}

pub(super) fn run(args: &CheckArgs, context: &mut Context) -> Result<Exit> {
    let photos = Photos::of(&args.photos)?;
    if photos.len() > 1 && args.picture.is_some() {
        return Err(Error::OnePicture);
    }
    let rig = place::rig(args.rig.as_deref(), context)?;
    let look = |photo: &Path| match place::read(photo, &args.place, rig.as_ref()) {
        Ok(reading) => {
            place::write(photo, &reading, args.write_place)?;
            Ok(Seen::Read(Box::new(reading.fingerprint)))
        }
        // No panel in the picture is an answer too.
        Err(error) if error.kind() == Kind::PictureNotUsable => Ok(Seen::Refused(error)),
        Err(error) => Err(error),
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
        Seen::Refused(_) => None,
    }));
    for (photo, seen) in &looked_at {
        context.say(&seen.answer(photo, args.json))?;
    }
    photos.sum_up(&ends, args.json, context)
}

impl Seen {
    fn is_fit(&self) -> bool {
        match self {
            Seen::Read(fingerprint) => !fingerprint.provenance.flags.blocks(),
            Seen::Refused(_) => false,
        }
    }

    fn answer(&self, photo: &Path, as_json: bool) -> String {
        let (path, name) = (photo.to_string_lossy(), place::shown(photo));
        match (self, as_json) {
            (Seen::Read(seen), true) => check::json(&path, &seen.provenance).to_string(),
            (Seen::Read(seen), false) => check::text(&name, &seen.provenance),
            (Seen::Refused(error), true) => check::refused_json(&path, error).to_string(),
            (Seen::Refused(error), false) => check::refused_text(&name, error),
        }
    }
}
