//! A copy of the whole archive in one file, made while others may write.
//!
//! SQLite's own online copy goes into `FILE.part`; it is checked as `verify` checks, brought to the disk and only then given
//! its name. Nothing that is there already is overwritten.

use std::fs::File;
use std::path::{Path, PathBuf};

use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags};

use super::journal::no_journal;
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
    let part = part_of(to)?;
    no_journal(&part)?;
    let moved = checked_copy(archive, &part).and_then(|found| {
        let write = || {
            File::open(&part)?.sync_all()?;
            std::fs::rename(&part, to)?;
            super::sync_folder_of(to)
        };
        write().map_err(|source| Error::Io {
            path: to.to_owned(),
            action: "written",
            source,
        })?;
        Ok(found)
    });
    if moved.is_err() {
        let _ = std::fs::remove_file(&part);
    }
    moved
}

/// The name of the copy while it is written. A file that has that name already is not ours to touch.
fn part_of(to: &Path) -> Result<PathBuf> {
    let mut name = to.as_os_str().to_owned();
    name.push(".part");
    let part = PathBuf::from(name);
    if part.exists() {
        return Err(Error::PartThere { path: part });
    }
    Ok(part)
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
