//! The history: what was changed or taken back, when and why, and what was said before. It is only ever added to.

use rusqlite::{Connection, Row, params};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::text::{Word, fit_name, fits_time, line, lines, word_of};
use super::{Archive, Writing};
use crate::error::Result;

/// What a change was made to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Thing {
    /// A finish.
    Finish,
    /// A rig.
    Rig,
    /// A ladder.
    Ladder,
}

/// What was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Done {
    /// It got another name.
    Renamed,
    /// It was put into the bin; of a ladder, it was taken apart.
    Removed,
    /// It came back from the bin.
    Restored,
    /// It left the bin for good.
    Emptied,
    /// Its notes or its tags were changed.
    Noted,
    /// What was signed of it was changed.
    SignedAnew,
    /// Its approval was taken back.
    Withdrawn,
    /// Another of its name took its place.
    Replaced,
}

/// One change.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Change {
    /// When, RFC 3339.
    pub made_at: String,
    /// What it was made to.
    pub thing: Thing,
    /// The name that it had before.
    pub name: String,
    /// What was done.
    pub done: Done,
    /// What was said before, JSON.
    #[serde(with = "super::raw")]
    pub before: String,
    /// What is said since, JSON.
    #[serde(with = "super::raw")]
    pub after: String,
    /// Why, in the maker's words; empty where nothing was said.
    pub reason: String,
}

/// Longest JSON of what was said before or since, bytes: notes are the longest there is.
const MOST_JSON: usize = 8 << 20;

impl Change {
    /// Whether everything in it can be shown and kept.
    pub(super) fn is_sound(&self) -> bool {
        let json = |text: &str| {
            text.len() <= MOST_JSON && serde_json::from_str::<serde_json::Value>(text).is_ok()
        };
        fits_time(&self.made_at)
            && fit_name(&self.name).is_ok()
            && json(&self.before)
            && json(&self.after)
            && self.reason.len() <= MOST_JSON
            && lines(&self.reason) == self.reason
    }

    /// The name that it got, where it is another one.
    #[must_use]
    pub fn new_name(&self) -> Option<String> {
        let after: serde_json::Value = serde_json::from_str(&self.after).ok()?;
        let name = after.get("name")?.as_str()?;
        (name != self.name).then(|| line(name))
    }
}

/// A name as a change holds it.
pub(super) fn name_json(name: &str) -> String {
    json!({"name": name}).to_string()
}

/// Nothing was said before, or is since.
pub(super) const NOTHING: &str = "null";

/// Adds a change to the history.
pub(super) fn add(writing: &Writing<'_>, finish: Option<i64>, change: &Change) -> Result<()> {
    writing.run(
        include_str!("sql/add_change.sql"),
        params![
            change.made_at,
            word_of(change.thing),
            change.name,
            word_of(change.done),
            change.before,
            change.after,
            lines(&change.reason),
            finish,
        ],
    )?;
    Ok(())
}

/// The changes of a finish, or those that belong to none, each with whether its row is unchanged.
pub(super) fn all(
    connection: &Connection,
    finish: Option<i64>,
) -> rusqlite::Result<Vec<(Change, bool)>> {
    connection
        .prepare_cached(include_str!("sql/get_changes.sql"))
        .and_then(|mut get| get.query_map([finish], row)?.collect())
}

fn row(row: &Row<'_>) -> rusqlite::Result<(Change, bool)> {
    let (Word(thing), Word(done)) = (row.get("thing")?, row.get("done")?);
    let change = Change {
        made_at: row.get("made_at")?,
        thing,
        name: row.get("name")?,
        done,
        before: row.get("before")?,
        after: row.get("after")?,
        reason: row.get("reason")?,
    };
    Ok((change, row.get("unchanged")?))
}

impl Archive {
    /// What was changed of a finish, the oldest first.
    ///
    /// # Errors
    /// There is no such finish; what was noted is no longer what was kept; the archive cannot be read.
    pub fn changes(&self, finish: &str) -> Result<Vec<Change>> {
        let id = self.id(finish)?;
        let all = self.read(|file| all(file, Some(id)))?;
        self.unchanged(all)
    }

    /// What was changed of rigs and of ladders, and what is known of finishes that left the bin for good, the oldest first.
    ///
    /// # Errors
    /// What was noted is no longer what was kept; the archive cannot be read.
    pub fn other_changes(&self) -> Result<Vec<Change>> {
        let all = self.read(|file| all(file, None))?;
        self.unchanged(all)
    }

    fn unchanged(&self, all: Vec<(Change, bool)>) -> Result<Vec<Change>> {
        let sound = |(change, unchanged): (Change, bool)| {
            if !unchanged {
                return Err(self.changed(&change.name));
            }
            if change.is_sound() {
                Ok(change)
            } else {
                Err(self.damaged(&format!("the history of `{}`", change.name)))
            }
        };
        all.into_iter().map(sound).collect()
    }
}
