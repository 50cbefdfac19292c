//! The studio's ladders: named steps from light to heavy, each a kept finish.

use rusqlite::{Connection, params};
use serde::{Deserialize, Serialize};

use super::near::{Named, near};
use super::text::fit_name;
use super::{Archive, Writing, refused};
use crate::error::{Error, Result};

/// A step of a ladder.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// The studio's name for the step.
    #[serde(rename = "step")]
    pub name: String,
    /// The kept finish that shows it.
    pub finish: String,
}

impl Archive {
    /// Keeps a ladder, its steps from light to heavy. A ladder made again replaces the old one; the finishes stay.
    ///
    /// # Errors
    /// A name is empty or unprintable; a finish is not kept here; the archive cannot be written.
    pub fn store_ladder(&mut self, ladder: &str, steps: &[Step]) -> Result<()> {
        fit_name(ladder)?;
        steps.iter().try_for_each(|step| fit_name(&step.name))?;
        self.write(|writing| store(writing, ladder, steps))
    }

    /// The steps of a ladder from light to heavy.
    ///
    /// # Errors
    /// There is no such ladder, it is not what was kept, or a finish of it is gone; the archive cannot be read.
    pub fn ladder(&self, name: &str) -> Result<Vec<Step>> {
        let unreadable = || Error::LadderUnreadable {
            name: name.to_owned(),
            path: self.path.clone(),
        };
        let found = steps(&self.connection, name);
        let found = found.map_err(|error| match refused(&self.path, &error) {
            Error::ArchiveDamaged { .. } => unreadable(),
            other => other,
        })?;
        let sound = found.iter().all(|(_, unchanged)| *unchanged);
        let steps: Vec<Step> = found.into_iter().map(|(step, _)| step).collect();
        if !sound {
            return Err(unreadable());
        }
        if steps.is_empty() {
            return Err(Error::NoSuchLadder {
                name: name.to_owned(),
                near: near(&self.connection, Named::Ladder, name),
                path: self.path.clone(),
            });
        }
        Ok(steps)
    }

    /// The names of all ladders.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn ladders(&self) -> Result<Vec<String>> {
        self.connection
            .prepare_cached("SELECT DISTINCT ladder FROM ladder_step ORDER BY ladder")
            .and_then(|mut get| get.query_map([], |row| row.get(0))?.collect())
            .map_err(self.sql())
    }
}

/// The steps of a ladder, each with whether it is unchanged; none where there is no such ladder.
pub(super) fn steps(connection: &Connection, ladder: &str) -> rusqlite::Result<Vec<(Step, bool)>> {
    let step = |row: &rusqlite::Row<'_>| {
        let step = Step {
            name: row.get("step")?,
            finish: row.get("finish")?,
        };
        Ok((step, row.get("unchanged")?))
    };
    connection
        .prepare_cached(include_str!("sql/get_ladder.sql"))
        .and_then(|mut get| get.query_map([ladder], step)?.collect())
}

pub(super) fn store(writing: &Writing<'_>, ladder: &str, steps: &[Step]) -> Result<()> {
    writing.run("DELETE FROM ladder_step WHERE ladder = ?1", [ladder])?;
    for (place, step) in (1_i64..).zip(steps) {
        let finish = writing.id_named(&step.finish)?;
        writing.run(
            include_str!("sql/add_step.sql"),
            params![ladder, place, step.name, finish],
        )?;
    }
    Ok(())
}
