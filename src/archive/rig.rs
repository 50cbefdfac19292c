//! Rigs.

use rusqlite::{OptionalExtension, params};

use super::Archive;
use crate::error::{Error, Result};
use crate::normalize::Rig;

impl Archive {
    /// Stores a rig under its name. A rig made again under the same name takes the place of the old one: readings keep
    /// what they were made with.
    ///
    /// # Errors
    /// The name is empty or unprintable; the archive cannot be written.
    pub fn store_rig(&mut self, rig: &Rig, made_at: &str) -> Result<()> {
        super::fit_name(&rig.name)?;
        let text = serde_json::to_string(rig).map_err(|e| self.damaged(&e))?;
        self.connection
            .execute(
                "INSERT OR REPLACE INTO rig (name, made_at, rig) VALUES (?1, ?2, ?3)",
                params![rig.name, made_at, text],
            )
            .map_err(self.sql())?;
        Ok(())
    }

    /// The rig of a name.
    ///
    /// # Errors
    /// There is none of that name; the archive cannot be read.
    pub fn rig(&self, name: &str) -> Result<Rig> {
        let text: Option<String> = self
            .connection
            .query_row("SELECT rig FROM rig WHERE name = ?1", [name], |row| {
                row.get(0)
            })
            .optional()
            .map_err(self.sql())?;
        let text = text.ok_or_else(|| Error::NoSuchRig {
            name: name.to_owned(),
            path: self.path.clone(),
        })?;
        serde_json::from_str(&text).map_err(|e| self.damaged(&e))
    }
}
