//! `check`: is this picture good enough to judge by, and what to mend first?

use std::path::Path;

use super::args::CheckArgs;
use super::context::Context;
use super::exit::Exit;
use super::photos::Photos;
use super::place;
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
    let ends = photos.each(context, look, |photo, seen, context| {
        let (said, fit) = match &seen {
            Seen::Read(fingerprint) => (
                answer(photo, fingerprint, args.json),
                !fingerprint.provenance.flags.blocks(),
            ),
            Seen::Refused(error) => (refusal(photo, error, args.json), false),
        };
        context.say(&said)?;
        Ok(if fit {
            Exit::Done
        } else {
            Exit::PictureNotUsable
        })
    })?;
    photos.sum_up(&ends, args.json, context)
}

fn answer(photo: &Path, fingerprint: &Fingerprint, as_json: bool) -> String {
    if as_json {
        check::json(&photo.to_string_lossy(), &fingerprint.provenance).to_string()
    } else {
        check::text(&place::shown(photo), &fingerprint.provenance)
    }
}

fn refusal(photo: &Path, error: &Error, as_json: bool) -> String {
    if as_json {
        check::refused_json(&photo.to_string_lossy(), error).to_string()
    } else {
        check::refused_text(&place::shown(photo), error)
    }
}
