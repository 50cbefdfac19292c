//! Each finish as a point among looks.
//!
//! The points are worked out from the fingerprints when they are kept, and those of an older form when they are first asked for:
//! a search then reads a hundred bytes a finish.

use rusqlite::params;

use super::{Archive, Writing};
use crate::error::{Error, Result};
use crate::fingerprint::look::{FORM, Look};
use crate::fingerprint::{Fingerprint, VERSION};

/// Looks of finishes.
pub struct Looks {
    /// Each with the row id of its finish.
    pub all: Vec<(i64, Look)>,
    /// One error for each finish that has none because it is damaged.
    pub damaged: Vec<Error>,
}

impl Archive {
    /// The looks of all finishes of a kind.
    ///
    /// # Errors
    /// The archive cannot be read or written.
    pub fn looks(&mut self, kind: &str) -> Result<Looks> {
        let damaged = self.add_looks()?;
        let all: Vec<(i64, Look)> = self.read(|file| {
            let query = "SELECT finish_id, point FROM look WHERE kind = ?1 AND finish_id NOT IN (SELECT finish_id FROM bin)";
            let mut get = file.prepare_cached(query)?;
            let mut rows = get.query([kind])?;
            let mut all = Vec::new();
            while let Some(row) = rows.next()? {
                let look = Look::from_bytes(row.get_ref(1)?.as_blob()?);
                all.extend(look.map(|look| Ok((row.get(0)?, look))));
            }
            all.into_iter().collect()
        })?;
        Ok(Looks { all, damaged })
    }

    /// The name of a finish by its row id.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn name_of(&self, id: i64) -> Result<String> {
        let query = "SELECT name FROM finish WHERE id = ?1";
        self.read(|file| file.query_row(query, [id], |row| row.get(0)))
    }

    /// Works out the looks that are missing, and returns an error for each finish that stays without. A fingerprint of another
    /// version has no look.
    fn add_looks(&mut self) -> Result<Vec<Error>> {
        let mut damaged = Vec::new();
        let mut after = 0;
        loop {
            let missing = self.without_look(after)?;
            let Some((last, _)) = missing.last() else {
                return Ok(damaged);
            };
            after = *last;
            let mut found = Vec::new();
            for (id, name) in &missing {
                match self.fingerprint_of(name) {
                    Ok(fingerprint) => found.push((*id, fingerprint)),
                    Err(error) => damaged.push(error),
                }
            }
            if !found.is_empty() {
                self.write(|writing| {
                    let mut all = found.iter();
                    all.try_for_each(|(id, fingerprint)| store(writing, *id, fingerprint))
                })?;
            }
        }
    }

    /// Row ids and names of some finishes whose look is missing, of another form or cut short, with ids higher than `after`.
    fn without_look(&self, after: i64) -> Result<Vec<(i64, String)>> {
        let which = params![VERSION, FORM, Look::BYTES, after, AT_ONCE];
        self.read(|file| {
            file.prepare_cached(include_str!("sql/missing_looks.sql"))?
                .query_map(which, |row| Ok((row.get(0)?, row.get(1)?)))?
                .collect()
        })
    }

    fn fingerprint_of(&self, finish: &str) -> Result<Fingerprint> {
        let unreadable = || Error::ReadingUnreadable {
            name: finish.to_owned(),
        };
        let reading = self.reading(finish)?.ok_or_else(unreadable)?;
        if !reading.is_unchanged() {
            return Err(self.changed(finish));
        }
        serde_json::from_str(&reading.fingerprint).map_err(|_| unreadable())
    }
}

/// Replaces the look of a finish by that of the reading that holds now. A fingerprint of another version has none.
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
        include_str!("sql/add_look.sql"),
        params![
            id,
            FORM,
            Look::kind_of(fingerprint),
            Look::of(fingerprint).to_bytes()
        ],
    )?;
    Ok(())
}

/// Fingerprints that are opened at once: so many fit into memory anywhere.
const AT_ONCE: u32 = 500;
