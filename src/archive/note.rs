//! Notes and tags of finishes, changed after they were kept.

use rusqlite::{Connection, params};
use serde_json::json;

use super::change::{self, Change, Done, Thing};
use super::name::is_alike;
use super::text::{fit_name, lines};
use super::{Archive, Writing};
use crate::error::{Error, Result};

/// What is to be noted of a finish.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Note {
    /// What its notes are to say; `None` where they stay.
    pub notes: Option<String>,
    /// Tags it is to get.
    pub tags: Vec<String>,
    /// Tags it is to lose.
    pub untags: Vec<String>,
}

impl Archive {
    /// Changes the notes and the tags of a finish; what they said before stays in the history. Whether anything changed.
    ///
    /// # Errors
    /// There is no such finish; a tag cannot be, or is not there to be taken away; the archive cannot be written.
    pub fn note(&mut self, finish: &str, note: &Note, made_at: &str) -> Result<bool> {
        note.tags.iter().try_for_each(|tag| fit_name(tag))?;
        let name = self.kept_name(finish)?;
        let path = self.path.clone();
        self.write(|writing| {
            let id = writing.id_named(&name)?;
            let notes_before: String = writing
                .all
                .query_row("SELECT notes FROM finish WHERE id = ?1", [id], |row| {
                    row.get(0)
                })
                .map_err(writing.sql())?;
            let before = all(&writing.all, id).map_err(writing.sql())?;
            let mut tags = before.clone();
            for gone in &note.untags {
                let there = tags.iter().position(|tag| is_alike(tag, gone));
                let there = there.ok_or_else(|| Error::NoSuchTag {
                    name: name.clone(),
                    tag: gone.clone(),
                    path: path.clone(),
                })?;
                tags.remove(there);
            }
            for new in &note.tags {
                if !tags.iter().any(|tag| is_alike(tag, new)) {
                    tags.push(new.trim().to_owned());
                }
            }
            tags.sort();
            let notes = note
                .notes
                .as_deref()
                .map_or_else(|| notes_before.clone(), lines);
            if notes == notes_before && tags == before {
                return Ok(false);
            }
            writing.run(
                "UPDATE finish SET notes = ?2, seal = NULL WHERE id = ?1",
                params![id, notes],
            )?;
            writing.run("DELETE FROM tag WHERE finish_id = ?1", [id])?;
            tags.iter().try_for_each(|tag| add_tag(writing, id, tag))?;
            let said = |notes: &str, tags: &[String]| json!({"notes": notes, "tags": tags});
            let change = Change {
                made_at: made_at.to_owned(),
                thing: Thing::Finish,
                name: name.clone(),
                done: Done::Noted,
                before: said(&notes_before, &before).to_string(),
                after: said(&notes, &tags).to_string(),
                reason: String::new(),
            };
            change::add(writing, Some(id), &change)?;
            Ok(true)
        })
    }

    /// The tags of a finish, in the order of their letters.
    ///
    /// # Errors
    /// There is no such finish; the archive cannot be read.
    pub fn tags(&self, finish: &str) -> Result<Vec<String>> {
        let id = self.id(finish)?;
        self.read(|file| all(file, id))
    }
}

fn all(connection: &Connection, finish: i64) -> rusqlite::Result<Vec<String>> {
    connection
        .prepare_cached("SELECT tag FROM tag WHERE finish_id = ?1 ORDER BY tag")
        .and_then(|mut get| get.query_map([finish], |row| row.get(0))?.collect())
}

/// Gives a finish a tag that it has not.
pub(super) fn add_tag(writing: &Writing<'_>, finish: i64, tag: &str) -> Result<()> {
    writing.run(
        "INSERT INTO tag (finish_id, tag) VALUES (?1, ?2)",
        params![finish, tag],
    )?;
    Ok(())
}
