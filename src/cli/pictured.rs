//! A panel's silver, held for the sheets that show it: of a photo that was read, or of a finish that is kept.

use crate::archive::{Archive, Finish};
use crate::error::{Error, Result};
use crate::frame::Plane;
use crate::measure::speckle::Speckle;
use crate::pipeline::Reading;
use crate::report::page::Silver;
use crate::report::picture;

/// A silver level with its resolution, and the specks where the photo itself was read.
pub(super) struct Pictured {
    plane: Plane,
    px_per_mm: f64,
    speckles: Option<Vec<Speckle>>,
}

impl Pictured {
    /// Of a photo.
    pub(super) fn of(reading: Reading) -> Self {
        Pictured {
            px_per_mm: reading.fingerprint.provenance.px_per_mm,
            plane: reading.measured.silver,
            speckles: Some(reading.measured.speckles),
        }
    }

    /// Of a kept finish.
    pub(super) fn of_kept(finish: &Finish, archive: &Archive) -> Result<Self> {
        Ok(Pictured {
            plane: opened(&archive.pictures(finish)?.0, &finish.name)?,
            px_per_mm: finish.fingerprint.provenance.px_per_mm,
            speckles: None,
        })
    }

    pub(super) fn silver(&self) -> Silver<'_> {
        Silver {
            plane: &self.plane,
            px_per_mm: self.px_per_mm,
            speckles: self.speckles.as_deref(),
        }
    }

    pub(super) fn plane(&self) -> &Plane {
        &self.plane
    }
}

/// The small picture of a kept finish.
pub(super) fn small(finish: &Finish, archive: &Archive) -> Result<Plane> {
    small_named(&finish.name, archive)
}

/// The same by its name, of whatever version its reading is.
pub(super) fn small_named(finish: &str, archive: &Archive) -> Result<Plane> {
    opened(&archive.pictures_of(finish)?.1, finish)
}

/// A picture that was kept of a finish.
pub(super) fn opened(png: &[u8], finish: &str) -> Result<Plane> {
    picture::silver_of(png).map_err(|_| Error::MapUnreadable {
        name: finish.to_owned(),
    })
}
