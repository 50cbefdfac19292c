//! Rigs and their studies.

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::{Archive, Writing, fit_name, fits_time};
use crate::error::{Error, Result};
use crate::fingerprint::{Provenance, Repeatability};
use crate::normalize::Rig;

/// A rig as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptRig {
    /// Its name.
    pub name: String,
    /// When it was made, RFC 3339.
    pub made_at: String,
    /// Its text.
    pub rig: String,
    /// What its study found, where it was studied.
    pub study: Option<KeptStudy>,
    /// It is what was kept.
    pub(super) unchanged: bool,
}

/// The study of a rig as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptStudy {
    /// When, RFC 3339.
    pub studied_at: String,
    /// Its text.
    pub study: String,
}

impl KeptRig {
    /// The rig, where the text is what was kept, one, and of this name.
    fn read(&self) -> Option<Rig> {
        let rig: Rig = serde_json::from_str(&self.rig).ok()?;
        (self.unchanged && rig.name == self.name).then_some(rig)
    }

    /// The rig and its study can be understood.
    pub(super) fn is_sound(&self) -> bool {
        let study = |s: &KeptStudy| {
            fits_time(&s.studied_at) && serde_json::from_str::<Repeatability>(&s.study).is_ok()
        };
        fit_name(&self.name).is_ok()
            && fits_time(&self.made_at)
            && self.read().is_some()
            && self.study.as_ref().is_none_or(study)
    }
}

impl Archive {
    /// All rigs by name, each with its study.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn rigs(&self) -> Result<Vec<KeptRig>> {
        self.connection
            .prepare_cached(include_str!("sql/get_rigs.sql"))
            .and_then(|mut get| get.query_map([None::<&str>], kept)?.collect())
            .map_err(self.sql())
    }

    /// The rigs that others of their names took the place of, each with its study, by name and then by when they were made.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn earlier_rigs(&self) -> Result<Vec<KeptRig>> {
        earlier(&self.connection, None).map_err(self.sql())
    }

    /// Stores a rig under its name. A rig made again under the same name takes the place of the old one, which stays for what was
    /// read with it. A study of the old one goes with it: another corner, another light. Whether there was one is returned.
    ///
    /// # Errors
    /// The name is empty or unprintable; the archive cannot be written.
    pub fn store_rig(&mut self, rig: &Rig, made_at: &str) -> Result<bool> {
        fit_name(&rig.name)?;
        let text = serde_json::to_string(rig).map_err(|e| self.damaged(&e))?;
        self.write(|writing| {
            // One that is damaged is no light to read by.
            if let Some(old) = there(writing, &rig.name)?.filter(KeptRig::is_sound) {
                add_earlier(writing, &old)?;
            }
            let studies = writing.run("DELETE FROM rig_study WHERE rig = ?1", [&rig.name])?;
            add(writing, &rig.name, made_at, &text)?;
            Ok(studies > 0)
        })
    }

    /// Stores the study of a rig; a later one takes the place of an earlier.
    ///
    /// # Errors
    /// There is no such rig; the archive cannot be written.
    pub fn store_study(
        &mut self,
        rig: &str,
        study: &Repeatability,
        studied_at: &str,
    ) -> Result<()> {
        self.rig(rig)?;
        let text = serde_json::to_string(study).map_err(|e| self.damaged(&e))?;
        self.write(|writing| add_study(writing, rig, studied_at, &text))
    }

    /// What the study of a rig found, where it was studied.
    ///
    /// # Errors
    /// The rig is damaged; the archive cannot be read.
    pub fn study(&self, rig: &str) -> Result<Option<Repeatability>> {
        let kept = self.kept_rig(rig)?.and_then(|kept| kept.study);
        kept.map(|s| serde_json::from_str(&s.study).map_err(|_| self.unreadable_rig(rig)))
            .transpose()
    }

    /// The rig of a name.
    ///
    /// # Errors
    /// There is none of that name, or it is damaged; the archive cannot be read.
    pub fn rig(&self, name: &str) -> Result<Rig> {
        let kept = self.kept_rig(name)?.ok_or_else(|| Error::NoSuchRig {
            name: name.to_owned(),
            path: self.path.clone(),
        })?;
        kept.read().ok_or_else(|| self.unreadable_rig(name))
    }

    /// The rig that a reading made at a time was made with, and what its study found; `None` where it is not kept. A reading that
    /// does not tell which of its name it was, is of the one that held at the time.
    ///
    /// # Errors
    /// It is damaged; the archive cannot be read.
    pub fn rig_of(
        &self,
        reading: &Provenance,
        read_at: &str,
    ) -> Result<Option<(Rig, Option<Repeatability>)>> {
        let Some(name) = &reading.rig else {
            return Ok(None);
        };
        let mut all = earlier(&self.connection, Some(name)).map_err(self.sql())?;
        all.extend(self.kept_rig(name)?);
        let held = |kept: &KeptRig| match &reading.rig_digest {
            Some(digest) => kept.read().is_some_and(|rig| rig.digest() == *digest),
            None => kept.made_at.as_str() <= read_at,
        };
        let read = |kept: KeptRig| {
            let study = kept.study.as_ref().map(|s| serde_json::from_str(&s.study));
            let both = kept.read().zip(study.transpose().ok());
            both.ok_or_else(|| self.unreadable_rig(name))
        };
        all.into_iter().rev().find(held).map(read).transpose()
    }

    fn kept_rig(&self, name: &str) -> Result<Option<KeptRig>> {
        self.one(include_str!("sql/get_rigs.sql"), name, kept)
    }

    pub(super) fn unreadable_rig(&self, name: &str) -> Error {
        Error::RigUnreadable {
            name: name.to_owned(),
            path: self.path.clone(),
        }
    }
}

