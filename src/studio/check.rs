//! Whether a picture is good enough to judge by.

use std::path::Path;

use super::reading::Reader;
use super::session;
use crate::error::{Error, Kind, Result};
use crate::fingerprint::Fingerprint;
use crate::frame::placement::Sighting;
use crate::pipeline::Sighted;
use crate::quality::FlagSet;

/// What was seen of a photo.
pub enum Checked {
    /// Enough to judge it by.
    Read(Box<Fingerprint>),
    /// Where the panel lies; its size is not known, so that much could not be judged.
    Sighted(Box<Sighted>),
    /// Nothing in it can be judged.
    Refused(Error),
}

impl Checked {
    /// What is weak about the photo, where anything could be judged.
    #[must_use]
    pub fn flags(&self) -> Option<&FlagSet> {
        match self {
            Checked::Read(fingerprint) => Some(&fingerprint.provenance.flags),
            Checked::Sighted(sighted) => Some(&sighted.flags),
            Checked::Refused(_) => None,
        }
    }

    /// Where the panel and the patches lie.
    #[must_use]
    pub fn sighting(&self) -> Option<Sighting> {
        match self {
            Checked::Read(fingerprint) => Some(Sighting::from(&fingerprint.provenance.placement)),
            Checked::Sighted(sighted) => Some(sighted.seen.clone()),
            Checked::Refused(_) => None,
        }
    }

    /// Whether it can be judged by; `None` where nothing forbids it and nobody can say.
    #[must_use]
    pub fn fit(&self) -> Option<bool> {
        match self {
            Checked::Read(fingerprint) => Some(!fingerprint.provenance.flags.blocks()),
            Checked::Sighted(sighted) => sighted.flags.blocks().then_some(false),
            Checked::Refused(_) => Some(false),
        }
    }
}

/// Looks at a photo. No panel in it is an answer too.
///
/// # Errors
/// The photo cannot be read at all, or its placement not be written.
pub fn look(photo: &Path, reader: &Reader) -> Result<Checked> {
    let seen = match reader.read(photo) {
        Ok(reading) => Ok(Checked::Read(Box::new(reading.fingerprint))),
        Err(Error::PlacementMissing { .. }) => {
            let sighted = reader.sight(photo);
            sighted.map(|sighted| Checked::Sighted(Box::new(sighted)))
        }
        Err(error) => Err(error),
    };
    seen.or_else(|error| match error.kind() {
        Kind::PictureNotUsable => Ok(Checked::Refused(error)),
        Kind::CouldNotRun => Err(error),
    })
}

/// Raises on each what is weak about it among the others.
pub fn judge<'a>(seen: impl IntoIterator<Item = &'a mut Checked>) {
    let readings = seen.into_iter().filter_map(|seen| match seen {
        Checked::Read(fingerprint) => Some(&mut **fingerprint),
        Checked::Sighted(_) | Checked::Refused(_) => None,
    });
    session::judge(readings);
}
