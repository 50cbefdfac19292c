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
use crate::frame::placement::Sighting;
use crate::pipeline::Sighted;
use crate::report::check;

/// What became of a photo: a reading to judge it by, or the reason why nothing of it can be judged.
enum Seen {
    Read(Box<Fingerprint>),
    /// Its size is not known.
    Sighted(Box<Sighted>),
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
            let seen = Sighting::from(&reading.fingerprint.provenance.placement);
            place::draw_on(photo, &seen, args.picture.as_deref())?;
            Ok(Seen::Read(Box::new(reading.fingerprint)))
        }
        Err(Error::PlacementMissing { .. }) => sight(photo, args).or_else(Seen::of),
        Err(error) => Seen::of(error),
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
        Seen::Sighted(_) | Seen::Refused(_) => None,
    }));
    for (photo, seen) in &looked_at {
        context.say(&seen.answer(photo, args.json))?;
    }
    photos.sum_up(&ends, args.json, context)
}

fn sight(photo: &Path, args: &CheckArgs) -> Result<Seen> {
    let sighted = place::sight(photo, &args.place, args.write_place)?;
    place::draw_on(photo, &sighted.seen, args.picture.as_deref())?;
    Ok(Seen::Sighted(Box::new(sighted)))
}

impl Seen {
    /// No panel in the picture is an answer too.
    fn of(error: Error) -> Result<Seen> {
        match error.kind() {
            Kind::PictureNotUsable => Ok(Seen::Refused(error)),
            _ => Err(error),
        }
    }

    fn is_fit(&self) -> bool {
        match self {
            Seen::Read(fingerprint) => !fingerprint.provenance.flags.blocks(),
            Seen::Sighted(sighted) => !sighted.flags.blocks(),
            Seen::Refused(_) => false,
        }
    }

    fn answer(&self, photo: &Path, as_json: bool) -> String {
        let (path, name) = (photo.to_string_lossy(), place::shown(photo));
        match (self, as_json) {
            (Seen::Read(seen), true) => check::json(&path, &seen.provenance).to_string(),
            (Seen::Read(seen), false) => check::text(&name, &seen.provenance),
            (Seen::Sighted(s), true) => check::sighted_json(&path, &s.seen, &s.flags).to_string(),
            (Seen::Sighted(s), false) => check::sighted_text(&name, &s.seen, &s.flags),
            (Seen::Refused(error), true) => check::refused_json(&path, error).to_string(),
            (Seen::Refused(error), false) => check::refused_text(&name, error),
        }
    }
}
