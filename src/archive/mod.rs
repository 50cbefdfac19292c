//! The archive: one SQLite file that holds finishes, approvals, overrulings, ladders, rigs and their studies.
//!
//! An approved sample is an original: nothing here overwrites or deletes one. A file that is damaged, foreign or newer
//! than this program is refused, explained and left as it is. What is reported as kept is on disk.
//!
//! | pragma | value | why |
//! |---|---|---|
//! | `application_id` | `0x50616E65` | tells this file from any other SQLite file |
//! | `user_version` | number of migrations | which tables to expect |
//! | `journal_mode` | `DELETE` | one file, no companions left behind to be forgotten when it is copied |
//! | `synchronous` | `FULL` | a commit returns when the disk has it |
//! | `foreign_keys` | on | an approval cannot lose its finish, nor a study outlive its rig |

mod finish;
mod ladder;
mod look;
mod overruling;
mod rig;

use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags};
use rusqlite_migration::{M, Migrations};

use crate::error::{Error, Result};

pub use finish::{Approval, Finish, NewFinish, Signing};
pub use ladder::Step;
pub use overruling::Overruling;

/// "Pane" in ASCII.
const APPLICATION_ID: i32 = 0x5061_6E65;

/// Every step of the file's history; only ever appended to.
const STEPS: &[M<'_>] = &[
    M::up(include_str!("sql/1_finishes.sql")),
    M::up(include_str!("sql/2_rig_studies.sql")),
    M::up(include_str!("sql/3_decisions.sql")),
];

const MIGRATIONS: Migrations<'_> = Migrations::from_slice(STEPS);

/// How many migrations this program knows.
const NEWEST: i32 = 3;

/// How long to wait for another program that is writing.
const PATIENCE: std::time::Duration = std::time::Duration::from_secs(10);

/// Longest name of a finish or a rig, characters.
const LONGEST_NAME: usize = 200;

/// An open archive.
pub struct Archive {
    connection: Connection,
    path: PathBuf,
}

impl Archive {
    /// Opens the archive, making it and its folder where there is none.
    ///
    /// # Errors
    /// A file that is not an archive, is damaged, newer than this program, or cannot be read or written.
    pub fn open(path: &Path) -> Result<Self> {
        if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder).map_err(|source| Error::Io {
                path: folder.to_owned(),
                action: "written",
                source,
            })?;
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags).map_err(|e| refused(path, &e))?;
        let mut archive = Archive {
            connection,
            path: path.to_owned(),
        };
        archive.recognise()?;
        archive.check_whole()?;
        archive.prepare().map_err(|e| refused(path, &e))?;
        MIGRATIONS
            .to_latest(&mut archive.connection)
            .map_err(|e| archive.damaged(&e))?;
        Ok(archive)
    }

    /// Refuses a file of another program or of a newer version, before anything is written to it.
    fn recognise(&self) -> Result<()> {
        let number = |sql: &str| {
            self.connection
                .query_row(sql, [], |row| row.get::<_, i32>(0))
                .map_err(|e| refused(&self.path, &e))
        };
        let tables = number("SELECT count(*) FROM sqlite_master")?;
        let owner = number("PRAGMA application_id")?;
        if tables > 0 && owner != APPLICATION_ID {
            return Err(Error::NotAnArchive {
                path: self.path.clone(),
            });
        }
        let found = number("PRAGMA user_version")?;
        if found > NEWEST {
            return Err(Error::ArchiveNewer {
                path: self.path.clone(),
                found,
                newest: NEWEST,
            });
        }
        Ok(())
    }

    /// Refuses a file of which a page is missing or scribbled over, before anything is written to it.
    fn check_whole(&self) -> Result<()> {
        let found: String = self
            .connection
            .query_row("PRAGMA quick_check(1)", [], |row| row.get(0))
            .map_err(self.sql())?;
        if found == "ok" {
            return Ok(());
        }
        let lines: Vec<&str> = found.lines().map(|l| l.trim_matches([' ', '*'])).collect();
        Err(self.damaged(&lines.join(": ")))
    }

    fn prepare(&self) -> rusqlite::Result<()> {
        let c = &self.connection;
        c.busy_timeout(PATIENCE)?;
        // Written once: even the same figure again would touch the file.
        let owner: i32 = c.pragma_query_value(None, "application_id", |row| row.get(0))?;
        if owner != APPLICATION_ID {
            c.pragma_update(None, "application_id", APPLICATION_ID)?;
        }
        c.pragma_update(None, "journal_mode", "DELETE")?;
        c.pragma_update(None, "synchronous", "FULL")?;
        c.pragma_update(None, "foreign_keys", true)
    }

    /// Where the archive lies.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The value of a word that [`word_of`] wrote.
    fn of_word<T: serde::de::DeserializeOwned>(&self, word: &str) -> Result<T> {
        serde_json::from_value(word.into()).map_err(|e| self.damaged(&e))
    }

    fn damaged(&self, detail: &dyn std::fmt::Display) -> Error {
        Error::ArchiveDamaged {
            path: self.path.clone(),
            detail: detail.to_string(),
        }
    }

    fn sql(&self) -> impl Fn(rusqlite::Error) -> Error + '_ {
        |e| refused(&self.path, &e)
    }
}

