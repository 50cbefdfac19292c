//! A photo read as a studio reads it: by its placement and its rig, and refused where it cannot be judged by.

use std::path::Path;

use crate::archive::{Archive, Finish, Pictures};
use crate::compare::lie::{self, Lie};
use crate::error::{Error, Result};
use crate::fingerprint::Repeatability;
use crate::frame::Plane;
use crate::frame::panel::Tints;
use crate::normalize::{KeptSilver, Rig};
use crate::pipeline::beside::Beside;
use crate::pipeline::{self, Reading, Sighted};
use crate::placement::{Given, Sidecar};
use crate::settings::Settings;
use crate::silver::{self, Silver};

/// How photos are to be read.
#[derive(Debug, Clone, Default)]
pub struct How {
    /// What is said of where things lie; what is not said is taken from the placement file beside a photo.
    pub given: Given,
    /// Name of the rig they were taken in.
    pub rig: Option<String>,
    /// Go on with a picture that cannot be judged by.
    pub anyway: bool,
    /// Write where things lie beside each photo, where that is not written yet.
    pub write_place: bool,
}

/// Reads photos in one way, its rig at hand.
pub struct Reader {
    how: How,
    rig: Option<(Rig, Option<Repeatability>)>,
}

impl Reader {
    /// A reader whose rig is taken from the archive.
    ///
    /// # Errors
    /// There is no rig of that name, or it is damaged.
    pub fn new(how: &How, archive: &Archive) -> Result<Self> {
        let rig = how.rig.as_deref();
        let known = rig.map(|name| Ok((archive.rig(name)?, archive.study(name)?)));
        Ok(Reader {
            how: how.clone(),
            rig: known.transpose()?,
        })
    }

    /// The same, and no archive is opened where no rig is named.
    ///
    /// # Errors
    /// As for [`Reader::new`], or the archive cannot be opened.
    pub fn open(how: &How, archive: impl FnOnce() -> Result<Archive>) -> Result<Self> {
        match how.rig {
            Some(_) => Reader::new(how, &archive()?),
            None => Ok(Reader {
                how: how.clone(),
                rig: None,
            }),
        }
    }

    /// The same rig, with other things said of the photos.
    #[must_use]
    pub fn with(&self, given: Given) -> Reader {
        Reader {
            how: How {
                given,
                write_place: false,
                ..self.how.clone()
            },
            rig: self.rig.clone(),
        }
    }

    /// No rig is at hand.
    #[must_use]
    pub fn has_no_rig(&self) -> bool {
        self.rig.is_none()
    }

    /// Reads a photo, whether it can be judged by or not.
    ///
    /// # Errors
    /// As for [`pipeline::read`], or the placement cannot be written.
    pub fn read(&self, photo: &Path) -> Result<Reading> {
        let rig = self.rig.as_ref();
        let given = self.how.given.clone();
        let settings = Settings::default();
        let mut reading = pipeline::read(photo, given, rig.map(|(rig, _)| rig), &settings)?;
        let study = rig.and_then(|(_, study)| study.clone());
        reading.fingerprint.take_on(study);
        self.write_place(photo, &reading)?;
        Ok(reading)
    }

    /// Reads a photo that is to be judged by.
    ///
    /// # Errors
    /// As for [`Reader::read`], or the picture cannot be judged by and the maker does not go on anyway.
    pub fn read_fit(&self, photo: &Path) -> Result<Reading> {
        self.fit(photo, self.read(photo)?)
    }

    /// Reads the panel of a photo in which a sample lies too, as [`Reader::read_fit`] does.
    ///
    /// # Errors
    /// As for [`Reader::read_fit`], or the sample is not seen beside one other panel.
    pub fn read_beside(&self, photo: &Path, sample: &Finish, silver: &Silver) -> Result<Beside> {
        let kept = KeptSilver {
            silver: &silver.plane,
            tints: silver.tints.as_ref(),
            px_per_mm: silver.px_per_mm,
            size: sample.fingerprint.provenance.placement.size,
        };
        let (given, settings) = (self.how.given.clone(), Settings::default());
        let beside = pipeline::beside::read(photo, given, &sample.name, kept, &settings)?;
        self.write_place(photo, &beside.reading)?;
        Ok(Beside {
            reading: self.fit(photo, beside.reading)?,
            ..beside
        })
    }