/// Keeps a rig that comes from elsewhere, where none of its name is kept: `None`. Else whether one that is kept is the same.
pub(super) fn enter(writing: &Writing<'_>, new: &KeptRig) -> Result<Option<bool>> {
    let Some(there) = there(writing, &new.name)? else {
        add(writing, &new.name, &new.made_at, &new.rig)?;
        if let Some(study) = &new.study {
            add_study(writing, &new.name, &study.studied_at, &study.study)?;
        }
        return Ok(None);
    };
    let before = earlier(&writing.all, Some(&new.name)).map_err(writing.sql())?;
    let same = |kept: &KeptRig| kept.made_at == new.made_at && kept.rig == new.rig;
    Ok(Some(same(&there) || before.iter().any(same)))
}

/// Keeps an earlier rig that comes from elsewhere, unless it is kept.
pub(super) fn enter_earlier(writing: &Writing<'_>, new: &KeptRig) -> Result<()> {
    let before = earlier(&writing.all, Some(&new.name)).map_err(writing.sql())?;
    if before.contains(new) {
        return Ok(());
    }
    add_earlier(writing, new)
}

fn there(writing: &Writing<'_>, name: &str) -> Result<Option<KeptRig>> {
    writing
        .all
        .prepare_cached(include_str!("sql/get_rigs.sql"))
        .and_then(|mut get| get.query_row([name], kept).optional())
        .map_err(writing.sql())
}

fn earlier(connection: &Connection, name: Option<&str>) -> rusqlite::Result<Vec<KeptRig>> {
    connection
        .prepare_cached(include_str!("sql/get_earlier_rigs.sql"))
        .and_then(|mut get| get.query_map([name], kept)?.collect())
}

fn add_earlier(writing: &Writing<'_>, old: &KeptRig) -> Result<()> {
    let study = old.study.as_ref();
    writing.run(
        include_str!("sql/add_earlier_rig.sql"),
        params![
            old.name,
            old.made_at,
            old.rig,
            study.map(|s| &s.studied_at),
            study.map(|s| &s.study)
        ],
    )?;
    Ok(())
}

fn add(writing: &Writing<'_>, name: &str, made_at: &str, rig: &str) -> Result<()> {
    writing.run(include_str!("sql/add_rig.sql"), params![name, made_at, rig])?;
    Ok(())
}

fn add_study(writing: &Writing<'_>, rig: &str, studied_at: &str, study: &str) -> Result<()> {
    writing.run(
        include_str!("sql/add_study.sql"),
        params![rig, studied_at, study],
    )?;
    Ok(())
}

fn kept(row: &Row<'_>) -> rusqlite::Result<KeptRig> {
    let studied_at: Option<String> = row.get("studied_at")?;
    let study: Option<String> = row.get("study")?;
    Ok(KeptRig {
        name: row.get("name")?,
        made_at: row.get("made_at")?,
        rig: row.get("rig")?,
        study: studied_at
            .zip(study)
            .map(|(studied_at, study)| KeptStudy { studied_at, study }),
        unchanged: row.get("unchanged")?,
    })
}
