//! The archive: one SQLite file that holds finishes and all their readings and recipes, approvals, overrulings, ladders, rigs
//! and their studies.
//!
//! An approved sample is an original: nothing here overwrites or deletes one. What was kept by a slip is taken back, and stays in
//! the bin and in the history ([`Archive::remove`], [`Archive::changes`]). A file that is damaged, foreign or of an unknown version
//! is refused, explained and left as it is. What is reported as kept is on disk.
//!
//! Opening checks only the file's head and its tables, so it takes no longer where ten thousand finishes are kept. Readings,
//! recipes, pictures, photos and what was signed are checked against their digests when they are read, and [`verify`] checks
//! everything.

mod approval;
mod backup;
mod belonging;
mod bin;
mod change;
mod checksum;
mod connect;
mod disk;
pub mod exchange;
mod file;
mod finish;
mod job;
mod journal;
mod kept;
mod ladder;
mod listed;
mod look;
mod name;
mod near;
mod note;
mod overruling;
mod part;
mod picture;
mod pragmas;
mod problem;
mod raw;
mod reading;
mod recipe;
mod rig;
mod schema;
mod stop;
mod text;
mod usual;
mod verify;
mod writing;

use std::path::{Path, PathBuf};

use rusqlite::{Connection, OptionalExtension, Row, TransactionBehavior};

use crate::error::{Error, Result};
use connect::connect;
use disk::{Disk, refused};
use writing::Writing;

pub use approval::{Approval, Signature, TakeBack};
pub use backup::{backup, restore};
pub use bin::{InBin, Removed};
pub use change::{Change, Done, Thing};
pub use finish::{Finish, NewFinish};
pub use job::{Job, JobDetails, WallSize};
pub use journal::no_journal;
pub use kept::KeptFinish;
pub use ladder::Step;
pub use listed::Listed;
pub use look::Looks;
pub use note::Note;
pub use overruling::{Overruling, question};
pub use part::Part;
pub use pragmas::{IN_THE_FILE, PRAGMAS, Pragma};
pub use problem::Problem;
pub use reading::{KeptReading, NewReading, Pictures, Source};
pub use recipe::{Motion, Recipe, RecipeStep, UnreadLine};
pub use rig::ListedRig;
pub use stop::stop;
pub use text::line;
pub use usual::{LengthUnit, Usual, UsualPaper};
pub use verify::{Verified, verify};

/// The `application_id` of an archive: "Pane" in ASCII.
const APPLICATION_ID: i32 = 0x5061_6E65;

/// An open archive.
pub struct Archive {
    connection: Connection,
    path: PathBuf,
    disk: Disk,
}