    /// Looks for the panel in a photo, its size not being known.
    ///
    /// # Errors
    /// As for [`pipeline::sight`], or the placement cannot be written.
    pub fn sight(&self, photo: &Path) -> Result<Sighted> {
        let sighted = pipeline::sight(photo, self.how.given.clone())?;
        if self.how.write_place {
            Sidecar::from(&sighted.seen).write_beside(photo)?;
        }
        Ok(sighted)
    }

    /// Writes where things lie where that is wanted; also of a picture that cannot be judged by, for the maker may see that it
    /// lies right.
    fn write_place(&self, photo: &Path, reading: &Reading) -> Result<()> {
        if self.how.write_place {
            let placement = &reading.fingerprint.provenance.placement;
            Sidecar::from(placement).write_beside(photo)?;
        }
        Ok(())
    }

    /// A reading of a picture that can be judged by, or that the maker goes on with anyway; the reading remembers it.
    fn fit(&self, photo: &Path, mut reading: Reading) -> Result<Reading> {
        let provenance = &mut reading.fingerprint.provenance;
        if let Some(reason) = provenance.flags.facts().find(|f| f.blocks) {
            if !self.how.anyway {
                return Err(Error::PictureNotUsable {
                    path: photo.to_owned(),
                    meaning: reason.meaning,
                    remedy: reason.remedy,
                });
            }
            provenance.anyway = true;
        }
        Ok(reading)
    }
}

/// The silver of a photo that was read.
#[must_use]
pub fn silver_read(reading: &Reading) -> Silver {
    Silver {
        plane: reading.measured.silver.clone(),
        tints: reading.tints.clone(),
        px_per_mm: reading.fingerprint.provenance.px_per_mm,
        speckles: Some(reading.measured.speckles.clone()),
    }
}

/// The silver of a kept finish.
///
/// # Errors
/// Its pictures are damaged.
pub fn silver_kept(finish: &Finish, archive: &Archive) -> Result<Silver> {
    silver_of(finish, &archive.pictures(&finish.name)?)
}

/// The same of its pictures.
///
/// # Errors
/// They are no pictures.
pub fn silver_of(finish: &Finish, kept: &Pictures) -> Result<Silver> {
    let (plane, tints) = opened(kept, &finish.name)?;
    Ok(Silver {
        plane,
        tints,
        px_per_mm: finish.fingerprint.provenance.px_per_mm,
        speckles: None,
    })
}

/// The silver level and the colour that were kept of a finish.
///
/// # Errors
/// They are no pictures.
pub fn opened(kept: &Pictures, finish: &str) -> Result<(Plane, Option<Tints>)> {
    let unreadable = |_| map_unreadable(finish);
    let plane = silver::silver_of(&kept.silver_map).map_err(unreadable)?;
    let tints = kept.colour.as_deref().map(silver::tints_of).transpose();
    Ok((plane, tints.map_err(unreadable)?))
}

/// The small picture of a kept finish, of whatever version its reading is.
///
/// # Errors
/// It is damaged.
pub fn small_kept(finish: &str, archive: &Archive) -> Result<image::RgbImage> {
    let small = archive.thumbnail(finish)?;
    silver::small_of(&small).map_err(|_| map_unreadable(finish))
}

fn map_unreadable(finish: &str) -> Error {
    Error::MapUnreadable {
        name: finish.to_owned(),
    }
}

/// The pictures that are kept of a reading.
///
/// # Errors
/// There is no memory for their files.
pub fn pictures(reading: &Reading) -> Result<Pictures> {
    Ok(Pictures {
        silver_map: silver::png(&silver::silver_map(&reading.measured))?,
        thumbnail: silver::small_png(&silver::small(
            &reading.measured.silver,
            reading.tints.as_ref(),
        ))?,
        colour: reading.tints.as_ref().map(silver::tints_png).transpose()?,
    })
}

/// Where the silver of a panel is gone.
#[must_use]
pub fn gone(reading: &Reading) -> Option<Lie> {
    let px_per_mm = reading.fingerprint.provenance.px_per_mm;
    lie::of_silver(
        (&reading.measured.silver, px_per_mm),
        &reading.fingerprint.measurements,
    )
}
