//! What was signed of an approved sample.

use std::collections::BTreeMap;

use rusqlite::{OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};

use super::change::{self, Change, Done, NOTHING, Thing};
use super::text::{Json, Word, fit_name, word_of};
use super::{Archive, Writing, checksum, damaged};
use crate::error::{Error, NotHeld, Result};
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
    /// Who signed it, where that was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signature: Option<Signature>,
}

/// Who signed a sample.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signature {
    /// The name.
    pub by: String,
    /// When, RFC 3339.
    pub at: String,
}

/// What is no longer to hold of what was signed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct TakeBack {
    /// The light limit.
    pub light: bool,
    /// The dark limit.
    pub dark: bool,
    /// How much the finish is meant to vary.
    pub variety: bool,
    /// Measures whose own allowances are dropped.
    pub allowances: Vec<String>,
}

impl TakeBack {
    /// Nothing is taken back.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        *self == TakeBack::default()
    }

    /// Takes it out of what was signed; the name of what is not there to be taken back, where there is such a thing.
    fn out_of(&self, signed: &mut Approval) -> std::result::Result<(), NotHeld> {
        if self.light && signed.light.take().is_none() {
            return Err(NotHeld::Light);
        }
        if self.dark && signed.dark.take().is_none() {
            return Err(NotHeld::Dark);
        }
        if self.variety && signed.variety.take().is_none() {
            return Err(NotHeld::Variety);
        }
        for key in &self.allowances {
            if signed.allowances.remove(key).is_none() {
                return Err(NotHeld::Allowance { key: key.clone() });
            }
        }
        Ok(())
    }
}

impl Archive {
    /// Marks a finish as an approved sample. Approving it again takes back what is to be taken back, adds allowances and replaces
    /// what is said anew; the rest, and the first date, stay. What was signed before stays in the history.
    ///
    /// # Errors
    /// There is no such finish, or none of a limit piece's name; what is to be taken back does not hold; the archive cannot be
    /// written.
    pub fn approve(&mut self, name: &str, approval: &Approval, back: &TakeBack) -> Result<()> {
        let path = self.path.clone();
        let signer = approval.signature.as_ref();
        signer.map_or(Ok(()), |signature| fit_name(&signature.by))?;
        self.write(|writing| {
            let before = signed(writing, name)?;
            if !back.is_nothing() {
                let refused = |what| Error::NothingToTakeBack {
                    name: name.to_owned(),
                    what,
                };
                let mut left = before.clone().ok_or_else(|| Error::NotApproved {
                    name: name.to_owned(),
                    path: path.clone(),
                })?;
                back.out_of(&mut left).map_err(refused)?;
                hold(writing, name, &left)?;
            }
            add(writing, name, approval)?;
            // It is read back before the change is done, and needs its checksum for that.
            checksum::fill(&writing.all).map_err(writing.sql())?;
            let after = signed(writing, name)?;
            match (before, after) {
                (Some(before), Some(after)) if before != after => note(
                    writing,
                    name,
                    Done::SignedAnew,
                    (&before, Some(&after)),
                    (&approval.approved_at, ""),
                ),
                _ => Ok(()),
            }
        })
    }

    /// Takes the approval of a sample back, with all that was signed; the finish stays, and the history says what was signed.
    ///
    /// # Errors
    /// There is no such finish, or it is not approved; the archive cannot be written.
    pub fn withdraw(&mut self, name: &str, reason: &str, made_at: &str) -> Result<Approval> {
        let path = self.path.clone();
        self.write(|writing| {
            let id = writing.id_named(name)?;
            let before = signed(writing, name)?.ok_or_else(|| Error::NotApproved {
                name: name.to_owned(),
                path: path.clone(),
            })?;
            writing.run("DELETE FROM signature WHERE finish_id = ?1", [id])?;
            writing.run("DELETE FROM approval WHERE finish_id = ?1", [id])?;
            note(
                writing,
                name,
                Done::Withdrawn,
                (&before, None),
                (made_at, reason),
            )?;
            Ok(before)
        })
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
    let signed_by: Option<String> = row.get("signed_by")?;
    Ok(Some(Approval {
        approved_at: row.get("approved_at")?,
        allowances,
        light: row.get("light")?,
        dark: row.get("dark")?,
        variety: variety.map(|Word(variety)| variety),
        signature: signed_by
            .zip(row.get("signed_at")?)
            .map(|(by, at)| Signature { by, at }),
    }))
}

/// What was signed of a finish, as it stands while something is written.
fn signed(writing: &Writing<'_>, name: &str) -> Result<Option<Approval>> {
    let found = writing
        .all
        .prepare_cached(include_str!("sql/get_approval.sql"))
        .and_then(|mut get| get.query_row([name], unchanged).optional())
        .map_err(writing.sql())?;
    match found {
        None => Ok(None),
        Some(Some(approval)) => Ok(Some(approval)),
        Some(None) => Err(Error::KeptChanged {
            name: name.to_owned(),
            path: writing.path.to_owned(),
        }),
    }
}

/// Notes in the history what was signed before and since.
fn note(
    writing: &Writing<'_>,
    name: &str,
    done: Done,
    (before, after): (&Approval, Option<&Approval>),
    (made_at, reason): (&str, &str),
) -> Result<()> {
    let text =
        |signed: &Approval| serde_json::to_string(signed).map_err(|e| damaged(writing.path, &e));
    let change = Change {
        made_at: made_at.to_owned(),
        thing: Thing::Finish,
        name: name.to_owned(),
        done,
        before: text(before)?,
        after: after.map_or(Ok(NOTHING.to_owned()), text)?,
        reason: reason.to_owned(),
    };
    change::add(writing, Some(writing.id_named(name)?), &change)
}

/// Lets of an approval that is there only this hold, its date and its signature left as they are.
fn hold(writing: &Writing<'_>, name: &str, left: &Approval) -> Result<()> {
    let allowances =
        serde_json::to_string(&left.allowances).map_err(|e| damaged(writing.path, &e))?;
    let id = |piece: &Option<String>| {
        piece
            .as_deref()
            .map(|name| writing.id_named(name))
            .transpose()
    };
    writing.run(
        "UPDATE approval SET allowances = ?2, light_id = ?3, dark_id = ?4, variety = ?5, seal = NULL WHERE finish_id = ?1",
        params![
            writing.id_named(name)?,
            allowances,
            id(&left.light)?,
            id(&left.dark)?,
            left.variety.and_then(word_of)
        ],
    )?;
    Ok(())
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
    if let Some(signature) = &approval.signature {
        writing.run(
            include_str!("sql/add_signature.sql"),
            params![finish, signature.by, signature.at],
        )?;
    }
    Ok(())
}
