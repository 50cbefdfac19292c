//! A copy of the whole archive in one file, made while others may write.
//!
//! SQLite's own online copy goes into a part beside its place; it is checked as `verify` checks, brought to the disk and only then
//! given its name. Nothing that is there already is overwritten.

use std::path::Path;

use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags};

use super::journal::{journals, no_journal};
use super::part::Part;
use super::{Verified, local, pragmas, refused, there, verify};
use crate::error::{Error, Result};

/// Pages copied before others may write.
const PAGES: i32 = 4096;

/// Times that a write of another program may restart the copy. After that the copy is made in one go, and others wait for it.
const RESTARTS: u32 = 3;

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
    if aside.exists() {
        return Err(Error::FileThere {
            path: aside.to_owned(),
        });
    }
    let part = Part::file(archive)?;
    let found = checked_copy(from, &part.path)?;
    if archive.exists() {
        let free = Connection::open(local(archive))
            .and_then(|open| open.execute_batch("BEGIN EXCLUSIVE; ROLLBACK"));
        match free.map_err(|e| refused(archive, &e)) {
            Err(busy @ Error::ArchiveBusy { .. }) => return Err(busy),
            // One that is damaged is what a copy is for.
            _ => set_aside(archive, aside)?,
        }
    }
    part.name(archive)?;
    Ok(found)
}

/// The journals first: an archive without its own would be taken for whole.
fn set_aside(archive: &Path, aside: &Path) -> Result<()> {
    let there = journals(archive).zip(journals(aside));
    let there = there.filter(|(journal, _)| journal.exists());
    for (from, to) in there.chain([(archive.to_owned(), aside.to_owned())]) {
        std::fs::rename(from, to).map_err(|source| Error::Io {
            path: aside.to_owned(),
            action: "written",
            source,
        })?;
    }
    Ok(())
}

fn checked_copy(archive: &Path, part: &Path) -> Result<Verified> {
    copy(archive, part)?;
    let found = verify(part)?;
    if !found.problems.is_empty() {
        return Err(Error::BackupUnsound {
            path: archive.to_owned(),
            problems: found.problems.len(),
        });
    }
    Ok(found)
}

/// SQLite's own online copy.
fn copy(archive: &Path, part: &Path) -> Result<()> {
    let from_file = |e: rusqlite::Error| refused(archive, &e);
    let to_file = |e: rusqlite::Error| refused(part, &e);
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    // It is opened to write because a write that was cut short must be undone first.
    let from = Connection::open_with_flags(local(archive), flags).map_err(from_file)?;
    pragmas::apply(&from).map_err(from_file)?;
    let mut to = Connection::open_with_flags(local(part), flags | OpenFlags::SQLITE_OPEN_CREATE)
        .map_err(to_file)?;
    // The copy is brought to the disk as a whole at the end.
    to.execute_batch("PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF")
        .map_err(to_file)?;
    let backup = Backup::new(&from, &mut to).map_err(to_file)?;
    let (mut restarts, mut left) = (0, i32::MAX);
    loop {
        let pages = if restarts < RESTARTS { PAGES } else { -1 };
        match backup.step(pages).map_err(to_file)? {
            StepResult::Done => return Ok(()),
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
}
