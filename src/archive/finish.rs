//! Keeping a finish, and opening one.

use super::kept::{KeptFinish, SCHEMA};
use super::near::{Named, near};
use super::text::{fit_name, line, lines};
use super::{Approval, Archive, NewReading, Writing};
use crate::error::{Error, Result};
use crate::fingerprint::{Fingerprint, VERSION};

/// A finish to keep.
#[derive(Debug, Clone, Copy)]
pub struct NewFinish<'a> {
    /// The studio's name for it.
    pub name: &'a str,
    /// When, RFC 3339.
    pub kept_at: &'a str,
    /// File name of the photo.
    pub photo_name: &'a str,
    /// What was read.
    pub reading: NewReading<'a>,
    /// Anything the maker wrote.
    pub notes: &'a str,
    /// The photo's file itself, where it is to be kept too.
    pub photo: Option<&'a [u8]>,
}

/// A kept finish, opened: its reading is of this version.
#[derive(Debug, Clone, PartialEq)]
pub struct Finish {
    /// The studio's name for it.
    pub name: String,
    /// When it was kept, RFC 3339.
    pub kept_at: String,
    /// File name of the photo.
    pub photo_name: String,
    /// The reading that holds.
    pub fingerprint: Fingerprint,
    /// Anything the maker wrote.
    pub notes: String,
    /// What was signed, where it is an approved sample.
    pub approval: Option<Approval>,
}

impl NewFinish<'_> {
    /// Writes it.
    ///
    /// # Errors
    /// There is a finish of that name, or one that differs only in capitals or spaces; it cannot be written.
    pub(super) fn add(&self, writing: &Writing<'_>) -> Result<()> {
        writing.refuse_alike(self.name, None)?;
        let kept = KeptFinish {
            schema: SCHEMA,
            name: self.name.to_owned(),
            kept_at: self.kept_at.to_owned(),
            photo_name: line(self.photo_name),
            photo_digest: self.reading.fingerprint.provenance.photo_digest.clone(),
            notes: lines(self.notes),
            readings: vec![self.reading.kept(writing, self.name, self.kept_at)?],
            ..KeptFinish::default()
        };
        kept.add(writing)?;
        self.photo
            .map_or(Ok(()), |bytes| kept.add_photo(writing, bytes))
    }
}

impl Archive {
    /// Keeps a finish under a new name. When this returns, it is on disk.
    ///
    /// # Errors
    /// The name is taken, empty or unprintable; the archive cannot be written.
    pub fn keep(&mut self, new: &NewFinish<'_>) -> Result<()> {
        fit_name(new.name)?;
        self.write(|writing| new.add(writing))
    }

    /// The finish of a name, or none. Capitals and spaces do not matter; what is in the bin is not found.
    ///
    /// # Errors
    /// The finish is damaged, or its reading of another version; the archive cannot be read.
    pub fn finish(&self, name: &str) -> Result<Option<Finish>> {
        let Some(listed) = self.listed_as(name)? else {
            return Ok(None);
        };
        let name = listed.name.as_str();
        let reading = self
            .reading(name)?
            .ok_or_else(|| self.damaged(&format!("`{name}` has no reading")))?;
        if !reading.is_unchanged() {
            return Err(self.changed(name));
        }
        if listed.version != VERSION {
            return Err(Error::FingerprintVersion {
                name: listed.name.clone(),
                found: listed.version,
                expected: VERSION,
            });
        }
        let fingerprint: Fingerprint =
            serde_json::from_str(&reading.fingerprint).map_err(|e| self.damaged(&e))?;
        if !fingerprint.is_sound() {
            return Err(Error::ReadingUnreadable {
                name: name.to_owned(),
            });
        }
        Ok(Some(Finish {
            approval: self.approval(name)?,
            name: listed.name,
            kept_at: listed.kept_at,
            photo_name: listed.photo_name,
            fingerprint,
            notes: listed.notes,
        }))
    }

    /// The finish of a name.
    ///
    /// # Errors
    /// As for [`Archive::finish`], and there is none of that name.
    pub fn finish_named(&self, name: &str) -> Result<Finish> {
        self.finish(name)?.ok_or_else(|| self.not_kept(name))
    }

    /// The names of all finishes, by when they were kept and then by name: an order that export and import do not change. What is
    /// in the bin is not among them.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn names(&self) -> Result<Vec<String>> {
        self.names_by("SELECT name FROM finish WHERE id NOT IN (SELECT finish_id FROM bin) ORDER BY kept_at, name")
    }

    /// The same with those in the bin, by the names that they bear there.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn names_and_bin(&self) -> Result<Vec<String>> {
        self.names_by("SELECT name FROM finish ORDER BY kept_at, name")
    }

    fn names_by(&self, query: &str) -> Result<Vec<String>> {
        self.read(|file| {
            file.prepare_cached(query)?
                .query_map([], |row| row.get(0))?
                .collect()
        })
    }

    pub(super) fn changed(&self, name: &str) -> Error {
        Error::KeptChanged {
            name: name.to_owned(),
            path: self.path.clone(),
        }
    }

    /// The names of finishes near one that was typed, the nearest first.
    #[must_use]
    pub fn near_finishes(&self, typed: &str) -> Vec<String> {
        near(&self.connection, Named::Finish, typed)
    }

    pub(super) fn no_such(&self, name: &str) -> Error {
        Error::NoSuchFinish {
            name: name.to_owned(),
            near: near(&self.connection, Named::Finish, name),
            path: self.path.clone(),
        }
    }
}
