//! Rigs and their studies.

use rusqlite::{OptionalExtension, params};

use super::{Archive, Writing};
use crate::error::{Error, Result};
use crate::fingerprint::Repeatability;
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
}

/// The study of a rig as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptStudy {
    /// When, RFC 3339.
    pub studied_at: String,
    /// Its text.
    pub study: String,
}

impl Archive {
    /// All rigs by name, each with its study.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn rigs(&self) -> Result<Vec<KeptRig>> {
        let query = "SELECT name, made_at, rig.rig, studied_at, study
                     FROM rig LEFT JOIN rig_study ON rig_study.rig = name ORDER BY name";
        let row = |row: &rusqlite::Row<'_>| {
            let studied_at: Option<String> = row.get("studied_at")?;
            let study: Option<String> = row.get("study")?;
            Ok(KeptRig {
                name: row.get("name")?,
                made_at: row.get("made_at")?,
                rig: row.get("rig")?,
                study: studied_at
                    .zip(study)
                    .map(|(studied_at, study)| KeptStudy { studied_at, study }),
            })
        };
        self.connection
            .prepare_cached(query)
            .and_then(|mut get| get.query_map([], row)?.collect())
            .map_err(self.sql())
    }

    /// Stores a rig under its name. A rig made again under the same name takes the place of the old one: readings keep
    /// what they were made with. A study of the old one goes with it: another corner, another light. Whether there was
    /// one is returned.
    ///
    /// # Errors
    /// The name is empty or unprintable; the archive cannot be written.
    pub fn store_rig(&mut self, rig: &Rig, made_at: &str) -> Result<bool> {
        super::fit_name(&rig.name)?;
        let text = serde_json::to_string(rig).map_err(|e| self.damaged(&e))?;
        self.write(|writing| {
            let studies = writing.run("DELETE FROM rig_study WHERE rig = ?1", [&rig.name])?;
            writing.run(
                "INSERT OR REPLACE INTO rig (name, made_at, rig) VALUES (?1, ?2, ?3)",
                params![rig.name, made_at, text],
            )?;
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
        self.write(|writing| {
            writing.run(
                "INSERT OR REPLACE INTO rig_study (rig, studied_at, study) VALUES (?1, ?2, ?3)",
                params![rig, studied_at, text],
            )?;
            Ok(())
        })
    }

    /// What the study of a rig found, where it was studied.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn study(&self, rig: &str) -> Result<Option<Repeatability>> {
        self.text_of("SELECT study FROM rig_study WHERE rig = ?1", rig)?
            .map(|text| serde_json::from_str(&text).map_err(|e| self.damaged(&e)))
            .transpose()
    }

    /// The rig of a name.
    ///
    /// # Errors
    /// There is none of that name; the archive cannot be read.
    pub fn rig(&self, name: &str) -> Result<Rig> {
        let text = self.text_of("SELECT rig FROM rig WHERE name = ?1", name)?;
        let text = text.ok_or_else(|| Error::NoSuchRig {
            name: name.to_owned(),
            path: self.path.clone(),
        })?;
        serde_json::from_str(&text).map_err(|e| self.damaged(&e))
    }

    /// The one text that a query by name finds.
    fn text_of(&self, query: &str, name: &str) -> Result<Option<String>> {
        self.connection
            .query_row(query, [name], |row| row.get(0))
            .optional()
            .map_err(self.sql())
    }
}

/// Keeps a rig that comes from elsewhere, where none of its name is kept: `None`. Else whether the one that is kept is the
/// same.
pub(super) fn enter(
    writing: &Writing<'_>,
    name: &str,
    made_at: &str,
    rig: &str,
    study: Option<(&str, &str)>,
) -> Result<Option<bool>> {
    let there: Option<(String, Option<String>)> = writing
        .all
        .query_row(
            "SELECT rig.rig, study FROM rig LEFT JOIN rig_study ON rig_study.rig = name WHERE name = ?1",
            [name],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )
        .optional()
        .map_err(writing.sql())?;
    if let Some((text, studied)) = there {
        let same = text == rig && studied.as_deref() == study.map(|(_, text)| text);
        return Ok(Some(same));
    }
    writing.run(
        "INSERT INTO rig (name, made_at, rig) VALUES (?1, ?2, ?3)",
        params![name, made_at, rig],
    )?;
    if let Some((at, text)) = study {
        writing.run(
            "INSERT INTO rig_study (rig, studied_at, study) VALUES (?1, ?2, ?3)",
            params![name, at, text],
        )?;
    }
    Ok(None)
}
