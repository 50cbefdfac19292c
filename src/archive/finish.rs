//! Finishes and their approvals.

use std::collections::BTreeMap;

use rusqlite::{OptionalExtension, Row, params};

use super::Archive;
use crate::error::{Error, Result};
use crate::fingerprint::{Fingerprint, Variety};

/// A finish to keep.
pub struct NewFinish<'a> {
    /// The studio's name for it.
    pub name: &'a str,
    /// When, RFC 3339.
    pub kept_at: &'a str,
    /// File name of the photo.
    pub photo_name: &'a str,
    /// What was read.
    pub fingerprint: &'a Fingerprint,
    /// Silver map, 8-bit PNG.
    pub silver_map: &'a [u8],
    /// Small picture, PNG.
    pub picture: &'a [u8],
    /// Anything the maker wrote.
    pub notes: &'a str,
}

/// A kept finish.
#[derive(Debug, Clone, PartialEq)]
pub struct Finish {
    pub(super) id: i64,
    /// The studio's name for it.
    pub name: String,
    /// When it was kept, RFC 3339.
    pub kept_at: String,
    /// File name of the photo.
    pub photo_name: String,
    /// What was read.
    pub fingerprint: Fingerprint,
    /// Anything the maker wrote.
    pub notes: String,
    /// Its approval, where it is an approved sample.
    pub approval: Option<Approval>,
}

/// What was signed.
#[derive(Debug, Clone, PartialEq)]
pub struct Approval {
    /// When, RFC 3339.
    pub approved_at: String,
    /// The studio's own allowances, measure to allowance.
    pub allowances: BTreeMap<String, f64>,
    /// Name of the lightest signed piece.
    pub light: Option<String>,
    /// Name of the darkest.
    pub dark: Option<String>,
    /// How much the finish is meant to vary.
    pub variety: Option<Variety>,
}

/// What is said in signing a sample; what is left out stays as it was.
#[derive(Debug, Clone, Default)]
pub struct Signing {
    /// Allowances, measure to allowance.
    pub allowances: BTreeMap<String, f64>,
    /// Name of the kept finish that is the lightest signed piece.
    pub light: Option<String>,
    /// Of the darkest.
    pub dark: Option<String>,
    /// How much the finish is meant to vary.
    pub variety: Option<Variety>,
}

impl Archive {
    /// Keeps a finish under a new name. When this returns, it is on disk.
    ///
    /// # Errors
    /// The name is taken, empty or unprintable; the archive cannot be written.
    pub fn keep(&mut self, new: &NewFinish<'_>) -> Result<()> {
        super::fit_name(new.name)?;
        if self.finish(new.name)?.is_some() {
            return Err(Error::NameTaken {
                name: new.name.to_owned(),
                path: self.path.clone(),
            });
        }
        let fingerprint = serde_json::to_string(new.fingerprint).map_err(|e| self.damaged(&e))?;
        let stage = new.fingerprint.provenance.placement.stage;
        let stage = stage.and_then(super::word_of);
        self.connection
            .prepare_cached(include_str!("sql/add_finish.sql"))
            .and_then(|mut add| {
                add.execute(params![
                    new.name,
                    new.kept_at,
                    new.photo_name,
                    new.fingerprint.provenance.photo_digest,
                    new.fingerprint.settings_digest,
                    new.fingerprint.version,
                    stage,
                    fingerprint,
                    new.silver_map,
                    new.picture,
                    new.notes,
                ])
            })
            .map_err(self.sql())?;
        Ok(())
    }