/// The word that stands for a value of an enum, as JSON writes it.
fn word_of(value: impl serde::Serialize) -> Option<String> {
    serde_json::to_value(value)
        .ok()?
        .as_str()
        .map(str::to_owned)
}

/// Refuses a name that cannot be shown in a line or told apart from another.
fn fit_name(name: &str) -> Result<()> {
    let fits = !name.trim().is_empty()
        && name.chars().count() <= LONGEST_NAME
        && !name.chars().any(char::is_control);
    if fits {
        return Ok(());
    }
    let shown = name.chars().filter(|c| !c.is_control()).take(40).collect();
    Err(Error::NameUnfit { name: shown })
}

/// What SQLite said, in this program's words.
fn refused(path: &Path, error: &rusqlite::Error) -> Error {
    let path = path.to_owned();
    match error.sqlite_error_code() {
        Some(rusqlite::ErrorCode::NotADatabase) => Error::NotAnArchive { path },
        Some(
            rusqlite::ErrorCode::CannotOpen
            | rusqlite::ErrorCode::ReadOnly
            | rusqlite::ErrorCode::DiskFull
            | rusqlite::ErrorCode::PermissionDenied
            | rusqlite::ErrorCode::DatabaseBusy
            | rusqlite::ErrorCode::DatabaseLocked
            | rusqlite::ErrorCode::SystemIoFailure,
        ) => Error::ArchiveUnavailable {
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
    fn migrations_are_sound_and_counted() {
        MIGRATIONS.validate().unwrap();
        let folder = tempfile::tempdir().unwrap();
        let archive = Archive::open(&folder.path().join("a.sqlite")).unwrap();
        let found: i32 = archive
            .connection
            .query_row("PRAGMA user_version", [], |r| r.get(0))
            .unwrap();
        assert_eq!(found, NEWEST, "NEWEST must move with every migration added");
    }

    /// Everything that defines the tables, in order.
    fn schema(path: &Path) -> Vec<(String, String)> {
        let file = Connection::open(path).unwrap();
        let mut ask = file
            .prepare("SELECT name, coalesce(sql, '') FROM sqlite_master ORDER BY name")
            .unwrap();
        let rows = ask.query_map([], |row| Ok((row.get(0)?, row.get(1)?)));
        rows.unwrap().collect::<rusqlite::Result<_>>().unwrap()
    }

    #[test]
    fn an_archive_of_every_older_version_becomes_as_a_new_one_and_keeps_what_it_holds() {
        let folder = tempfile::tempdir().unwrap();
        let fresh = folder.path().join("fresh.sqlite");
        drop(Archive::open(&fresh).unwrap());
        for version in 1..STEPS.len() {
            let path = folder.path().join(format!("{version}.sqlite"));
            let mut older = Connection::open(&path).unwrap();
            MIGRATIONS.to_version(&mut older, version).unwrap();
            older
                .pragma_update(None, "application_id", APPLICATION_ID)
                .unwrap();
            older
                .execute("INSERT INTO rig VALUES ('corner', 'then', 'its light')", [])
                .unwrap();
            drop(older);
            let upgraded = Archive::open(&path).unwrap();
            let kept: String = upgraded
                .connection
                .query_row("SELECT rig FROM rig WHERE name = 'corner'", [], |r| {
                    r.get(0)
                })
                .unwrap();
            assert_eq!(kept, "its light");
            drop(upgraded);
            assert_eq!(schema(&path), schema(&fresh), "from version {version}");
        }
    }

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
        for file in [&path, &text] {
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
