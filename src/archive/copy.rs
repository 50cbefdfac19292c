//! Copying the file of an archive, and giving the copy its name only when all of it is on the disk.

use std::fs::File;
use std::path::{Path, PathBuf};

use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags};

use super::{local, pragmas, refused};
use crate::error::{Error, Result};

/// Pages copied before others may write.
const PAGES: i32 = 4096;

/// Each write of another program begins the copy anew; after so many it is made in one go, and others wait for it.
const BEGUN_ANEW: u32 = 3;

/// Copies the file unchecked, as is done before the steps of a newer version. The caller holds the archive for itself, so
/// a part that is there was left by a program that was stopped.
pub(super) fn copy(archive: &Path, to: &Path) -> Result<()> {
    let _ = std::fs::remove_file(part_name(to));
    let part = part_of(to)?;
    let copied = copy_into(archive, &part);
    named(copied, &part, to)
}

/// The name while it is being written.
fn part_name(to: &Path) -> PathBuf {
    let mut name = to.as_os_str().to_owned();
    name.push(".part");
    PathBuf::from(name)
}

/// The same, where it is free: whatever has that name is not ours to touch.
pub(super) fn part_of(to: &Path) -> Result<PathBuf> {
    let part = part_name(to);
    if part.exists() {
        return Err(Error::PartThere { path: part });
    }
    Ok(part)
}

/// SQLite's own online copy of an archive, into a part.
pub(super) fn copy_into(archive: &Path, part: &Path) -> Result<()> {
    let from_file = |e: rusqlite::Error| refused(archive, &e);
    let to_file = |e: rusqlite::Error| refused(part, &e);
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    // To write is needed where a write that was cut short must be undone first.
    let from = Connection::open_with_flags(local(archive), flags).map_err(from_file)?;
    pragmas::apply(&from).map_err(from_file)?;
    let mut to = Connection::open_with_flags(local(part), flags | OpenFlags::SQLITE_OPEN_CREATE)
        .map_err(to_file)?;
    // It is brought to the disk as a whole at the end.
    to.execute_batch("PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF")
        .map_err(to_file)?;
    let backup = Backup::new(&from, &mut to).map_err(to_file)?;
    let (mut anew, mut left) = (0, i32::MAX);
    loop {
        let pages = if anew < BEGUN_ANEW { PAGES } else { -1 };
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
        anew += u32::from(remaining > left);
        left = remaining;
    }
}

/// Gives a copy its name, or clears it away.
pub(super) fn named<T>(copied: Result<T>, part: &Path, to: &Path) -> Result<T> {
    let moved = copied.and_then(|found| {
        let write = || {
            File::open(part)?.sync_all()?;
            std::fs::rename(part, to)?;
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
        let _ = std::fs::remove_file(part);
    }
    moved
}
