//! A panel as a command names it: a kept finish by its name, anything else a photo.

use std::path::Path;

use super::args::ReadArgs;
use super::photos::spare;
use super::pictured::Pictured;
use super::place::{self, KnownRig};
use crate::archive::{Archive, Finish};
use crate::compare::Side;
use crate::error::{Error, Result};
use crate::fingerprint::Fingerprint;
use crate::pipeline::Reading;

/// Where a panel is to be had.
pub(super) enum Source {
    /// It is kept.
    Kept(Box<Finish>),
    /// It is to be read.
    Photo,
}

/// Where the panel of a name is to be had. A file of that name goes before a finish.
///
/// # Errors
/// There is neither; the archive cannot be read.
pub(super) fn source(named: &str, archive: &Archive) -> Result<Source> {
    let photo = Path::new(named);
    match archive.finish(named)? {
        Some(finish) if !photo.is_file() => Ok(Source::Kept(Box::new(finish))),
        None if !photo.exists() => Err(Error::NoSuchPanel {
            name: named.to_owned(),
            path: archive.path().to_owned(),
        }),
        _ => Ok(Source::Photo),
    }
}

/// A panel with the name it goes by.
pub(super) struct Panel {
    pub(super) name: String,
    pub(super) fingerprint: Fingerprint,
    /// It is kept under that name.
    pub(super) kept: bool,
    /// Its silver, where a sheet is to show it.
    pub(super) pictured: Option<Pictured>,
}

/// What is to be drawn of a panel.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct ToDraw<'a> {
    /// What was counted, as a picture of its own.
    pub(super) picture: Option<&'a Path>,
    /// A sheet is to show it.
    pub(super) sheet: bool,
}

/// The panel of a name; a photo is read, and drawn where a picture was asked for.
pub(super) fn panel(
    named: &str,
    read: &ReadArgs,
    rig: Option<&KnownRig>,
    draw: ToDraw<'_>,
    archive: &Archive,
) -> Result<Panel> {
    match source(named, archive)? {
        Source::Kept(finish) if draw.picture.is_some() => {
            Err(Error::NothingToDraw { name: finish.name })
        }
        Source::Kept(finish) => Ok(Panel {
            pictured: draw
                .sheet
                .then(|| Pictured::of_kept(&finish, archive))
                .transpose()?,
            name: finish.name,
            fingerprint: finish.fingerprint,
            kept: true,
        }),
        Source::Photo => {
            // A drawing must not take the place of the photo it is drawn from.
            spare(draw.picture.into_iter(), [Path::new(named)].into_iter())?;
            let reading = place::read_fit(Path::new(named), read, rig)?;
            of(Path::new(named), reading, draw)
        }
    }
}

/// The panel of a photo that was read.
pub(super) fn of(photo: &Path, reading: Reading, draw: ToDraw<'_>) -> Result<Panel> {
    place::draw(&reading, draw.picture)?;
    Ok(Panel {
        name: place::shown(photo),
        fingerprint: reading.fingerprint.clone(),
        kept: false,
        pictured: draw.sheet.then(|| Pictured::of(reading)),
    })
}

impl Panel {
    pub(super) fn side(&self) -> Side<'_> {
        Side {
            name: &self.name,
            fingerprint: &self.fingerprint,
        }
    }
}
