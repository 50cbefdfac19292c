//! A copy of the whole archive in one file, made while others may write.
//!
//! SQLite's own online copy goes into a part beside its place; it is checked as `verify` checks, brought to the disk and only then
//! given its name. Nothing that is there already is overwritten.

use std::path::{Path, PathBuf};

use rusqlite::backup::{Backup, StepResult};

use super::belonging::{alien, writes};
use super::connect::connect;
use super::disk::Disk;
use super::journal::{journals, no_journal};
use super::part::Part;
use super::{Verified, pragmas, refused, there, verify};
use crate::error::{Error, Result};

/// Pages copied before others may write.
const PAGES: i32 = 4096;

/// Times that a write of another program may restart the copy. After that the copy is made in one go, and others wait for it.
const RESTARTS: u32 = 3;

/// SQLite's count of the changes of a database's form.
const FORM: &str = "schema_version";

/// Copies the archive to a new file, and says what the copy holds.
///
/// # Errors
/// There is no archive, or it is damaged; a file of that name is there, or a journal that SQLite would take for the copy's; the
/// copy cannot be written.
pub fn backup(archive: &Path, to: &Path) -> Result<Verified> {
    there(archive)?;
    if to.exists() {
        return Err(Error::FileThere {
            path: to.to_owned(),
        });
    }
    no_journal(to)?;
    let part = Part::file(to)?;
    no_journal(&part.path)?;
    let found = checked_copy(archive, &part.path)?;
    part.name(to)?;
    Ok(found)
}

/// Puts a sound copy in the place of the archive, and says what it holds. What was there is set aside under another name, together
/// with the journal that belongs to it and not to the copy.
///
/// # Errors
/// There is no copy, or it is damaged; something has the name already under which the archive is set aside; another program is
/// writing the archive; the disk is full.
pub fn restore(archive: &Path, from: &Path, aside: &Path) -> Result<Verified> {
    there(from)?;
    no_journal(from)?;
    no_journal(aside)?;
    if archive.exists() && aside.exists() {
        return Err(Error::FileThere {
            path: aside.to_owned(),
        });
    }
    let part = Part::file(archive)?;
    let found = checked_copy(from, &part.path)?;
    part.name_after(archive, || {
        let mut moved = Moved(Vec::new());
        if archive.exists() {
            match free(archive) {
                Err(busy @ Error::ArchiveBusy { .. }) => return Err(busy),
                // One that is damaged is what a copy is for.
                _ => moved.aside(archive, aside)?,
            }
        }
        Ok(move || moved.undo())
    })?;
    Ok(found)
}

/// Whether no other program is at it. With a journal beside it that is another's it is not opened.
fn free(archive: &Path) -> Result<()> {
    if alien(archive).is_some() {
        return Ok(());
    }
    let ours = connect(archive)?.execute_batch("BEGIN EXCLUSIVE; ROLLBACK");
    ours.map_err(|e| refused(archive, &e))
}

/// What was set aside: where it lay, and where it lies.
struct Moved(Vec<(PathBuf, PathBuf)>);

impl Moved {
    /// Sets an archive aside. The journals go first: without its own it would be taken for whole. The archive itself gets a second
    /// name where the disk knows such, so that there is one at every moment.
    fn aside(&mut self, archive: &Path, aside: &Path) -> Result<()> {
        let journals = journals(archive).zip(journals(aside));
        for (from, to) in journals.filter(|(journal, _)| journal.exists()) {
            self.step(std::fs::rename(&from, &to), from, to)?;
        }
        let named = std::fs::hard_link(archive, aside);
        let named = named.or_else(|_| std::fs::rename(archive, aside));
        self.step(named, archive.to_owned(), aside.to_owned())
    }

    fn step(&mut self, done: std::io::Result<()>, from: PathBuf, to: PathBuf) -> Result<()> {
        match done {
            Ok(()) => {
                self.0.push((from, to));
                Ok(())
            }
            Err(source) => {
                self.undo();
                Err(Error::Io {
                    path: to,
                    action: "written",
                    source,
                })
            }
        }
    }

    /// Puts back what was set aside.
    fn undo(&self) {
        for (from, to) in self.0.iter().rev() {
            let _ = if from.exists() {
                std::fs::remove_file(to)
            } else {
                std::fs::rename(to, from)
            };
        }
    }
}

fn checked_copy(archive: &Path, part: &Path) -> Result<Verified> {
    Disk::default().once_more(archive, || {
        // Half a copy is no database.
        let empty = std::fs::File::create(part);
        empty.map_err(|source| Error::Io {
            path: part.to_owned(),
            action: "written",
            source,
        })?;
        copy(archive, part)
    })?;
    let found = verify(part)?;
    if !found.problems.is_empty() {
        return Err(Error::BackupUnsound {
            path: archive.to_owned(),
            problems: found.problems.len(),
        });
    }
    Ok(found)
}

/// SQLite's own online copy. It is told from its archive, and from other copies, by the count of its changes of form: a journal of
/// theirs is none of its own.
fn copy(archive: &Path, part: &Path) -> Result<()> {
    let from_file = |e: rusqlite::Error| refused(archive, &e);
    let to_file = |e: rusqlite::Error| refused(part, &e);
    let from = connect(archive)?;
    pragmas::apply(&from).map_err(from_file)?;
    let mut to = connect(part)?;
    // The copy is brought to the disk as a whole at the end.
    to.execute_batch("PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF")
        .map_err(to_file)?;
    // What cannot be read, or is damaged, is the archive: the copy is new.
    let either = |e: rusqlite::Error| match to_file(e) {
        Error::ArchiveUnread { detail, .. } => Error::ArchiveUnread {
            path: archive.to_owned(),
            detail,
        },
        Error::ArchiveDamaged { detail, .. } => Error::ArchiveDamaged {
            path: archive.to_owned(),
            detail,
        },
        other => other,
    };
    let backup = Backup::new(&from, &mut to).map_err(to_file)?;
    let (mut restarts, mut left) = (0, i32::MAX);
    loop {
        let pages = if restarts < RESTARTS { PAGES } else { -1 };
        match backup.step(pages).map_err(either)? {
            StepResult::Done => break,
            StepResult::Busy | StepResult::Locked => {
                return Err(Error::ArchiveBusy {
                    path: archive.to_owned(),
                });
            }
            _ => {}
        }
        let remaining = backup.progress().remaining;
        restarts += u32::from(remaining > left);
        left = remaining;
    }
    drop(backup);
    let form: i32 = from
        .pragma_query_value(None, FORM, |row| row.get(0))
        .map_err(from_file)?;
    // Two backups of one archive differ by the writes between them.
    let since = writes(archive).unwrap_or(0).cast_signed().wrapping_add(1);
    to.pragma_update(None, FORM, form.wrapping_add(since))
        .map_err(to_file)
}
