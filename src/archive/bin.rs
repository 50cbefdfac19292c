//! The bin. What is removed is not found any more and its name is free, but it stays as it is until it is taken out by its name:
//! only then does it leave the disk, and the history still says that it was there.

use rusqlite::{Connection, OptionalExtension, Row, params};
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::change::{self, Change, Done, NOTHING, Thing, name_json};
use super::name::is_alike;
use super::text::fit_name;
use super::{Archive, Writing};
use crate::error::{Error, Needed, Result};

/// When a finish was put into the bin, and the name that it had.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Removed {
    /// The name that it had.
    pub name: String,
    /// When, RFC 3339.
    pub removed_at: String,
}

/// A finish in the bin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InBin {
    /// What it is called in the bin: its name with the time, so that it is told from any other of that name.
    pub bears: String,
    /// When it was removed, and the name that it had.
    pub removed: Removed,
    /// When it was kept, RFC 3339.
    pub kept_at: String,
}

/// Most characters of the name it had that stand in its name in the bin.
const MOST_OF_NAME: usize = 150;

/// A question by the row id of a finish that names who needs it, and what is said of the first that is found.
type Question = (&'static str, fn(String) -> Needed);

/// Who may need a finish.
const NEEDED: [Question; 4] = [
    ("SELECT '' FROM approval WHERE finish_id = ?1", |_| {
        Needed::Approved
    }),
    (
        "SELECT finish.name FROM approval JOIN finish ON finish.id = approval.finish_id WHERE ?1 IN (light_id, dark_id)",
        |sample| Needed::LimitPiece { sample },
    ),
    (
        "SELECT ladder FROM ladder_step WHERE finish_id = ?1",
        |ladder| Needed::Step { ladder },
    ),
    ("SELECT name FROM job WHERE sample_id = ?1", |job| {
        Needed::JobSample { job }
    }),
];

/// Tables whose rows belong to a finish, in the order in which they can be cleared.
const BELONGS: [(&str, &str); 8] = [
    ("look", "finish_id"),
    ("tag", "finish_id"),
    ("photo", "finish_id"),
    ("recipe", "finish_id"),
    ("overruling", "sample_id"),
    ("job_panel", "finish_id"),
    ("bin", "finish_id"),
    ("reading", "finish_id"),
];

/// The bytes that no finish needs any more, of those that one had.
const UNUSED: &str = "DELETE FROM file WHERE digest = ?1
AND NOT EXISTS (SELECT 1 FROM reading WHERE ?1 IN (silver_map, picture, colour))
AND NOT EXISTS (SELECT 1 FROM photo WHERE digest = ?1)";

impl Archive {
    /// Puts finishes into the bin, all or none. Their names are free from then on.
    ///
    /// # Errors
    /// One is not kept, or still needed: it is an approved sample, a limit piece or a step of a ladder; the archive cannot be
    /// written.
    pub fn remove(&mut self, names: &[String], reason: &str, made_at: &str) -> Result<Vec<InBin>> {
        let named = names.iter().map(|name| self.kept_name(name));
        let mut named: Vec<String> = named.collect::<Result<_>>()?;
        let mut seen = std::collections::BTreeSet::new();
        named.retain(|name| seen.insert(name.clone()));
        self.write(|writing| {
            for name in &named {
                put_in(writing, name, reason, made_at)?;
            }
            Ok(())
        })?;
        let mut bin = self.bin()?;
        bin.retain(|one| one.removed.removed_at == made_at && named.contains(&one.removed.name));
        Ok(bin)
    }

    /// Takes a finish out of the bin, under the name it had or another; of several of one name the last that was removed. Returns
    /// the name it bears now.
    ///
    /// # Errors
    /// There is none of that name in the bin; the name is taken, empty or unprintable; the archive cannot be written.
    pub fn bring_back(&mut self, name: &str, new: Option<&str>, made_at: &str) -> Result<String> {
        let found = self.in_bin(name)?.pop();
        let found = found.ok_or_else(|| self.not_in_bin(name))?;
        let new = new.unwrap_or(&found.removed.name).to_owned();
        fit_name(&new)?;
        self.write(|writing| {
            let id = writing.id_named(&found.bears)?;
            if writing.run("DELETE FROM bin WHERE finish_id = ?1", [id])? == 0 {
                return Err(Error::NotInBin {
                    name: name.to_owned(),
                    path: writing.path.to_owned(),
                });
            }
            writing.refuse_alike(&new, Some(id))?;
            writing.name_finish(id, &new)?;
            let change = Change {
                made_at: made_at.to_owned(),
                thing: Thing::Finish,
                name: found.removed.name.clone(),
                done: Done::Restored,
                before: json!({"removed_at": found.removed.removed_at}).to_string(),
                after: name_json(&new),
                reason: String::new(),
            };
            change::add(writing, Some(id), &change)
        })?;
        Ok(new)
    }

    /// Everything in the bin, what was removed first at the front.
    ///
    /// # Errors
    /// What was noted of one has changed; the archive cannot be read.
    pub fn bin(&self) -> Result<Vec<InBin>> {
        let all = self.read(all)?;
        let sound = |(one, unchanged): (InBin, bool)| match unchanged {
            true => Ok(one),
            false => Err(self.changed(&one.removed.name)),
        };
        all.into_iter().map(sound).collect()
    }

    /// Takes finishes out of the bin and off the disk, all or none; what the history says of them stays.
    ///
    /// # Errors
    /// There is none of that name in the bin, or more than one; the archive cannot be written.
    pub fn remove_for_good(&mut self, names: &[String], made_at: &str) -> Result<Vec<String>> {
        let mut all = std::collections::BTreeMap::new();
        for name in names {
            let mut found = self.in_bin(name)?;
            let one = found.pop().ok_or_else(|| self.not_in_bin(name))?;
            if !found.is_empty() {
                found.push(one);
                return Err(Error::RemovedTwice {
                    name: name.clone(),
                    which: found.into_iter().map(|one| one.bears).collect(),
                });
            }
            all.insert(one.bears, one.removed);
        }
        // What is taken away is written over, so that nobody finds it in the file.
        self.read(|file| file.pragma_update_and_check(None, "secure_delete", true, |_| Ok(())))?;
        self.write(|writing| {
            all.iter()
                .try_for_each(|(bears, removed)| take_away(writing, bears, removed, made_at))
        })?;
        Ok(all.into_values().map(|removed| removed.name).collect())
    }

    /// What is in the bin under a name: that it had, or that it bears there. The last removed comes last.
    fn in_bin(&self, name: &str) -> Result<Vec<InBin>> {
        let mut bin = self.bin()?;
        if let Some(one) = bin.iter().find(|one| one.bears == name) {
            return Ok(vec![one.clone()]);
        }
        bin.retain(|one| is_alike(&one.removed.name, name));
        Ok(bin)
    }

    fn not_in_bin(&self, name: &str) -> Error {
        Error::NotInBin {
            name: name.to_owned(),
            path: self.path.clone(),
        }
    }

    /// When a finish was put into the bin, where it was.
    pub(super) fn removed(&self, bears: &str) -> Result<Option<Removed>> {
        let all = self.read(all)?;
        match all.into_iter().find(|(one, _)| one.bears == bears) {
            Some((_, false)) => Err(self.changed(bears)),
            found => Ok(found.map(|(one, _)| one.removed)),
        }
    }
}

fn all(connection: &Connection) -> rusqlite::Result<Vec<(InBin, bool)>> {
    let row = |row: &Row<'_>| {
        let one = InBin {
            bears: row.get("bears")?,
            removed: Removed {
                name: row.get("name")?,
                removed_at: row.get("removed_at")?,
            },
            kept_at: row.get("kept_at")?,
        };
        Ok((one, row.get("unchanged")?))
    };
    connection
        .prepare_cached(include_str!("sql/get_bin.sql"))
        .and_then(|mut get| get.query_map([], row)?.collect())
}

