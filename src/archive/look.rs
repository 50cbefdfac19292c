//! Where each finish lies among looks.
//!
//! The points are worked out from the fingerprints when they are kept; those of an older archive, or of an older form, when
//! they are first asked for: a search then reads a hundred bytes a finish.

use rusqlite::params;

use super::{Archive, Writing};
use crate::error::Result;
use crate::fingerprint::look::{FORM, Look};
use crate::fingerprint::{Fingerprint, VERSION};

impl Archive {
    /// The looks of all finishes of a kind, each with the number of its finish.
    ///
    /// # Errors
    /// The archive cannot be read or written.
    pub fn looks(&mut self, kind: &str) -> Result<Vec<(i64, Look)>> {
        self.add_looks()?;
        let query = "SELECT finish_id, point FROM look WHERE kind = ?1";
        let read = || -> rusqlite::Result<Vec<(i64, Option<Look>)>> {
            let mut get = self.connection.prepare_cached(query)?;
            let mut rows = get.query([kind])?;
            let mut all = Vec::new();
            while let Some(row) = rows.next()? {
                all.push((row.get(0)?, Look::from_bytes(row.get_ref(1)?.as_blob()?)));
            }
            Ok(all)
        };
        let all = read().map_err(self.sql())?;
        all.into_iter()
            .map(|(id, look)| {
                Ok((
                    id,
                    look.ok_or_else(|| self.damaged(&"a look is cut short"))?,
                ))
            })
            .collect()
    }

    /// The name of a finish by its number.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn name_of(&self, id: i64) -> Result<String> {
        self.connection
            .query_row("SELECT name FROM finish WHERE id = ?1", [id], |row| {
                row.get(0)
            })
            .map_err(self.sql())
    }

    /// Works out the looks that are not there yet. A fingerprint of another version has none.
    fn add_looks(&mut self) -> Result<()> {
        while self.add_some_looks()? == AT_ONCE as usize {}
        Ok(())
    }

    /// Works out some of them, and says how many.
    fn add_some_looks(&mut self) -> Result<usize> {
        let query = "SELECT finish.id, reading.fingerprint FROM finish
                     JOIN reading ON reading.id = finish.reading_id LEFT JOIN look ON look.finish_id = finish.id
                     WHERE finish.version = ?1 AND look.form IS NOT ?2 LIMIT ?3";
        let missing: Vec<(i64, String)> = self
            .connection
            .prepare_cached(query)
            .and_then(|mut get| {
                let row = |row: &rusqlite::Row<'_>| Ok((row.get(0)?, row.get(1)?));
                get.query_map(params![VERSION, FORM, AT_ONCE], row)?
                    .collect()
            })
            .map_err(self.sql())?;
        let mut looks = Vec::new();
        for (id, text) in &missing {
            let fingerprint: Fingerprint =
                serde_json::from_str(text).map_err(|e| self.damaged(&e))?;
            looks.push((*id, fingerprint));
        }
        if !looks.is_empty() {
            self.write(|writing| {
                looks
                    .iter()
                    .try_for_each(|(id, fingerprint)| store(writing, *id, fingerprint))
            })?;
        }
        Ok(missing.len())
    }
}

/// The look of the reading that holds takes the place of an earlier one; a fingerprint of another version has none.
pub(super) fn hold(writing: &Writing<'_>, id: i64, fingerprint: &str) -> Result<()> {
    match serde_json::from_str::<Fingerprint>(fingerprint) {
        Ok(fingerprint) if fingerprint.version == VERSION => store(writing, id, &fingerprint),
        _ => writing
            .run("DELETE FROM look WHERE finish_id = ?1", [id])
            .map(|_| ()),
    }
}

fn store(writing: &Writing<'_>, id: i64, fingerprint: &Fingerprint) -> Result<()> {
    writing.run(
        "INSERT OR REPLACE INTO look (finish_id, form, kind, point) VALUES (?1, ?2, ?3, ?4)",
        params![
            id,
            FORM,
            Look::kind_of(fingerprint),
            Look::of(fingerprint).to_bytes()
        ],
    )?;
    Ok(())
}

/// Fingerprints opened in one go: so many fit in memory anywhere.
const AT_ONCE: u32 = 500;
