//! What the maker decided against the program, and why.

use rusqlite::{Row, params};

use super::{Archive, Writing, word_of};
use crate::error::Result;
use crate::fingerprint::Verdict;

/// One decision of the maker's.
#[derive(Debug, Clone, PartialEq)]
pub struct Overruling {
    /// When, RFC 3339.
    pub made_at: String,
    /// Name of the sample the panel was set against.
    pub sample: String,
    /// Name of the panel, or file name of its photo.
    pub panel: String,
    /// BLAKE3 digest of the panel's photo.
    pub photo_digest: String,
    /// What the program had found.
    pub found: Verdict,
    /// What the maker decided.
    pub decided: Verdict,
    /// Why, in the maker's words.
    pub reason: String,
}

const GET: &str = "SELECT made_at, name AS sample, panel, overruling.photo_digest AS photo, found, decided, reason
    FROM overruling JOIN finish ON finish.id = sample_id ";

impl Archive {
    /// Keeps a decision. The latest of a photo beside a sample holds; the earlier ones stay.
    ///
    /// # Errors
    /// The sample is not kept here; the archive cannot be written.
    pub fn overrule(&mut self, overruling: &Overruling) -> Result<()> {
        self.write(|writing| add(writing, overruling))
    }

    /// The decision that holds for a photo beside a sample.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn overruled(&self, photo_digest: &str, sample: &str) -> Result<Option<Overruling>> {
        let query = format!(
            "{GET} WHERE overruling.photo_digest = ?1 AND name = ?2 ORDER BY overruling.id"
        );
        Ok(self.overrulings(&query, [photo_digest, sample])?.pop())
    }

    /// Every decision beside a sample, the oldest first.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn overrulings_beside(&self, sample: &str) -> Result<Vec<Overruling>> {
        let query = format!("{GET} WHERE name = ?1 ORDER BY overruling.id");
        self.overrulings(&query, [sample])
    }

    /// Every decision about the photo of a finish, the oldest first.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn overrulings_of(&self, photo_digest: &str) -> Result<Vec<Overruling>> {
        let query = format!("{GET} WHERE overruling.photo_digest = ?1 ORDER BY overruling.id");
        self.overrulings(&query, [photo_digest])
    }

    fn overrulings(&self, query: &str, of: impl rusqlite::Params) -> Result<Vec<Overruling>> {
        let rows: Vec<(Overruling, String, String)> = self
            .connection
            .prepare_cached(query)
            .and_then(|mut get| get.query_map(of, row)?.collect())
            .map_err(self.sql())?;
        rows.into_iter()
            .map(|(overruling, found, decided)| {
                Ok(Overruling {
                    found: self.of_word(&found)?,
                    decided: self.of_word(&decided)?,
                    ..overruling
                })
            })
            .collect()
    }
}

/// A row, its two verdicts still in words.
fn row(row: &Row<'_>) -> rusqlite::Result<(Overruling, String, String)> {
    let overruling = Overruling {
        made_at: row.get("made_at")?,
        sample: row.get("sample")?,
        panel: row.get("panel")?,
        photo_digest: row.get("photo")?,
        found: Verdict::Unsure,
        decided: Verdict::Unsure,
        reason: row.get("reason")?,
    };
    Ok((overruling, row.get("found")?, row.get("decided")?))
}

pub(super) fn add(writing: &Writing<'_>, overruling: &Overruling) -> Result<()> {
    let sample = writing.id_named(&overruling.sample)?;
    writing.run(
        "INSERT INTO overruling (made_at, sample_id, panel, photo_digest, found, decided, reason)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        params![
            overruling.made_at,
            sample,
            super::line(&overruling.panel),
            overruling.photo_digest,
            word_of(overruling.found),
            word_of(overruling.decided),
            super::lines(&overruling.reason)
        ],
    )?;
    Ok(())
}
