//! Rigs and their studies.

use rusqlite::{Connection, OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};

use super::change::{self, Change, Done, Thing, name_json};
use super::name::found_in;
use super::near::{Named, near};
use super::text::{fit_name, fits_time};
use super::{Archive, Writing, usual};
use crate::error::{Error, Result};
use crate::fingerprint::{Provenance, Repeatability};
use crate::normalize::Rig;

/// A rig as it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct KeptRig {
    pub(super) name: String,
    /// When it was made, RFC 3339.
    pub(super) made_at: String,
    /// The rig's text.
    #[serde(with = "super::raw")]
    pub(super) rig: String,
    pub(super) study: Option<KeptStudy>,
    /// The row matches its checksum.
    #[serde(skip, default = "yes")]
    pub(super) unchanged: bool,
}

/// A rig in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedRig {
    /// Its name.
    pub name: String,
    /// When it was made, RFC 3339.
    pub made_at: String,
    /// When it was studied, where it was.
    pub studied_at: Option<String>,
    /// It can be read with.
    pub is_sound: bool,
}

/// The study of a rig as it is kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct KeptStudy {
    /// When, RFC 3339.
    studied_at: String,
    /// The study's text.
    #[serde(with = "super::raw")]
    study: String,
}

/// An export has no checksums of rows: its rigs are checked as a whole.
fn yes() -> bool {
    true
}

impl KeptRig {
    /// The rig, where the row is unchanged and its text is a rig of this name.
    fn read(&self) -> Option<Rig> {
        let rig: Rig = serde_json::from_str(&self.rig).ok()?;
        (self.unchanged && rig.name == self.name).then_some(rig)
    }

    /// Whether the rig and its study can be read.
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
    pub(super) fn rigs(&self) -> Result<Vec<KeptRig>> {
        self.read(|file| {
            file.prepare_cached(include_str!("sql/get_rigs.sql"))?
                .query_map([None::<&str>], kept)?
                .collect()
        })
    }

