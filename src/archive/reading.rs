//! Readings of finishes. A finish read again keeps all its earlier readings; the latest holds.

use rusqlite::{Row, params};
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::{Archive, Word, Writing, digest, file, look, word_of};
use crate::error::{Error, Result};
use crate::fingerprint::metric::{AGGRESSIVENESS, COVERAGE};
use crate::fingerprint::{Fingerprint, Provenance, figure_in};

/// What a finish was read from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// Its photo.
    Photo,
    /// The silver map that was kept of it.
    Map,
}

/// A reading to keep.
#[derive(Debug, Clone, Copy)]
pub struct NewReading<'a> {
    /// What was read.
    pub fingerprint: &'a Fingerprint,
    /// Silver map, 8-bit PNG.
    pub silver_map: &'a [u8],
    /// The tints of its colour, PNG, where it is known.
    pub colour: Option<&'a [u8]>,
    /// Small picture, PNG.
    pub picture: &'a [u8],
    /// From what.
    pub source: Source,
}

/// A reading as it is kept, its fingerprint of whatever version.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptReading {
    /// When it was made, RFC 3339.
    pub read_at: String,
    /// From what.
    pub source: Source,
    /// The fingerprint's text.
    pub fingerprint: String,
    /// Digest of that text when it was kept.
    pub fingerprint_digest: String,
    /// Digest of the silver map.
    pub silver_map: String,
    /// Digest of the small picture.
    pub picture: String,
    /// Digest of the tints of its colour, where it was kept.
    pub colour: Option<String>,
}

impl KeptReading {
    /// Its text is what was kept.
    #[must_use]
    pub fn is_unchanged(&self) -> bool {
        digest(self.fingerprint.as_bytes()) == self.fingerprint_digest
    }
}

/// A reading to be written down.
pub(super) struct Text<'a> {
    pub(super) read_at: &'a str,
    pub(super) source: Source,
    pub(super) fingerprint: &'a str,
    pub(super) silver_map: &'a [u8],
    pub(super) picture: &'a [u8],
    pub(super) colour: Option<&'a [u8]>,
}

/// What is listed of a fingerprint of any version, so far as it says so.
#[derive(PartialEq)]
pub(super) struct Facts {
    pub(super) version: u32,
    settings_digest: String,
    stage: Option<String>,
    coverage: Option<f64>,
    aggressiveness: Option<f64>,
}

impl Facts {
    /// Nothing where the text is no fingerprint at all.
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

/// What every fingerprint tells of how it came about.
#[derive(Deserialize)]
struct Origin {
    provenance: Provenance,
}

/// A silver map of so many pixels can be that of this fingerprint, of whatever version; one that tells nothing of it is not
/// read again.
pub(super) fn fits_map(fingerprint: &str, width: u32, height: u32) -> bool {
    serde_json::from_str::<Origin>(fingerprint).map_or(true, |origin| {
        origin.provenance.fits_map(width as usize, height as usize)
    })
}

/// Adds a reading to a finish; from then on it holds.
pub(super) fn add(writing: &Writing<'_>, id: i64, finish: &str, new: &Text<'_>) -> Result<()> {
    let facts = Facts::of(new.fingerprint).ok_or_else(|| Error::ReadingUnreadable {
        name: finish.to_owned(),
    })?;
    let silver_map = file::add(writing, new.silver_map, finish)?;
    let picture = file::add(writing, new.picture, finish)?;
    let colour = new
        .colour
        .map(|bytes| file::add(writing, bytes, finish))
        .transpose()?;
    writing.run(
        include_str!("sql/add_reading.sql"),
        params![
            id,
            new.read_at,
            word_of(new.source),
            silver_map,
            picture,
            digest(new.fingerprint.as_bytes()),
            colour,
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
    look::hold(writing, id, new.fingerprint)
}

impl Archive {
    /// What is listed of a finish; `None` where the reading it is listed by is not its latest.
    pub(super) fn listed_as(&self, finish: &str) -> Result<Option<Facts>> {
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

    /// Adds a reading to a finish. It holds from now on; the earlier ones stay.
    ///
    /// # Errors
    /// There is no such finish; the archive cannot be written.
    pub fn read_again(&mut self, finish: &str, read_at: &str, new: &NewReading<'_>) -> Result<()> {
        let fingerprint = serde_json::to_string(new.fingerprint).map_err(|e| self.damaged(&e))?;
        self.write(|writing| {
            let id = writing.id_named(finish)?;
            let text = Text {
                read_at,
                source: new.source,
                fingerprint: &fingerprint,
                silver_map: new.silver_map,
                picture: new.picture,
                colour: new.colour,
            };
            add(writing, id, finish, &text)
        })
    }

    /// All readings of a finish, the earliest first: the last one holds.
    ///
    /// # Errors
    /// There is no such finish, or it has lost its readings; the archive cannot be read.
    pub fn readings(&self, finish: &str) -> Result<Vec<KeptReading>> {
        let rows: Vec<KeptReading> = self
            .connection
            .prepare_cached(include_str!("sql/get_readings.sql"))
            .and_then(|mut get| get.query_map([finish], kept)?.collect())
            .map_err(self.sql())?;
        if rows.is_empty() {
            self.row_of(finish)?;
            return Err(Error::ReadingUnreadable {
                name: finish.to_owned(),
            });
        }
        Ok(rows)
    }
}

fn kept(row: &Row<'_>) -> rusqlite::Result<KeptReading> {
    let Word(source) = row.get("source")?;
    Ok(KeptReading {
        read_at: row.get("read_at")?,
        source,
        fingerprint: row.get("fingerprint")?,
        fingerprint_digest: row.get("fingerprint_digest")?,
        silver_map: row.get("silver_map")?,
        picture: row.get("picture")?,
        colour: row.get("colour")?,
    })
}
