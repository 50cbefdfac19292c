//! `finish.json`: all that is known of a finish.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;

use super::super::{Approval, Source};
use crate::fingerprint::{Variety, Verdict};

/// The file's content.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FinishFile {
    /// Version of the form.
    pub schema: u32,
    /// The studio's name for the finish.
    pub name: String,
    /// When it was kept, RFC 3339.
    pub kept_at: String,
    /// File name of the photo.
    pub photo_name: String,
    /// Digest of the photo's file.
    pub photo_digest: String,
    /// The photo's file, where it was kept; its `file` is null where it stayed in the archive.
    pub photo: Option<FileRef>,
    /// Anything the maker wrote.
    pub notes: String,
    /// What was signed, where it is an approved sample.
    pub approval: Option<ApprovalFile>,
    /// What the maker decided about panels beside it, the oldest first.
    pub decisions: Vec<DecisionFile>,
    /// Its recipes, the earliest first; the last one holds.
    #[serde(default)]
    pub recipes: Vec<RecipeFile>,
    /// Its readings, the earliest first; the last one holds.
    pub readings: Vec<ReadingFile>,
}

/// A file beside it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileRef {
    /// Its name in the same folder.
    pub file: Option<String>,
    /// BLAKE3 digest of its bytes.
    pub digest: String,
}

/// What was signed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ApprovalFile {
    pub(super) approved_at: String,
    pub(super) allowances: BTreeMap<String, f64>,
    pub(super) light: Option<String>,
    pub(super) dark: Option<String>,
    pub(super) variety: Option<Variety>,
}

impl From<Approval> for ApprovalFile {
    fn from(a: Approval) -> Self {
        ApprovalFile {
            approved_at: a.approved_at,
            allowances: a.allowances,
            light: a.light,
            dark: a.dark,
            variety: a.variety,
        }
    }
}

/// A decision of the maker's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DecisionFile {
    pub(super) made_at: String,
    pub(super) panel: String,
    pub(super) photo_digest: String,
    pub(super) found: Verdict,
    pub(super) decided: Verdict,
    pub(super) reason: String,
    /// Digest of what it answered, where that was written down.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub(super) question: Option<String>,
}

/// A recipe.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecipeFile {
    /// Digest of the text of `recipe` as it stands here, byte by byte.
    pub(super) recipe_digest: String,
    pub(super) recipe: Box<RawValue>,
}

/// A reading.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ReadingFile {
    pub(super) read_at: String,
    pub(super) source: Source,
    pub(super) silver_map: FileRef,
    pub(super) picture: FileRef,
    /// The tints of its colour, where it was kept.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) colour: Option<FileRef>,
    /// Digest of the text of `fingerprint` as it stands here, byte by byte.
    pub(super) fingerprint_digest: String,
    pub(super) fingerprint: Box<RawValue>,
}

impl ReadingFile {
    /// What tells one reading from another.
    pub(super) fn identity(&self) -> [&str; 3] {
        [
            &self.fingerprint_digest,
            &self.silver_map.digest,
            &self.picture.digest,
        ]
    }
}

impl FinishFile {
    /// The names of its limit pieces.
    #[must_use]
    pub fn limit_pieces(&self) -> Vec<&str> {
        let pieces = self.approval.as_ref().map(|a| [&a.light, &a.dark]);
        pieces
            .into_iter()
            .flatten()
            .filter_map(|piece| piece.as_deref())
            .collect()
    }

    /// The text of the fingerprint that holds.
    #[must_use]
    pub fn fingerprint(&self) -> Option<&str> {
        self.readings.last().map(|r| r.fingerprint.get())
    }

    /// As the file's text; the same content always gives the same bytes.
    pub(super) fn text(&self) -> serde_json::Result<Vec<u8>> {
        super::pretty(self)
    }
}
