//! What the maker decided against the program, and why.

use rusqlite::{Row, params};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::text::{Word, line, lines, word_of};
use super::{Archive, Writing, digest};
use crate::error::{Error, Result};
use crate::fingerprint::{Fingerprint, Verdict};

/// One decision of the maker's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Overruling {
    /// When, RFC 3339.
    pub made_at: String,
    /// Name of the sample that the panel was set against; in an export it is that of the finish.
    #[serde(skip)]
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
    /// Digest of what it answered ([`question`]); `None` where that was not written down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub question: Option<String>,
}

/// Digest of the question that a panel beside a sample asks: its photo, size, stage and side, the rig it was read in, and the
/// version of the measures. A decision holds for the same question only.
#[must_use]
pub fn question(panel: &Fingerprint) -> String {
    let p = &panel.provenance;
    let asked = json!({
        "photo": p.photo_digest,
        "size_mm": [p.placement.size.width, p.placement.size.height],
        "stage": p.placement.stage,
        "side": p.placement.side,
        "rig": p.rig,
        "rig_digest": p.rig_digest,
        "version": panel.version,
    });
    digest(asked.to_string().as_bytes())
}

impl Archive {
    /// Keeps a decision. The latest on a question beside a sample holds; the earlier ones stay.
    ///
    /// # Errors
    /// The sample is not kept here; the archive cannot be written.
    pub fn overrule(&mut self, overruling: &Overruling) -> Result<()> {
        self.write(|writing| add(writing, overruling))
    }

    /// The decision that holds for a panel beside a sample: the latest on this very question.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn overruled(&self, panel: &Fingerprint, sample: &str) -> Result<Option<Overruling>> {
        let all = self.overrulings(Some(sample), Some(&panel.provenance.photo_digest))?;
        let asked = Some(question(panel));
        Ok(all.into_iter().rfind(|o| o.question == asked))
    }

    /// Every decision beside a sample, the oldest first.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn overrulings_beside(&self, sample: &str) -> Result<Vec<Overruling>> {
        self.overrulings(Some(sample), None)
    }

    /// Every decision about the photo of a finish, the oldest first.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn overrulings_of(&self, photo_digest: &str) -> Result<Vec<Overruling>> {
        self.overrulings(None, Some(photo_digest))
    }

    /// The decisions beside a sample, about a photo, or both, the oldest first.
    fn overrulings(
        &self,
        sample: Option<&str>,
        photo_digest: Option<&str>,
    ) -> Result<Vec<Overruling>> {
        let all: Result<Vec<(Overruling, bool)>> = self.read(|file| {
            file.prepare_cached(include_str!("sql/get_overrulings.sql"))?
                .query_map([sample, photo_digest], row)?
                .collect()
        });
        let named = |error: Error| match sample {
            Some(sample) => error.unread_of(sample),
            None => error,
        };
        let all = all.map_err(named)?;
        let checked = all.into_iter().map(|(overruling, unchanged)| {
            unchanged
                .then_some(overruling.clone())
                .ok_or_else(|| self.changed(&overruling.sample))
        });
        checked.collect()
    }
}

/// A decision, and whether its row is unchanged.
fn row(row: &Row<'_>) -> rusqlite::Result<(Overruling, bool)> {
    let Word(found) = row.get("found")?;
    let Word(decided) = row.get("decided")?;
    let overruling = Overruling {
        made_at: row.get("made_at")?,
        sample: row.get("sample")?,
        panel: row.get("panel")?,
        photo_digest: row.get("photo_digest")?,
        found,
        decided,
        reason: row.get("reason")?,
        question: row.get("question")?,
    };
    Ok((overruling, row.get("unchanged")?))
}

pub(super) fn add(writing: &Writing<'_>, overruling: &Overruling) -> Result<()> {
    let sample = writing.id_named(&overruling.sample)?;
    writing.run(
        include_str!("sql/add_overruling.sql"),
        params![
            overruling.made_at,
            sample,
            line(&overruling.panel),
            overruling.photo_digest,
            word_of(overruling.found),
            word_of(overruling.decided),
            lines(&overruling.reason),
            overruling.question,
        ],
    )?;
    Ok(())
}
