//! A panel's silver, held for the sheets that show it: of a photo that was read, or of a finish that is kept.

use image::RgbImage;

use crate::archive::{Archive, Finish};
use crate::error::{Error, Result};
use crate::frame::Plane;
use crate::frame::panel::Tints;
use crate::measure::speckle::Speckle;
use crate::normalize::KeptSilver;
use crate::pipeline::Reading;
use crate::report::page::Silver;
use crate::report::picture;
use crate::units::SizeMm;

/// A silver level with its colour and resolution, and the specks where the photo itself was read.
pub(super) struct Pictured {
    plane: Plane,
    tints: Option<Tints>,
    px_per_mm: f64,
    speckles: Option<Vec<Speckle>>,
}

impl Pictured {
    /// Of a photo.
    pub(super) fn of(reading: Reading) -> Self {
        Pictured {
            px_per_mm: reading.fingerprint.provenance.px_per_mm,
            plane: reading.measured.silver,
            tints: reading.tints,
            speckles: Some(reading.measured.speckles),
        }
    }

    /// Of a kept finish.
    pub(super) fn of_kept(finish: &Finish, archive: &Archive) -> Result<Self> {
        let kept = archive.pictures(&finish.name)?;
        Ok(Pictured {
            plane: opened(&kept.silver_map, &finish.name)?,
            tints: tints(kept.colour.as_deref(), &finish.name)?,
            px_per_mm: finish.fingerprint.provenance.px_per_mm,
            speckles: None,
        })
    }

    /// As the reference for a photo in which a sample of this size lies.
    pub(super) fn kept(&self, size: SizeMm) -> KeptSilver<'_> {
        KeptSilver {
            silver: &self.plane,
            tints: self.tints.as_ref(),
            px_per_mm: self.px_per_mm,
            size,
        }
    }

    pub(super) fn silver(&self) -> Silver<'_> {
        Silver {
            plane: &self.plane,
            tints: self.tints.as_ref(),
            px_per_mm: self.px_per_mm,
            speckles: self.speckles.as_deref(),
        }
    }

    /// It in colour, small.
    pub(super) fn small(&self) -> RgbImage {
        picture::small(&self.plane, self.tints.as_ref())
    }
}

/// The small picture of a kept finish.
pub(super) fn small(finish: &Finish, archive: &Archive) -> Result<RgbImage> {
    small_named(&finish.name, archive)
}

/// The same by its name, of whatever version its reading is.
pub(super) fn small_named(finish: &str, archive: &Archive) -> Result<RgbImage> {
    let small = archive.pictures(finish)?.thumbnail;
    picture::small_of(&small).map_err(|_| unreadable(finish))
}

/// The silver map that was kept of a finish.
pub(super) fn opened(png: &[u8], finish: &str) -> Result<Plane> {
    picture::silver_of(png).map_err(|_| unreadable(finish))
}

/// Its colour, where that was kept.
pub(super) fn tints(png: Option<&[u8]>, finish: &str) -> Result<Option<Tints>> {
    let opened = png.map(picture::tints_of).transpose();
    opened.map_err(|_| unreadable(finish))
}

fn unreadable(finish: &str) -> Error {
    Error::MapUnreadable {
        name: finish.to_owned(),
    }
}
