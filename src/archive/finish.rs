//! Finishes and their approvals.

use std::collections::BTreeMap;

use rusqlite::params;

use super::{Archive, Json, Source, Word, Writing, file, reading};
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
    /// The tints of its colour, PNG, where it is known.
    pub colour: Option<&'a [u8]>,
    /// Small picture, PNG.
    pub picture: &'a [u8],
    /// Anything the maker wrote.
    pub notes: &'a str,
    /// The photo's file itself, where it is to be kept too.
    pub photo: Option<&'a [u8]>,
}

/// A kept finish.
#[derive(Debug, Clone, PartialEq)]
pub struct Finish {
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

/// The pictures of a kept finish, PNG.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pictures {
    /// Silver map, 8-bit.
    pub silver_map: Vec<u8>,
    /// Small picture.
    pub picture: Vec<u8>,
    /// The tints of its colour, where it was kept.
    pub colour: Option<Vec<u8>>,
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
        let fingerprint = serde_json::to_string(new.fingerprint).map_err(|e| self.damaged(&e))?;
        self.write(|writing| {
            let row = Row {
                name: new.name,
                kept_at: new.kept_at,
                photo_name: &super::line(new.photo_name),
                photo_digest: &new.fingerprint.provenance.photo_digest,
                notes: &super::lines(new.notes),
            };
            let id = add(writing, &row)?;
            let reading = reading::Text {
                read_at: new.kept_at,
                source: Source::Photo,
                fingerprint: &fingerprint,
                silver_map: new.silver_map,
                picture: new.picture,
                colour: new.colour,
            };
            reading::add(writing, id, new.name, &reading)?;
            new.photo
                .map_or(Ok(()), |bytes| add_photo(writing, id, &row, bytes))
        })
    }

    /// The finish of a name, or none.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn finish(&self, name: &str) -> Result<Option<Finish>> {
        self.row(name)?.map(|row| self.finish_of(row)).transpose()
    }

    /// The finish of a name.
    ///
    /// # Errors
    /// There is none of that name; the archive cannot be read.
    pub fn finish_named(&self, name: &str) -> Result<Finish> {
        self.finish(name)?.ok_or_else(|| self.no_such(name))
    }

    /// A finish without its readings.
    pub(super) fn row_of(&self, name: &str) -> Result<KeptRow> {
        let row = |row: &rusqlite::Row<'_>| {
            Ok(KeptRow {
                kept_at: row.get("kept_at")?,
                photo_name: row.get("photo_name")?,
                photo_digest: row.get("photo_digest")?,
                notes: row.get("notes")?,
                photo: row.get("photo")?,
                unchanged: row.get("unchanged")?,
            })
        };
        self.one(include_str!("sql/get_finish_row.sql"), name, row)?
            .ok_or_else(|| self.no_such(name))
    }

    pub(super) fn changed(&self, name: &str) -> Error {
        Error::KeptChanged {
            name: name.to_owned(),
            path: self.path.clone(),
        }
    }

    pub(super) fn no_such(&self, name: &str) -> Error {
        Error::NoSuchFinish {
            name: name.to_owned(),
            path: self.path.clone(),
        }
    }

    /// The names of all finishes, by when they were kept and then by name: an order that leaving and coming back does not
    /// change.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn names(&self) -> Result<Vec<String>> {
        self.connection
            .prepare_cached("SELECT name FROM finish ORDER BY kept_at, name")
            .and_then(|mut list| list.query_map([], |row| row.get(0))?.collect())
            .map_err(self.sql())
    }

    /// The pictures of a finish.
    ///
    /// # Errors
    /// There is no such finish; the archive cannot be read.
    pub fn pictures(&self, finish: &Finish) -> Result<Pictures> {
        self.pictures_of(&finish.name)
    }

    /// The same by its name, of whatever version its reading is.
    ///
    /// # Errors
    /// There is no such finish; the archive cannot be read.
    pub fn pictures_of(&self, finish: &str) -> Result<Pictures> {
        let row = |row: &rusqlite::Row<'_>| Ok((row.get(0)?, row.get(1)?, row.get(2)?));
        let found: Option<(String, String, Option<String>)> =
            self.one(include_str!("sql/get_pictures.sql"), finish, row)?;
        let (map, picture, colour) = found.ok_or_else(|| self.no_such(finish))?;
        Ok(Pictures {
            silver_map: self.bytes(&map, finish)?,
            picture: self.bytes(&picture, finish)?,
            colour: colour.map(|c| self.bytes(&c, finish)).transpose()?,
        })
    }

    /// The photo's file of a finish, where it was kept.
    ///
    /// # Errors
    /// The archive cannot be read, or the photo is no longer what was kept.
    pub fn photo(&self, finish: &str) -> Result<Option<Vec<u8>>> {
        let digest: Option<String> =
            self.one(include_str!("sql/get_photo.sql"), finish, |row| row.get(0))?;
        digest.map(|digest| self.bytes(&digest, finish)).transpose()
    }

    /// Marks a finish as the approved sample, with what the studio says of it. Approving again adds allowances or takes
    /// the place of what is said anew; the rest, and the first date, stay.
    ///
    /// # Errors
    /// There is no such finish, or none of a limit piece's name; the archive cannot be written.
    pub fn approve(&mut self, name: &str, approved_at: &str, signing: &Signing) -> Result<()> {
        self.write(|writing| sign(writing, name, approved_at, signing))
    }

    /// What was signed of a finish, of whatever version its reading is.
    ///
    /// # Errors
    /// There is no such finish; the archive cannot be read.
    pub fn approval(&self, name: &str) -> Result<Option<Approval>> {
        let row = self.row(name)?.ok_or_else(|| self.no_such(name))?;
        self.approval_of(row.signed, name)
    }

    fn approval_of(&self, signed: Signed, name: &str) -> Result<Option<Approval>> {
        match signed {
            Signed::Not => Ok(None),
            Signed::Changed => Err(self.changed(name)),
            Signed::So(approval) => Ok(Some(approval)),
        }
    }

    fn row(&self, name: &str) -> Result<Option<FinishRow>> {
        self.one(include_str!("sql/get_finish.sql"), name, finish_row)
    }

    fn finish_of(&self, row: FinishRow) -> Result<Finish> {
        let (Some(text), Some(kept)) = (row.fingerprint, row.fingerprint_digest) else {
            return Err(self.damaged(&format!("`{}` has no reading", row.name)));
        };
        if super::digest(text.as_bytes()) != kept {
            return Err(self.changed(&row.name));
        }
        if row.version != crate::fingerprint::VERSION {
            return Err(Error::FingerprintVersion {
                name: row.name,
                found: row.version,
                expected: crate::fingerprint::VERSION,
            });
        }
        let fingerprint: Fingerprint = serde_json::from_str(&text).map_err(|e| self.damaged(&e))?;
        if !fingerprint.is_sound() {
            return Err(Error::ReadingUnreadable { name: row.name });
        }
        let approval = self.approval_of(row.signed, &row.name)?;
        Ok(Finish {
            kept_at: row.kept_at,
            photo_name: row.photo_name,
            fingerprint,
            notes: row.notes,
            approval,
            name: row.name,
        })
    }
}

