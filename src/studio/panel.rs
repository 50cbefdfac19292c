//! A panel as a studio names it: a kept finish by its name, anything else a photo.

use std::path::{Path, PathBuf};

use super::reading::{self, Reader};
use crate::archive::{Archive, Finish};
use crate::compare::Side;
use crate::error::{Error, Result};
use crate::fingerprint::Fingerprint;
use crate::pipeline::Reading;
use crate::silver::Silver;
use crate::words::file_name;

/// Where a panel is to be had.
pub enum PanelSource {
    /// It is kept.
    Kept(Box<Finish>),
    /// It is to be read.
    Photo(PathBuf),
}

impl PanelSource {
    /// Where the panel of a name is to be had. A file of that name goes before a finish.
    ///
    /// # Errors
    /// There is neither; the archive cannot be read.
    pub fn named(named: &str, archive: &Archive) -> Result<Self> {
        let photo = Path::new(named);
        match archive.finish(named)? {
            Some(finish) if !photo.is_file() => Ok(PanelSource::Kept(Box::new(finish))),
            None if !photo.exists() => Err(Error::NoSuchPanel {
                name: named.to_owned(),
                near: archive.near_finishes(named),
                path: archive.path().to_owned(),
            }),
            _ => Ok(PanelSource::Photo(photo.to_owned())),
        }
    }

    /// The photo, where it is one.
    #[must_use]
    pub fn photo(&self) -> Option<&Path> {
        match self {
            PanelSource::Photo(photo) => Some(photo),
            PanelSource::Kept(_) => None,
        }
    }

    /// The panel; a photo is read.
    ///
    /// # Errors
    /// As for [`Reader::read_fit`].
    pub fn panel(self, reader: &Reader) -> Result<Panel> {
        Ok(match self {
            PanelSource::Kept(finish) => Panel::kept(*finish),
            PanelSource::Photo(photo) => Panel::read(&photo, reader.read_fit(&photo)?),
        })
    }
}

/// A panel with the name it goes by.
pub struct Panel {
    /// Its name, or its photo's.
    pub name: String,
    /// What was read.
    pub fingerprint: Fingerprint,
    from: From,
}

enum From {
    Kept(Box<Finish>),
    Read(Box<Reading>),
}

impl Panel {
    /// A kept finish.
    #[must_use]
    pub fn kept(finish: Finish) -> Self {
        Panel {
            name: finish.name.clone(),
            fingerprint: finish.fingerprint.clone(),
            from: From::Kept(Box::new(finish)),
        }
    }

    /// The panel of a photo that was read.
    #[must_use]
    pub fn read(photo: &Path, reading: Reading) -> Self {
        Panel {
            name: file_name(photo),
            fingerprint: reading.fingerprint.clone(),
            from: From::Read(Box::new(reading)),
        }
    }

    /// It is kept under its name.
    #[must_use]
    pub fn is_kept(&self) -> bool {
        matches!(self.from, From::Kept(_))
    }

    /// The reading, where a photo was read.
    #[must_use]
    pub fn reading(&self) -> Option<&Reading> {
        match &self.from {
            From::Read(reading) => Some(reading),
            From::Kept(_) => None,
        }
    }

    /// The same, given up by the panel.
    #[must_use]
    pub fn into_reading(self) -> Option<Reading> {
        match self.from {
            From::Read(reading) => Some(*reading),
            From::Kept(_) => None,
        }
    }

    /// Its silver.
    ///
    /// # Errors
    /// What was kept of it is damaged.
    pub fn silver(&self, archive: &Archive) -> Result<Silver> {
        match &self.from {
            From::Kept(finish) => reading::silver_kept(finish, archive),
            From::Read(read) => Ok(reading::silver_read(read)),
        }
    }

    /// As one side of a comparison.
    #[must_use]
    pub fn side(&self) -> Side<'_> {
        Side {
            name: &self.name,
            fingerprint: &self.fingerprint,
        }
    }
}
