//! A photo read as a studio reads it: by its placement and its rig, and refused where it cannot be judged by.

use std::borrow::Cow;
use std::path::{Path, PathBuf};

use super::Studio;
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
    /// What holds of what neither is said nor stands in that file.
    pub otherwise: Given,
    /// Name of the rig they were taken in.
    pub rig: Option<String>,
    /// Go on with a picture that cannot be judged by.
    pub anyway: bool,
    /// Write where things lie beside each photo, where that is not written yet.
    pub write_place: bool,
}

/// A rig with its study, where there is one.
type Known = (Rig, Option<Repeatability>);

/// Reads photos in one way, its rig at hand. Where none is named, a photo is read with the rig that the placement file beside it
/// names.
pub struct Reader {
    how: How,
    rig: Option<Known>,
    archive: PathBuf,
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
            archive: archive.path().to_owned(),
        })
    }

    /// The same, and no archive is opened where no rig is named.
    ///
    /// # Errors
    /// As for [`Reader::new`], or the archive cannot be opened.
    pub fn open(how: &How, studio: &Studio<'_>) -> Result<Self> {
        match how.rig {
            Some(_) => Reader::new(how, &studio.archive()?),
            None => Ok(Reader {
                how: how.clone(),
                rig: None,
                archive: studio.path.clone(),
            }),
        }
    }

    /// The same rig, with other things said of the photos.
    #[must_use]
    pub fn with(&self, given: Given) -> Reader {
        Reader {
            how: How {
                given,
                otherwise: Given::default(),
                write_place: false,
                ..self.how.clone()
            },
            rig: self.rig.clone(),
            archive: self.archive.clone(),
        }
    }

    /// No rig is named, nor by the placement file beside a photo.
    #[must_use]
    pub fn has_no_rig(&self, photo: &Path) -> bool {
        self.rig.is_none() && rig_beside(photo).is_none()
    }

    /// The rig of a photo: the one that is named, or else that of the placement file beside it.
    fn rig_of(&self, photo: &Path) -> Result<Option<Cow<'_, Known>>> {
        if let Some(known) = &self.rig {
            return Ok(Some(Cow::Borrowed(known)));
        }
        let Some(name) = rig_beside(photo) else {
            return Ok(None);
        };
        let archive = Archive::open_as_it_is(&self.archive)?;
        let known = (archive.rig(&name)?, archive.study(&name)?);
        Ok(Some(Cow::Owned(known)))
    }

    /// Reads a photo, whether it can be judged by or not.
    ///
    /// # Errors
    /// As for [`pipeline::read`], or the placement cannot be written.
    pub fn read(&self, photo: &Path) -> Result<Reading> {
        let known = self.rig_of(photo)?;
        let given = self.given(photo)?;
        let settings = Settings::default();
        let rig = known.as_ref().map(|known| &known.0);
        let mut reading = pipeline::read(photo, given, rig, &settings)?;
        let study = known.and_then(|known| known.1.clone());
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
        let (given, settings) = (self.given(photo)?, Settings::default());
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
        let sighted = pipeline::sight(photo, self.given(photo)?)?;
        if self.how.write_place {
            let stage = self.how.given.stage;
            let rig = self.rig.as_ref().map(|(rig, _)| rig.name.as_str());
            let placed = Sidecar::from(&sighted.seen).of_work(stage, rig);
            placed.write_beside(photo)?;
        }
        Ok(sighted)
    }

    /// What holds of a photo: what is said, then the placement file beside it, then what holds otherwise.
    fn given(&self, photo: &Path) -> Result<Given> {
        let How {
            given, otherwise, ..
        } = &self.how;
        if *otherwise == Given::default() {
            return Ok(given.clone());
        }
        let said = given.clone().or(Sidecar::beside(photo)?);
        Ok(said.or(otherwise.clone()))
    }

    /// Writes where things lie where that is wanted; also of a picture that cannot be judged by, for the maker may see that it
    /// lies right.
    fn write_place(&self, photo: &Path, reading: &Reading) -> Result<()> {
        if self.how.write_place {
            let p = &reading.fingerprint.provenance;
            let placed = Sidecar::from(&p.placement);
            let placed = placed.of_work(p.placement.stage, p.rig.as_deref());
            placed.write_beside(photo)?;
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

/// The rig that the placement file beside a photo names. What is wrong with the file is said when the photo is read.
fn rig_beside(photo: &Path) -> Option<String> {
    Sidecar::rig_beside(photo).ok().flatten()
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