    /// The finish of a name, or none.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn finish(&self, name: &str) -> Result<Option<Finish>> {
        let sql = concat!(include_str!("sql/get_finish.sql"), "WHERE finish.name = ?1");
        let row = self
            .connection
            .prepare_cached(sql)
            .and_then(|mut get| get.query_row([name], finish_row).optional())
            .map_err(self.sql())?;
        row.map(|row| self.finish_of(row)).transpose()
    }

    /// The finish of a name.
    ///
    /// # Errors
    /// There is none of that name; the archive cannot be read.
    pub fn finish_named(&self, name: &str) -> Result<Finish> {
        self.finish(name)?.ok_or_else(|| Error::NoSuchFinish {
            name: name.to_owned(),
            path: self.path.clone(),
        })
    }

    /// All finishes, the oldest first.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn finishes(&self) -> Result<Vec<Finish>> {
        let sql = concat!(include_str!("sql/get_finish.sql"), "ORDER BY finish.id");
        let rows: Vec<FinishRow> = self
            .connection
            .prepare_cached(sql)
            .and_then(|mut get| get.query_map([], finish_row)?.collect())
            .map_err(self.sql())?;
        rows.into_iter().map(|row| self.finish_of(row)).collect()
    }

    /// The pictures of a finish: silver map and small picture, PNG.
    ///
    /// # Errors
    /// There is no such finish; the archive cannot be read.
    pub fn pictures(&self, finish: &Finish) -> Result<(Vec<u8>, Vec<u8>)> {
        self.connection
            .query_row(
                "SELECT silver_map, picture FROM finish WHERE id = ?1",
                [finish.id],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .map_err(self.sql())
    }

    /// Marks a finish as the approved sample, with what the studio says of it. Approving again adds allowances or takes
    /// the place of what is said anew; the rest, and the first date, stay.
    ///
    /// # Errors
    /// There is no such finish, or none of a limit piece's name; the archive cannot be written.
    pub fn approve(&mut self, name: &str, approved_at: &str, signing: &Signing) -> Result<()> {
        let finish = self.finish_named(name)?;
        let id = |piece: &Option<String>| -> Result<Option<i64>> {
            piece
                .as_deref()
                .map(|name| Ok(self.finish_named(name)?.id))
                .transpose()
        };
        let (light, dark) = (id(&signing.light)?, id(&signing.dark)?);
        let allowances =
            serde_json::to_string(&signing.allowances).map_err(|e| self.damaged(&e))?;
        let variety = signing.variety.and_then(super::word_of);
        self.connection
            .execute(
                include_str!("sql/approve.sql"),
                params![finish.id, approved_at, allowances, light, dark, variety],
            )
            .map_err(self.sql())?;
        Ok(())
    }

    fn finish_of(&self, row: FinishRow) -> Result<Finish> {
        let json = |e: serde_json::Error| self.damaged(&e);
        let approval = match row.approval {
            None => None,
            Some((approved_at, allowances)) => Some(Approval {
                approved_at,
                allowances: serde_json::from_str(&allowances).map_err(json)?,
                light: row.light,
                dark: row.dark,
                variety: row.variety.map(|v| self.of_word(&v)).transpose()?,
            }),
        };
        // The version stands at the front of the text, so it can be read where the rest has changed.
        let found = serde_json::from_str::<Versioned>(&row.fingerprint)
            .map_err(json)?
            .version;
        if found != crate::fingerprint::VERSION {
            return Err(Error::FingerprintVersion {
                name: row.name,
                found,
                expected: crate::fingerprint::VERSION,
            });
        }
        Ok(Finish {
            id: row.id,
            kept_at: row.kept_at,
            photo_name: row.photo_name,
            fingerprint: serde_json::from_str(&row.fingerprint).map_err(json)?,
            notes: row.notes,
            approval,
            name: row.name,
        })
    }
}

#[derive(serde::Deserialize)]
struct Versioned {
    version: u32,
}

struct FinishRow {
    id: i64,
    name: String,
    kept_at: String,
    photo_name: String,
    fingerprint: String,
    notes: String,
    approval: Option<(String, String)>,
    light: Option<String>,
    dark: Option<String>,
    variety: Option<String>,
}

fn finish_row(row: &Row<'_>) -> rusqlite::Result<FinishRow> {
    let approved_at: Option<String> = row.get("approved_at")?;
    let allowances: Option<String> = row.get("allowances")?;
    Ok(FinishRow {
        id: row.get("id")?,
        name: row.get("name")?,
        kept_at: row.get("kept_at")?,
        photo_name: row.get("photo_name")?,
        fingerprint: row.get("fingerprint")?,
        notes: row.get("notes")?,
        approval: approved_at.zip(allowances),
        light: row.get("light")?,
        dark: row.get("dark")?,
        variety: row.get("variety")?,
    })
}
