//! Finishes that are kept: under what name, and what of a reading.

use std::path::Path;

use super::reading::pictures;
use crate::archive::{Archive, NewFinish, NewReading, Pictures, Source};
use crate::error::Result;
use crate::fingerprint::Fingerprint;
use crate::intake;
use crate::pipeline::Reading;

/// What a photo is kept as: the name given; of several photos that and the file's own name, so that the order does not
/// matter; and the file's own name alone where none is given.
#[must_use]
pub fn name_for(photo: &Path, given: Option<&str>, photos: usize) -> String {
    let own = || photo.file_stem().unwrap_or_default().to_string_lossy();
    match given {
        Some(name) if photos == 1 => name.to_owned(),
        Some(name) => format!("{name} {}", own()),
        None => own().into_owned(),
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

    /// Keeps it under a name.
    ///
    /// # Errors
    /// The name is taken, or none; the archive cannot be written.
    pub fn keep(
        &self,
        name: &str,
        kept_at: &str,
        photo_name: &str,
        notes: &str,
        archive: &mut Archive,
    ) -> Result<()> {
        archive.keep(&NewFinish {
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
        })
    }
}
