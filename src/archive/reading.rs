//! Readings of finishes. A finish that is read again keeps its earlier readings; the latest holds.

use rusqlite::{Row, params};
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::file::{self, FileRef};
use super::text::{Word, word_of};
use super::{Archive, Writing, damaged, digest, look};
use crate::error::{Error, Result};
use crate::fingerprint::metric::{AGGRESSIVENESS, COVERAGE};
use crate::fingerprint::{Fingerprint, Provenance, figure_in};

/// The picture that a finish was read from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// Its photo.
    Photo,
    /// The silver map that was kept of it.
    Map,
}

/// The pictures of a reading, PNG.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pictures {
    /// Silver map, 8-bit.
    pub silver_map: Vec<u8>,
    /// A small picture of the panel.
    pub thumbnail: Vec<u8>,
    /// The tints of its colour, where it is known.
    pub colour: Option<Vec<u8>>,
}

/// A reading to keep.
#[derive(Debug, Clone, Copy)]
pub struct NewReading<'a> {
    /// What was read.
    pub fingerprint: &'a Fingerprint,
    /// The pictures of the panel.
    pub pictures: &'a Pictures,
    /// The picture that was read.
    pub source: Source,
}

impl NewReading<'_> {
    /// Keeps the pictures, and makes the reading that refers to them.
    pub(super) fn kept(
        &self,
        writing: &Writing<'_>,
        finish: &str,
        read_at: &str,
    ) -> Result<KeptReading> {
        let fingerprint =
            serde_json::to_string(self.fingerprint).map_err(|e| damaged(writing.path, &e))?;
        let keep = |bytes: &Vec<u8>| file::add(writing, bytes, finish);
        Ok(KeptReading {
            read_at: read_at.to_owned(),
            source: self.source,
            silver_map: keep(&self.pictures.silver_map)?,
            thumbnail: keep(&self.pictures.thumbnail)?,
            colour: self.pictures.colour.as_ref().map(keep).transpose()?,
            fingerprint_digest: digest(fingerprint.as_bytes()),
            fingerprint,
        })
    }
}

/// A reading as it is kept, its fingerprint of whatever version.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptReading {
    /// When it was made, RFC 3339.
    pub read_at: String,
    /// The picture that was read.
    pub source: Source,
    pub(super) silver_map: FileRef,
    #[serde(rename = "picture")]
    pub(super) thumbnail: FileRef,
    /// The tints of its colour, where it is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) colour: Option<FileRef>,
    /// Digest of the fingerprint's text when it was kept.
    pub(super) fingerprint_digest: String,
    /// The fingerprint's text.
    #[serde(with = "super::raw")]
    pub fingerprint: String,
}

impl KeptReading {
    /// Whether the fingerprint's text is what was kept.
    #[must_use]
    pub fn is_unchanged(&self) -> bool {
        digest(self.fingerprint.as_bytes()) == self.fingerprint_digest
    }

    /// What tells one reading from another.
    pub(super) fn identity(&self) -> [&str; 3] {
        [
            &self.fingerprint_digest,
            &self.silver_map.digest,
            &self.thumbnail.digest,
        ]
    }

    /// The files of its pictures: silver map, thumbnail, colour.
    pub(super) fn files(&self) -> impl Iterator<Item = &FileRef> {
        [&self.silver_map, &self.thumbnail]
            .into_iter()
            .chain(&self.colour)
    }

    pub(super) fn files_mut(&mut self) -> impl Iterator<Item = &mut FileRef> {
        [&mut self.silver_map, &mut self.thumbnail]
            .into_iter()
            .chain(&mut self.colour)
    }
}

/// The columns of `finish` that are worked out from its fingerprint, of whatever version.
#[derive(PartialEq)]
pub(super) struct Facts {
    pub(super) version: u32,
    settings_digest: String,
    stage: Option<String>,
    coverage: Option<f64>,
    aggressiveness: Option<f64>,
}

impl Facts {
    /// `None` where the text is no fingerprint at all.
    pub(super) fn of(fingerprint: &str) -> Option<Self> {
        let value: Value = serde_json::from_str(fingerprint).ok()?;
        Some(Facts {
            version: u32::try_from(value.get("version")?.as_u64()?).ok()?,
            settings_digest: value.get("settings_digest")?.as_str()?.to_owned(),
            stage: value
                .pointer("/provenance/placement/stage")
                .and_then(Value::as_str)
                .map(str::to_owned),
            coverage: figure_in(&value, &COVERAGE),
            aggressiveness: figure_in(&value, &AGGRESSIVENESS),
        })
    }
}

/// How a fingerprint came about; every version says it.
#[derive(Deserialize)]
struct Origin {
    provenance: Provenance,
}

/// Whether a silver map of such a size can be that of a fingerprint, of whatever version. A fingerprint that says nothing of the
/// size fits any: it cannot be read again from the map.
pub(super) fn fits_map(fingerprint: &str, width: u32, height: u32) -> bool {
    serde_json::from_str::<Origin>(fingerprint).map_or(true, |origin| {
        origin.provenance.fits_map(width as usize, height as usize)
    })
}