/// Writes down what was said in signing.
pub(super) fn sign(
    writing: &Writing<'_>,
    name: &str,
    approved_at: &str,
    signing: &Signing,
) -> Result<()> {
    let allowances =
        serde_json::to_string(&signing.allowances).map_err(|e| super::damaged(writing.path, &e))?;
    let variety = signing.variety.and_then(super::word_of);
    let finish = writing.id_named(name)?;
    let id = |piece: &Option<String>| {
        piece
            .as_deref()
            .map(|name| writing.id_named(name))
            .transpose()
    };
    let (light, dark) = (id(&signing.light)?, id(&signing.dark)?);
    writing.run(
        include_str!("sql/approve.sql"),
        params![finish, approved_at, allowances, light, dark, variety],
    )?;
    Ok(())
}

/// A finish without its readings, as it is kept.
pub(super) struct KeptRow {
    pub(super) kept_at: String,
    pub(super) photo_name: String,
    pub(super) photo_digest: String,
    pub(super) notes: String,
    /// Digest of the photo's file, where it is kept.
    pub(super) photo: Option<String>,
    /// It is what was kept.
    pub(super) unchanged: bool,
}

/// A finish without its reading.
pub(super) struct Row<'a> {
    pub(super) name: &'a str,
    pub(super) kept_at: &'a str,
    pub(super) photo_name: &'a str,
    pub(super) photo_digest: &'a str,
    pub(super) notes: &'a str,
}

/// Adds a finish under a new name, its reading still to come.
pub(super) fn add(writing: &Writing<'_>, new: &Row<'_>) -> Result<i64> {
    if writing.id_of(new.name)?.is_some() {
        return Err(Error::NameTaken {
            name: new.name.to_owned(),
            path: writing.path.to_owned(),
        });
    }
    writing.run(
        include_str!("sql/add_finish.sql"),
        params![
            new.name,
            new.kept_at,
            new.photo_name,
            new.photo_digest,
            new.notes
        ],
    )?;
    Ok(writing.all.last_insert_rowid())
}

/// Keeps the photo's file of a finish. It must be the very photo that was read.
pub(super) fn add_photo(
    writing: &Writing<'_>,
    id: i64,
    finish: &Row<'_>,
    bytes: &[u8],
) -> Result<()> {
    let digest = file::add(writing, bytes, finish.name)?;
    if digest != finish.photo_digest {
        return Err(Error::PhotoChanged {
            name: finish.name.to_owned(),
        });
    }
    writing.run(
        "INSERT INTO photo (finish_id, digest) VALUES (?1, ?2)",
        params![id, digest],
    )?;
    Ok(())
}

struct FinishRow {
    name: String,
    version: u32,
    kept_at: String,
    photo_name: String,
    fingerprint: Option<String>,
    fingerprint_digest: Option<String>,
    notes: String,
    signed: Signed,
}

fn finish_row(row: &rusqlite::Row<'_>) -> rusqlite::Result<FinishRow> {
    Ok(FinishRow {
        version: row.get("version")?,
        fingerprint_digest: row.get("fingerprint_digest")?,
        name: row.get("name")?,
        kept_at: row.get("kept_at")?,
        photo_name: row.get("photo_name")?,
        fingerprint: row.get("fingerprint")?,
        notes: row.get("notes")?,
        signed: signed(row)?,
    })
}

/// What was signed, as it stands in the file.
enum Signed {
    /// Nothing.
    Not,
    /// It is no longer what was kept.
    Changed,
    So(Approval),
}

fn signed(row: &rusqlite::Row<'_>) -> rusqlite::Result<Signed> {
    let Some(approved_at) = row.get("approved_at")? else {
        return Ok(Signed::Not);
    };
    if !row.get::<_, bool>("approval_sound")? {
        return Ok(Signed::Changed);
    }
    let Json(allowances) = row.get("allowances")?;
    let variety: Option<Word<Variety>> = row.get("variety")?;
    Ok(Signed::So(Approval {
        approved_at,
        allowances,
        light: row.get("light")?,
        dark: row.get("dark")?,
        variety: variety.map(|Word(variety)| variety),
    }))
}