/// Notes that a finish is in the bin.
pub(super) fn add(writing: &Writing<'_>, id: i64, removed: &Removed) -> Result<()> {
    writing.run(
        "INSERT INTO bin (finish_id, name, removed_at) VALUES (?1, ?2, ?3)",
        params![id, removed.name, removed.removed_at],
    )?;
    Ok(())
}

fn put_in(writing: &Writing<'_>, name: &str, reason: &str, made_at: &str) -> Result<()> {
    let id = writing.id_named(name)?;
    for (question, why) in NEEDED {
        let by: Option<String> = writing
            .all
            .prepare_cached(question)
            .and_then(|mut ask| ask.query_row([id], |row| row.get(0)).optional())
            .map_err(writing.sql())?;
        if let Some(by) = by {
            return Err(Error::StillNeeded {
                name: name.to_owned(),
                why: why(by),
            });
        }
    }
    let begins: String = name.chars().take(MOST_OF_NAME).collect();
    let mut bears = format!("{begins} (removed {made_at})");
    let mut number = 2;
    while writing.id_of(&bears)?.is_some() {
        bears = format!("{begins} (removed {made_at}, {number})");
        number += 1;
    }
    writing.name_finish(id, &bears)?;
    let removed = Removed {
        name: name.to_owned(),
        removed_at: made_at.to_owned(),
    };
    add(writing, id, &removed)?;
    let change = Change {
        made_at: made_at.to_owned(),
        thing: Thing::Finish,
        name: name.to_owned(),
        done: Done::Removed,
        before: name_json(name),
        after: name_json(&bears),
        reason: reason.to_owned(),
    };
    change::add(writing, Some(id), &change)
}

/// Takes all rows of a finish away, and the bytes that no other needs.
fn take_away(writing: &Writing<'_>, bears: &str, removed: &Removed, made_at: &str) -> Result<()> {
    let id = writing.id_named(bears)?;
    let digests: Vec<String> = writing
        .all
        .prepare_cached(include_str!("sql/files_of_finish.sql"))
        .and_then(|mut list| list.query_map([id], |row| row.get(0))?.collect())
        .map_err(writing.sql())?;
    writing.run("UPDATE finish SET reading_id = NULL WHERE id = ?1", [id])?;
    writing.run(
        "UPDATE change SET finish_id = NULL, seal = NULL WHERE finish_id = ?1",
        [id],
    )?;
    for (table, column) in BELONGS {
        writing.run(&format!("DELETE FROM {table} WHERE {column} = ?1"), [id])?;
    }
    writing.run("DELETE FROM finish WHERE id = ?1", [id])?;
    for digest in digests {
        writing.run(UNUSED, [digest])?;
    }
    let change = Change {
        made_at: made_at.to_owned(),
        thing: Thing::Finish,
        name: removed.name.clone(),
        done: Done::Emptied,
        before: json!({"removed_at": removed.removed_at}).to_string(),
        after: NOTHING.to_owned(),
        reason: String::new(),
    };
    change::add(writing, None, &change)
}