/// Adds a reading to a finish; from then on it holds. Its pictures are kept already.
pub(super) fn add(writing: &Writing<'_>, id: i64, finish: &str, new: &KeptReading) -> Result<()> {
    let facts = Facts::of(&new.fingerprint).ok_or_else(|| Error::ReadingUnreadable {
        name: finish.to_owned(),
    })?;
    writing.run(
        include_str!("sql/add_reading.sql"),
        params![
            id,
            new.read_at,
            word_of(new.source),
            new.silver_map.digest,
            new.thumbnail.digest,
            new.fingerprint_digest,
            new.colour.as_ref().map(|colour| &colour.digest),
            new.fingerprint,
        ],
    )?;
    let reading = writing.all.last_insert_rowid();
    writing.run(
        include_str!("sql/hold_reading.sql"),
        params![
            id,
            reading,
            facts.settings_digest,
            facts.version,
            facts.stage,
            facts.coverage,
            facts.aggressiveness,
        ],
    )?;
    look::hold(writing, id, &new.fingerprint)
}

impl Archive {
    /// The facts listed of a finish; `None` where they are not of its latest reading.
    pub(super) fn facts(&self, finish: &str) -> Result<Option<Facts>> {
        let row = |row: &Row<'_>| {
            let facts = Facts {
                version: row.get("version")?,
                settings_digest: row.get("settings_digest")?,
                stage: row.get("stage")?,
                coverage: row.get("coverage")?,
                aggressiveness: row.get("aggressiveness")?,
            };
            Ok((row.get("latest")?, facts))
        };
        let found: Option<(bool, Facts)> =
            self.one(include_str!("sql/get_listing.sql"), finish, row)?;
        Ok(found.and_then(|(latest, facts)| latest.then_some(facts)))
    }

    /// Adds a reading to a finish. It holds from then on; the earlier ones stay.
    ///
    /// # Errors
    /// There is no such finish; the archive cannot be written.
    pub fn read_again(&mut self, finish: &str, read_at: &str, new: &NewReading<'_>) -> Result<()> {
        self.write(|writing| {
            let id = writing.id_named(finish)?;
            let kept = new.kept(writing, finish, read_at)?;
            add(writing, id, finish, &kept)
        })
    }

    /// All readings of a finish, the earliest first: the last one holds.
    ///
    /// # Errors
    /// There is no such finish, or it has lost its readings; the archive cannot be read.
    pub fn readings(&self, finish: &str) -> Result<Vec<KeptReading>> {
        let all = self.some(finish, false)?;
        if all.is_empty() {
            self.row_of(finish)?;
            return Err(Error::ReadingUnreadable {
                name: finish.to_owned(),
            });
        }
        Ok(all)
    }

    /// The reading of a finish that holds, changed or not; `None` where there is no such finish, or it has lost its reading.
    pub(super) fn reading(&self, finish: &str) -> Result<Option<KeptReading>> {
        self.some(finish, true).map(|mut one| one.pop())
    }

    fn some(&self, finish: &str, only_latest: bool) -> Result<Vec<KeptReading>> {
        let which = params![finish, only_latest];
        self.read_of(finish, |file| {
            file.prepare_cached(include_str!("sql/get_readings.sql"))?
                .query_map(which, kept)?
                .collect()
        })
    }

    /// The small picture of a finish alone, of whatever version its reading is.
    ///
    /// # Errors
    /// There is no such finish; the picture is no longer what was kept; the archive cannot be read.
    pub fn thumbnail(&self, finish: &str) -> Result<Vec<u8>> {
        let reading = self.reading(finish)?.ok_or_else(|| self.no_such(finish))?;
        self.bytes(&reading.thumbnail, finish)
    }

    /// The pictures of a finish, of whatever version its reading is.
    ///
    /// # Errors
    /// There is no such finish; a picture is no longer what was kept; the archive cannot be read.
    pub fn pictures(&self, finish: &str) -> Result<Pictures> {
        let reading = self.reading(finish)?.ok_or_else(|| self.no_such(finish))?;
        let bytes = |file: &FileRef| self.bytes(file, finish);
        Ok(Pictures {
            silver_map: bytes(&reading.silver_map)?,
            thumbnail: bytes(&reading.thumbnail)?,
            colour: reading.colour.as_ref().map(bytes).transpose()?,
        })
    }
}

fn kept(row: &Row<'_>) -> rusqlite::Result<KeptReading> {
    let Word(source) = row.get("source")?;
    let colour: Option<String> = row.get("colour")?;
    Ok(KeptReading {
        read_at: row.get("read_at")?,
        source,
        silver_map: FileRef::kept(row.get("silver_map")?),
        thumbnail: FileRef::kept(row.get("picture")?),
        colour: colour.map(FileRef::kept),
        fingerprint_digest: row.get("fingerprint_digest")?,
        fingerprint: row.get("fingerprint")?,
    })
}
