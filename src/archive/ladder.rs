//! The studio's ladders: named steps from light to heavy, each a kept finish.

use rusqlite::{Connection, params};
use serde::{Deserialize, Serialize};

use super::change::{self, Change, Done, NOTHING, Thing};
use super::name::{found_in, is_alike};
use super::near::{Named, near};
use super::text::fit_name;
use super::{Archive, Writing, damaged};
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
    /// Keeps a ladder, its steps from light to heavy. One that takes the place of another of its name leaves the steps of that in
    /// the history; the finishes stay.
    ///
    /// # Errors
    /// A name is empty or unprintable; a finish is not kept here; there is a ladder of that name and it is not to be replaced; the
    /// archive cannot be written.
    pub fn store_ladder(
        &mut self,
        ladder: &str,
        steps: &[Step],
        made_at: &str,
        replace: bool,
    ) -> Result<()> {
        fit_name(ladder)?;
        steps.iter().try_for_each(|step| fit_name(&step.name))?;
        let before = self.ladder_name(ladder)?;
        if let Some(name) = before.clone().filter(|_| !replace) {
            return Err(self.ladder_there(name));
        }
        let path = self.path.clone();
        self.write(|writing| {
            if let Some(before) = &before {
                take_apart(writing, before, Done::Replaced, Some(steps), made_at)?;
            }
            // Another program may have made it meanwhile.
            let there = self::steps(&writing.all, ladder).map_err(writing.sql())?;
            if !there.is_empty() {
                return Err(Error::LadderThere {
                    name: ladder.to_owned(),
                    path: path.clone(),
                });
            }
            store(writing, ladder, steps)
        })
    }

    /// Takes a ladder apart; its finishes stay, and the history says what its steps were. Returns the name that it had.
    ///
    /// # Errors
    /// There is no such ladder; the archive cannot be written.
    pub fn remove_ladder(&mut self, ladder: &str, made_at: &str) -> Result<String> {
        let name = self.ladder_name(ladder)?;
        let name = name.ok_or_else(|| self.no_such_ladder(ladder))?;
        self.write(|writing| take_apart(writing, &name, Done::Removed, None, made_at))?;
        Ok(name)
    }

    /// The name that a ladder is kept under, where there is one of that name or one that differs only in capitals or spaces.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn ladder_name(&self, typed: &str) -> Result<Option<String>> {
        Ok(found_in(self.ladders()?, typed))
    }

    /// What was changed of a ladder, the oldest first: what its steps were before.
    ///
    /// # Errors
    /// What was noted is no longer what was kept; the archive cannot be read.
    pub fn ladder_changes(&self, ladder: &str) -> Result<Vec<(Change, Vec<Step>)>> {
        let mut changes = self.other_changes()?;
        changes.retain(|one| one.thing == Thing::Ladder && is_alike(&one.name, ladder));
        let read = |change: Change| {
            let steps = serde_json::from_str(&change.before).map_err(|e| self.damaged(&e))?;
            Ok((change, steps))
        };
        changes.into_iter().map(read).collect()
    }

    fn ladder_there(&self, name: String) -> Error {
        let path = self.path.clone();
        Error::LadderThere { name, path }
    }

    fn no_such_ladder(&self, name: &str) -> Error {
        Error::NoSuchLadder {
            name: name.to_owned(),
            near: near(&self.connection, Named::Ladder, name),
            path: self.path.clone(),
        }
    }

    /// The steps of a ladder from light to heavy.
    ///
    /// # Errors
    /// There is no such ladder, it is not what was kept, or a finish of it is gone; the archive cannot be read.
    pub fn ladder(&self, name: &str) -> Result<Vec<Step>> {
        let kept = self.ladder_name(name)?;
        let name = kept.as_deref().unwrap_or(name);
        let unreadable = || Error::LadderUnreadable {
            name: name.to_owned(),
            path: self.path.clone(),
        };
        let found = self.read(|file| steps(file, name));
        let found = found.map_err(|error| match error {
            Error::ArchiveDamaged { .. } => unreadable(),
            other => other,
        })?;
        let sound = found.iter().all(|(_, unchanged)| *unchanged);
        let steps: Vec<Step> = found.into_iter().map(|(step, _)| step).collect();
        if !sound {
            return Err(unreadable());
        }
        if steps.is_empty() {
            return Err(self.no_such_ladder(name));
        }
        Ok(steps)
    }

    /// The names of all ladders.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn ladders(&self) -> Result<Vec<String>> {
        self.read(|file| {
            file.prepare_cached("SELECT DISTINCT ladder FROM ladder_step ORDER BY ladder")?
                .query_map([], |row| row.get(0))?
                .collect()
        })
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

/// Takes the steps of a ladder away and notes them in the history.
fn take_apart(
    writing: &Writing<'_>,
    ladder: &str,
    done: Done,
    now: Option<&[Step]>,
    made_at: &str,
) -> Result<()> {
    let before = steps(&writing.all, ladder).map_err(writing.sql())?;
    let before: Vec<Step> = before.into_iter().map(|(step, _)| step).collect();
    let text = |steps: &[Step]| serde_json::to_string(steps).map_err(|e| damaged(writing.path, &e));
    writing.run("DELETE FROM ladder_step WHERE ladder = ?1", [ladder])?;
    let change = Change {
        made_at: made_at.to_owned(),
        thing: Thing::Ladder,
        name: ladder.to_owned(),
        done,
        before: text(&before)?,
        after: now.map_or(Ok(NOTHING.to_owned()), text)?,
        reason: String::new(),
    };
    change::add(writing, None, &change)
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