    /// The names of all rigs.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn rig_names(&self) -> Result<Vec<String>> {
        self.read(names)
    }

    /// The rigs that another of the same name replaced, each with its study, by name and then by when they were made.
    pub(super) fn earlier_rigs(&self) -> Result<Vec<KeptRig>> {
        self.read(|file| earlier(file, None))
    }

    /// Stores a rig under its name. One that takes the place of another of its name leaves that among the earlier ones, for what
    /// was read with it. The study of the old one goes with it: another corner, another light. Returns whether there was a study.
    ///
    /// # Errors
    /// The name is empty or unprintable; there is a rig of that name and it is not to be replaced; the archive cannot be written.
    pub fn store_rig(&mut self, rig: &Rig, made_at: &str, replace: bool) -> Result<bool> {
        fit_name(&rig.name)?;
        let text = serde_json::to_string(rig).map_err(|e| self.damaged(&e))?;
        self.write(|writing| {
            let names = names(&writing.all).map_err(writing.sql())?;
            let Some(before) = found_in(names, &rig.name) else {
                add(writing, &rig.name, made_at, &text)?;
                return Ok(false);
            };
            if !replace {
                return Err(Error::RigThere {
                    name: before,
                    path: writing.path.to_owned(),
                });
            }
            let study = take_away(writing, &before)?;
            add(writing, &rig.name, made_at, &text)?;
            note(writing, &before, Done::Replaced, &rig.name, made_at)?;
            Ok(study.is_some())
        })
    }

    /// Gives a rig another name; its study goes with it. Under the old name it stays among the earlier ones, for what was read
    /// with it. Returns the name that it had.
    ///
    /// # Errors
    /// There is no such rig, or it is damaged; the new name is taken, empty or unprintable; the archive cannot be written.
    pub fn rename_rig(&mut self, old: &str, new: &str, made_at: &str) -> Result<String> {
        fit_name(new)?;
        let rig = self.rig(old)?;
        let old = rig.name.clone();
        let name = new.to_owned();
        let text = serde_json::to_string(&Rig { name, ..rig }).map_err(|e| self.damaged(&e))?;
        self.write(|writing| {
            let mut names = names(&writing.all).map_err(writing.sql())?;
            names.retain(|name| *name != old);
            if let Some(name) = found_in(names, new) {
                return Err(Error::RigThere {
                    name,
                    path: writing.path.to_owned(),
                });
            }
            let since = there(writing, &old)?.map(|kept| kept.made_at);
            let study = take_away(writing, &old)?;
            add(writing, new, since.as_deref().unwrap_or(made_at), &text)?;
            if let Some(study) = study {
                add_study(writing, new, &study.studied_at, &study.study)?;
            }
            // Who reads with it goes on to.
            writing.run(
                "UPDATE job SET rig = ?2, seal = NULL WHERE rig = ?1",
                [old.as_str(), new],
            )?;
            usual::name_rig(writing, &old, new)?;
            note(writing, &old, Done::Renamed, new, made_at)
        })?;
        Ok(old)
    }

    /// The rigs by name, each with when it was made and whether it was studied.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn listed_rigs(&self) -> Result<Vec<ListedRig>> {
        let listed = |kept: KeptRig| ListedRig {
            is_sound: kept.is_sound(),
            name: kept.name,
            made_at: kept.made_at,
            studied_at: kept.study.map(|study| study.studied_at),
        };
        Ok(self.rigs()?.into_iter().map(listed).collect())
    }

    /// Refuses the name of a rig that is there.
    ///
    /// # Errors
    /// There is one of that name, or one that differs only in capitals or spaces; the archive cannot be read.
    pub fn refuse_rig(&self, name: &str) -> Result<()> {
        let names = self.read(names)?;
        found_in(names, name).map_or(Ok(()), |name| {
            let path = self.path.clone();
            Err(Error::RigThere { name, path })
        })
    }

    /// Stores the study of a rig. A later one replaces an earlier one.
    ///
    /// # Errors
    /// There is no such rig; the archive cannot be written.
    pub fn store_study(
        &mut self,
        rig: &str,
        study: &Repeatability,
        studied_at: &str,
    ) -> Result<()> {
        let rig = &self.rig(rig)?.name;
        let text = serde_json::to_string(study).map_err(|e| self.damaged(&e))?;
        self.write(|writing| add_study(writing, rig, studied_at, &text))
    }

    /// The study of a rig, where it was studied.
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
            near: near(&self.connection, Named::Rig, name),
            path: self.path.clone(),
        })?;
        kept.read().ok_or_else(|| self.unreadable_rig(name))
    }

    /// The rig that a reading was made with, and its study; `None` where the rig is not kept. A reading that has no digest of its
    /// rig is of the one of that name that held when it was made.
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
        let mut all = self.read(|file| earlier(file, Some(name)))?;
        all.extend(self.kept_rig(name)?.filter(|kept| kept.name == *name));
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
        let names = self.read(names)?;
        let name = found_in(names, name);
        let kept = |name: String| self.one(include_str!("sql/get_rigs.sql"), &name, kept);
        name.map_or(Ok(None), kept)
    }

    pub(super) fn unreadable_rig(&self, name: &str) -> Error {
        Error::RigUnreadable {
            name: name.to_owned(),
            path: self.path.clone(),
        }
    }
}

/// Keeps an imported rig where there is none of its name, and returns `None`. Else returns whether a kept one is the same.
pub(super) fn import(writing: &Writing<'_>, new: &KeptRig) -> Result<Option<bool>> {
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

/// Keeps an imported earlier rig, unless it is kept.
pub(super) fn import_earlier(writing: &Writing<'_>, new: &KeptRig) -> Result<()> {
    let before = earlier(&writing.all, Some(&new.name)).map_err(writing.sql())?;
    if before.contains(new) {
        return Ok(());
    }
    add_earlier(writing, new)
}

/// Takes a rig away with its study, which is returned. It stays among the earlier ones, unless it is damaged: no photo can be read
/// with it then.
fn take_away(writing: &Writing<'_>, name: &str) -> Result<Option<KeptStudy>> {
    let old = there(writing, name)?;
    if let Some(old) = old.as_ref().filter(|old| old.is_sound()) {
        add_earlier(writing, old)?;
    }
    writing.run("DELETE FROM rig_study WHERE rig = ?1", [name])?;
    writing.run("DELETE FROM rig WHERE name = ?1", [name])?;
    Ok(old.and_then(|old| old.study))
}

/// Notes in the history what became of a rig.
fn note(writing: &Writing<'_>, old: &str, done: Done, new: &str, made_at: &str) -> Result<()> {
    let change = Change {
        made_at: made_at.to_owned(),
        thing: Thing::Rig,
        name: old.to_owned(),
        done,
        before: name_json(old),
        after: name_json(new),
        reason: String::new(),
    };
    change::add(writing, None, &change)
}

fn names(connection: &Connection) -> rusqlite::Result<Vec<String>> {
    connection
        .prepare_cached("SELECT name FROM rig ORDER BY name")
        .and_then(|mut list| list.query_map([], |row| row.get(0))?.collect())
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
