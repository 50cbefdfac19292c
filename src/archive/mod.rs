//! The archive: one SQLite file that holds finishes and all their readings and recipes, approvals, overrulings, ladders, rigs
//! and their studies.
//!
//! An approved sample is an original: nothing here overwrites or deletes one. A file that is damaged, foreign or of an unknown
//! version is refused, explained and left as it is. What is reported as kept is on disk.
//!
//! Opening checks only the file's head and its tables, so it takes no longer where ten thousand finishes are kept. Readings,
//! recipes, pictures, photos and what was signed are checked against their digests when they are read, and [`verify`] checks
//! everything.

mod approval;
mod backup;
mod checksum;
pub mod exchange;
mod file;
mod finish;
mod journal;
mod kept;
mod ladder;
mod listed;
mod look;
mod near;
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
mod text;
mod verify;

use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags, OptionalExtension, Row, Transaction, TransactionBehavior};

use crate::error::{Error, Result};
use near::{Named, near};

pub use approval::Approval;
pub use backup::{backup, restore};
pub use finish::{Finish, NewFinish};
pub use journal::no_journal;
pub use kept::KeptFinish;
pub use ladder::Step;
pub use listed::Listed;
pub use look::Looks;
pub use overruling::{Overruling, question};
pub use part::Part;
pub use pragmas::{IN_THE_FILE, PRAGMAS, Pragma};
pub use problem::Problem;
pub use reading::{KeptReading, NewReading, Pictures, Source};
pub use recipe::{Motion, Recipe, RecipeStep, UnreadLine};
pub use text::line;
pub use verify::{Verified, verify};

/// The `application_id` of an archive: "Pane" in ASCII.
const APPLICATION_ID: i32 = 0x5061_6E65;

/// How long another program that is writing is waited for until the pragmas are set.
const PATIENCE: std::time::Duration = std::time::Duration::from_secs(30);

/// An open archive.
pub struct Archive {
    connection: Connection,
    path: PathBuf,
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
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection =
            Connection::open_with_flags(local(path), flags).map_err(|e| refused(path, &e))?;
        connection
            .busy_timeout(PATIENCE)
            .map_err(|e| refused(path, &e))?;
        // This comes before the pragmas: a file of another program is not ours to set up.
        schema::version(&connection, path)?;
        pragmas::apply(&connection).map_err(|e| refused(path, &e))?;
        Archive::of(connection, path)
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
        })
    }

    /// Does all of `work`, or nothing. When this returns, it is on disk.
    fn write<T>(&mut self, work: impl FnOnce(&Writing<'_>) -> Result<T>) -> Result<T> {
        let done = self.try_to_write(work);
        if done.is_err() && journal::journals(&self.path).any(|journal| journal.exists()) {
            self.roll_back();
        }
        done
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

    fn try_to_write<T>(&mut self, work: impl FnOnce(&Writing<'_>) -> Result<T>) -> Result<T> {
        let Archive { connection, path } = self;
        let all = connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(|e| refused(path, &e))?;
        let writing = Writing { all, path };
        let done = work(&writing)?;
        checksum::fill(&writing.all).map_err(writing.sql())?;
        writing.all.commit().map_err(|e| refused(path, &e))?;
        Ok(done)
    }

    /// Where the archive lies.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The row that a query by name finds.
    pub(super) fn one<T>(
        &self,
        query: &str,
        name: &str,
        row: impl FnOnce(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Option<T>> {
        self.connection
            .prepare_cached(query)
            .and_then(|mut get| get.query_row([name], row).optional())
            .map_err(self.sql())
    }

    fn damaged(&self, detail: &dyn std::fmt::Display) -> Error {
        damaged(&self.path, detail)
    }

    fn sql(&self) -> impl Fn(rusqlite::Error) -> Error + '_ {
        |e| refused(&self.path, &e)
    }
}

/// A transaction that writes.
struct Writing<'a> {
    all: Transaction<'a>,
    path: &'a Path,
}

impl Writing<'_> {
    fn sql(&self) -> impl Fn(rusqlite::Error) -> Error + '_ {
        |e| refused(self.path, &e)
    }

    /// Runs one statement, and says how many rows it touched.
    fn run(&self, sql: &str, with: impl rusqlite::Params) -> Result<usize> {
        self.all
            .prepare_cached(sql)
            .and_then(|mut statement| statement.execute(with))
            .map_err(self.sql())
    }

    /// The row id of a finish, where one of that name is kept.
    fn id_of(&self, finish: &str) -> Result<Option<i64>> {
        self.all
            .prepare_cached("SELECT id FROM finish WHERE name = ?1")
            .and_then(|mut get| get.query_row([finish], |row| row.get(0)).optional())
            .map_err(self.sql())
    }

    /// The row id of a finish that must be there.
    fn id_named(&self, finish: &str) -> Result<i64> {
        self.id_of(finish)?.ok_or_else(|| Error::NoSuchFinish {
            name: finish.to_owned(),
            near: near(&self.all, Named::Finish, finish),
            path: self.path.to_owned(),
        })
    }
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

/// A path that SQLite takes for a file's whatever the name is: it gives some names, such as `:memory:`, another meaning.
fn local(path: &Path) -> PathBuf {
    Path::new(".").join(path)
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

/// The error that stands for one of SQLite's.
fn refused(path: &Path, error: &rusqlite::Error) -> Error {
    use rusqlite::ErrorCode as Code;
    let path = path.to_owned();
    match error.sqlite_error_code() {
        Some(Code::NotADatabase) => Error::NotAnArchive { path },
        Some(Code::ReadOnly | Code::PermissionDenied) => Error::ArchiveReadOnly { path },
        Some(Code::DiskFull) => Error::ArchiveFull { path },
        Some(Code::DatabaseBusy | Code::DatabaseLocked) => Error::ArchiveBusy { path },
        Some(Code::CannotOpen | Code::SystemIoFailure) => Error::ArchiveUnavailable {
            path,
            detail: error.to_string(),
        },
        _ => Error::ArchiveDamaged {
            path,
            detail: error.to_string(),
        },
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

    #[test]
    fn a_name_that_sqlite_would_take_for_no_file_is_a_file() {
        let folder = tempfile::tempdir().unwrap();
        for name in [":memory:", "file:a?mode=memory"] {
            let path = folder.path().join(name);
            drop(Archive::open(&path).unwrap());
            assert!(path.is_file());
        }
        assert_eq!(local(Path::new(":memory:")), Path::new("./:memory:"));
    }
}
