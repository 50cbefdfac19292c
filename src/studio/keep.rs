//! Finishes that are kept: under what name, and what of a reading.

use std::path::Path;

use unicode_normalization::UnicodeNormalization;

use super::reading::pictures;
use crate::archive::{Archive, NewFinish, NewReading, Pictures, Source};
use crate::error::{Error, Result};
use crate::fingerprint::Fingerprint;
use crate::intake;
use crate::pipeline::Reading;

/// What a photo is kept as: the name given; of several photos that and the file's own name, so that the order does not
/// matter; and the file's own name alone where none is given.
#[must_use]
pub fn name_for(photo: &Path, given: Option<&str>, photos: usize) -> String {
    // Disks write some letters as two signs, keyboards as one.
    let own = || -> String {
        let name = photo.file_stem().unwrap_or_default().to_string_lossy();
        name.nfc().collect()
    };
    match given {
        Some(name) if photos == 1 => name.to_owned(),
        Some(name) => format!("{name} {}", own()),
        None => own(),
    }
}

/// Under what name a photo is kept, and in which job.
pub struct Place<'a> {
    /// The name given; of several photos the beginning of each name.
    pub given: Option<&'a str>,
    /// How many photos are kept at once.
    pub photos: usize,
    /// The job that they are panels of.
    pub job: Option<&'a str>,
}

impl Place<'_> {
    /// Its job numbers the panels.
    #[must_use]
    pub fn numbers(&self) -> bool {
        self.given.is_none() && self.job.is_some()
    }

    /// The name of a photo's panel: a job gives it its next number where no name is given.
    ///
    /// # Errors
    /// The photo is a panel of the job already; the archive cannot be read.
    pub fn name(&self, photo: &Path, read: &ToKeep, archive: &Archive) -> Result<String> {
        match self.job.filter(|_| self.numbers()) {
            None => Ok(name_for(photo, self.given, self.photos)),
            Some(job) => {
                let digest = &read.fingerprint.provenance.photo_digest;
                match archive.of_photo_in_job(job, digest)? {
                    None => archive.next_in_job(job),
                    Some(name) => Err(Error::PhotoInJob {
                        path: photo.to_owned(),
                        name,
                    }),
                }
            }
        }
    }

    /// Keeps a finish there.
    ///
    /// # Errors
    /// The name is taken, or none; the job is closed; the archive cannot be written.
    pub fn keep(&self, new: &NewFinish<'_>, archive: &mut Archive) -> Result<()> {
        match self.job {
            Some(job) => archive.keep_in_job(job, new),
            None => archive.keep(new),
        }
    }
}

/// A reading made ready for the archive, without its planes.
pub struct ToKeep {
    /// What is kept and compared.
    pub fingerprint: Fingerprint,
    pictures: Pictures,
    photo: Option<Vec<u8>>,
}

impl ToKeep {
    /// The reading without its photo.
    ///
    /// # Errors
    /// There is no memory for its pictures.
    pub fn of(reading: Reading) -> Result<Self> {
        Ok(ToKeep {
            pictures: pictures(&reading)?,
            fingerprint: reading.fingerprint,
            photo: None,
        })
    }

    /// With the photo's file itself.
    ///
    /// # Errors
    /// It cannot be read any more.
    pub fn with_photo(self, photo: &Path) -> Result<Self> {
        Ok(ToKeep {
            photo: Some(intake::bytes_of(photo, &intake::Limits::default())?),
            ..self
        })
    }

    /// How many bytes its photo's file has, where that is kept too.
    #[must_use]
    pub fn photo_bytes(&self) -> Option<u64> {
        self.photo.as_ref().map(|bytes| bytes.len() as u64)
    }

    /// As the archive takes it.
    #[must_use]
    pub fn new_finish<'a>(
        &'a self,
        name: &'a str,
        kept_at: &'a str,
        photo_name: &'a str,
        notes: &'a str,
    ) -> NewFinish<'a> {
        NewFinish {
            name,
            kept_at,
            photo_name,
            reading: NewReading {
                fingerprint: &self.fingerprint,
                pictures: &self.pictures,
                source: Source::Photo,
            },
            notes,
            photo: self.photo.as_deref(),
        }
    }
}