impl Archive {
    /// Opens the archive, making it and its folder where there is none.
    ///
    /// # Errors
    /// The file is no archive, is damaged or of an unknown version, or cannot be read or written.
    pub fn open(path: &Path) -> Result<Self> {
        if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
            private_folder(folder).map_err(|source| Error::Io {
                path: folder.to_owned(),
                action: "written",
                source,
            })?;
        }
        empty_or_long_enough(path)?;
        // SQLite would make it readable for everyone; what it lays beside a file has the rights of the file.
        let _ = part::private(std::fs::File::options().write(true).create_new(true)).open(path);
        let opened = Disk::default().once_more(path, || {
            let connection = connect(path)?;
            // This comes before the pragmas: a file of another program is not ours to set up.
            schema::version(&connection, path)?;
            pragmas::apply(&connection).map_err(|e| refused(path, &e))?;
            Archive::of(connection, path)
        });
        if let Err(Error::ArchiveFull { .. } | Error::ArchiveUnavailable { .. }) = &opened {
            // Where it could not be made, whoever opens it next undoes what there is of it.
            let _ = connect(path).and_then(|anew| schema::version(&anew, path));
        }
        opened.map_err(|error| stays(path, error))
    }

    /// Opens the archive to read it. Where there is none, an empty one in memory stands for it, and no file is made.
    ///
    /// # Errors
    /// As for [`Archive::open`].
    pub fn open_as_it_is(path: &Path) -> Result<Self> {
        if there(path).is_ok() {
            return Archive::open(path);
        }
        let connection = Connection::open_in_memory().map_err(|e| refused(path, &e))?;
        Archive::of(connection, path)
    }

    /// Opens an archive that is there.
    ///
    /// # Errors
    /// There is none, or an empty file; and as for [`Archive::open`].
    pub fn open_there(path: &Path) -> Result<Self> {
        there(path)?;
        Archive::open(path)
    }

    fn of(mut connection: Connection, path: &Path) -> Result<Self> {
        checksum::define(&connection).map_err(|e| refused(path, &e))?;
        schema::bring_up(&mut connection, path)?;
        Ok(Archive {
            connection,
            path: path.to_owned(),
            disk: Disk::default(),
        })
    }

    /// Does all of `work`, or nothing. When this returns, it is on disk.
    fn write<T>(&mut self, work: impl Fn(&Writing<'_>) -> Result<T>) -> Result<T> {
        let before = belonging::writes(&self.path);
        let Archive {
            connection,
            path,
            disk,
        } = self;
        let done = disk.once_more(path, || try_to_write(connection, path, &work));
        if done.is_err() && journal::journals(&self.path).any(|journal| journal.exists()) {
            self.roll_back();
        }
        match done.map_err(|error| stays(&self.path, error)) {
            // The disk may fail once all is written, when only the journal is to go.
            Err(Error::ArchiveUnavailable { path, detail })
                if belonging::has_written(before, &path) =>
            {
                let source = std::io::Error::other(detail);
                Err(Error::Unconfirmed { path, source })
            }
            done => done,
        }
    }

    /// Opens the file anew, which undoes a write that was cut short: where the disk was full SQLite leaves its journal for whoever
    /// opens the file next, and a copy without it would be damaged.
    fn roll_back(&mut self) {
        let Ok(none) = Connection::open_in_memory() else {
            return;
        };
        // Only a connection that is closed leaves the journal to the next.
        drop(std::mem::replace(&mut self.connection, none));
        if let Ok(anew) = Archive::open(&self.path) {
            self.connection = anew.connection;
        }
    }

    /// Where the archive lies.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// What a query finds; one that fails is tried once more.
    fn read<T>(&self, query: impl Fn(&Connection) -> rusqlite::Result<T>) -> Result<T> {
        let read = || query(&self.connection).map_err(|e| refused(&self.path, &e));
        self.disk.once_more(&self.path, read)
    }

    /// The same of a finish or a rig, which the error names where it cannot be read.
    fn read_of<T>(
        &self,
        finish: &str,
        query: impl Fn(&Connection) -> rusqlite::Result<T>,
    ) -> Result<T> {
        self.read(query).map_err(|e| e.unread_of(finish))
    }

    /// The row that a query by name finds.
    fn one<T>(
        &self,
        query: &str,
        name: &str,
        row: impl Fn(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Option<T>> {
        self.read_of(name, |file| {
            file.prepare_cached(query)?
                .query_row([name], &row)
                .optional()
        })
    }

    /// The row id of a finish of this very name, in the bin or not.
    fn id(&self, finish: &str) -> Result<i64> {
        self.one("SELECT id FROM finish WHERE name = ?1", finish, |row| {
            row.get(0)
        })?
        .ok_or_else(|| self.no_such(finish))
    }

    fn damaged(&self, detail: &dyn std::fmt::Display) -> Error {
        damaged(&self.path, detail)
    }
}

/// The same error, and that a journal stays which could not be replayed. Where the disk is sound a journal that is there is that of
/// another program, which writes.
fn stays(path: &Path, error: Error) -> Error {
    let disk_fails = matches!(
        error,
        Error::ArchiveFull { .. } | Error::ArchiveUnavailable { .. } | Error::ArchiveUnread { .. }
    );
    match journal::journals(path).find(|journal| disk_fails && journal.exists()) {
        Some(path) => Error::JournalStays {
            path,
            why: error.to_string(),
        },
        None => error,
    }
}

fn try_to_write<T>(
    connection: &mut Connection,
    path: &Path,
    work: impl FnOnce(&Writing<'_>) -> Result<T>,
) -> Result<T> {
    let all = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(|e| refused(path, &e))?;
    // It is let go of after the transaction, also where that is undone.
    let _under_way = stop::change();
    let writing = Writing { all, path };
    let done = work(&writing)?;
    checksum::fill(&writing.all).map_err(writing.sql())?;
    writing.all.commit().map_err(|e| refused(path, &e))?;
    stop::changed();
    Ok(done)
}

/// Refuses a place where no archive lies.
fn there(path: &Path) -> Result<()> {
    let length = std::fs::metadata(path).map(|facts| facts.len());
    if matches!(length, Ok(1..)) {
        return Ok(());
    }
    Err(Error::NoArchive {
        path: path.to_owned(),
        empty: length.is_ok(),
    })
}

/// Makes a folder, and those above it, for their owner alone.
///
/// # Errors
/// It cannot be made.
pub fn private_folder(folder: &Path) -> std::io::Result<()> {
    let mut make = std::fs::DirBuilder::new();
    make.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut make, 0o700);
    make.create(folder)
}

/// Size of the header of an SQLite file, bytes (SQLite's file format, section 1.3).
const HEAD_BYTES: u64 = 100;

/// Refuses a file that is not empty and too short for an archive: SQLite takes one of a single byte for empty and would overwrite
/// it.
fn empty_or_long_enough(path: &Path) -> Result<()> {
    let length = std::fs::metadata(path).map_or(0, |facts| facts.len());
    if (1..HEAD_BYTES).contains(&length) {
        return Err(Error::NotAnArchive {
            path: path.to_owned(),
        });
    }
    Ok(())
}

/// BLAKE3 digest, hexadecimal.
fn digest(bytes: &[u8]) -> String {
    blake3::hash(bytes).to_hex().to_string()
}

/// Brings the folder of a file to the disk, and with it the file's new name.
fn sync_folder_of(file: &Path) -> std::io::Result<()> {
    let folder = file.parent().filter(|f| !f.as_os_str().is_empty());
    let folder = folder.unwrap_or(Path::new("."));
    if cfg!(unix) {
        std::fs::File::open(folder)?.sync_all()?;
    }
    Ok(())
}

fn damaged(path: &Path, detail: &dyn std::fmt::Display) -> Error {
    Error::ArchiveDamaged {
        path: path.to_owned(),
        detail: detail.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn foreign_newer_and_damaged_files_are_refused_and_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("other.sqlite");
        let other = Connection::open(&path).unwrap();
        other.execute_batch("CREATE TABLE theirs (x)").unwrap();
        drop(other);
        let text = folder.path().join("notes.txt");
        std::fs::write(
            &text,
            "not a database at all, but long enough to be looked at ".repeat(40),
        )
        .unwrap();
        let short = ["\u{1}", "two lines\n", "a note"].map(|content| {
            let path = folder.path().join(format!("short-{}", content.len()));
            std::fs::write(&path, content).unwrap();
            path
        });
        for file in [&path, &text].into_iter().chain(&short) {
            let before = std::fs::read(file).unwrap();
            assert!(matches!(
                Archive::open(file),
                Err(Error::NotAnArchive { .. })
            ));
            assert_eq!(before, std::fs::read(file).unwrap());
        }
        let newer = folder.path().join("newer.sqlite");
        drop(Archive::open(&newer).unwrap());
        Connection::open(&newer)
            .unwrap()
            .pragma_update(None, "user_version", 99)
            .unwrap();
        assert!(matches!(
            Archive::open(&newer),
            Err(Error::ArchiveNewer { found: 99, .. })
        ));
    }
}
