//! What was signed of an approved sample.

use std::collections::BTreeMap;

use rusqlite::{Row, params};
use serde::{Deserialize, Serialize};

use super::text::{Json, Word, word_of};
use super::{Archive, Writing, damaged};
use crate::error::Result;
use crate::fingerprint::Variety;

/// What was signed.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Approval {
    /// When, RFC 3339.
    pub approved_at: String,
    /// The studio's own allowances, measure to allowance.
    pub allowances: BTreeMap<String, f64>,
    /// Name of the kept finish that is the lightest signed piece.
    pub light: Option<String>,
    /// Name of the darkest.
    pub dark: Option<String>,
    /// How much the finish is meant to vary.
    pub variety: Option<Variety>,
}

impl Archive {
    /// Marks a finish as an approved sample. Approving it again adds allowances and replaces what is said anew; the rest, and
    /// the first date, stay.
    ///
    /// # Errors
    /// There is no such finish, or none of a limit piece's name; the archive cannot be written.
    pub fn approve(&mut self, name: &str, approval: &Approval) -> Result<()> {
        self.write(|writing| add(writing, name, approval))
    }

    /// What was signed of a finish, of whatever version its reading is.
    ///
    /// # Errors
    /// There is no such finish; what was signed has changed; the archive cannot be read.
    pub fn approval(&self, name: &str) -> Result<Option<Approval>> {
        match self.one(include_str!("sql/get_approval.sql"), name, unchanged)? {
            None => self.row_of(name).map(|_| None),
            Some(None) => Err(self.changed(name)),
            Some(approval) => Ok(approval),
        }
    }
}

/// The approval of a row; `None` where it is not what was kept.
fn unchanged(row: &Row<'_>) -> rusqlite::Result<Option<Approval>> {
    if !row.get::<_, bool>("unchanged")? {
        return Ok(None);
    }
    let Json(allowances) = row.get("allowances")?;
    let variety: Option<Word<Variety>> = row.get("variety")?;
    Ok(Some(Approval {
        approved_at: row.get("approved_at")?,
        allowances,
        light: row.get("light")?,
        dark: row.get("dark")?,
        variety: variety.map(|Word(variety)| variety),
    }))
}

pub(super) fn add(writing: &Writing<'_>, name: &str, approval: &Approval) -> Result<()> {
    let allowances =
        serde_json::to_string(&approval.allowances).map_err(|e| damaged(writing.path, &e))?;
    let finish = writing.id_named(name)?;
    let id = |piece: &Option<String>| {
        piece
            .as_deref()
            .map(|name| writing.id_named(name))
            .transpose()
    };
    let (light, dark) = (id(&approval.light)?, id(&approval.dark)?);
    writing.run(
        include_str!("sql/add_approval.sql"),
        params![
            finish,
            approval.approved_at,
            allowances,
            light,
            dark,
            approval.variety.and_then(word_of)
        ],
    )?;
    Ok(())
}
