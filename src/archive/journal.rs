//! The journals that SQLite lays beside a database while it writes. SQLite takes any file of such a name for one, and replays it.

use std::path::{Path, PathBuf};

use crate::error::{Error, Result};

/// Endings that follow the database's name (SQLite's file format, sections 3 and 4, and "Temporary files used by SQLite").
const ENDINGS: [&str; 3] = ["-journal", "-wal", "-shm"];

/// Refuses the name of a file to be made where a journal is or would be in the way.
///
/// # Errors
/// SQLite would take the file for a journal, or take a journal that lies there for the file's.
pub fn no_journal(file: &Path) -> Result<()> {
    let name = file.to_string_lossy();
    if ENDINGS.iter().any(|ending| name.ends_with(ending)) {
        return Err(Error::NameOfJournal {
            path: file.to_owned(),
        });
    }
    match journals(file).find(|path| path.exists()) {
        Some(path) => Err(Error::JournalThere { path }),
        None => Ok(()),
    }
}

/// The files that SQLite may lay beside a database.
pub(super) fn journals(database: &Path) -> impl Iterator<Item = PathBuf> {
    ENDINGS.iter().map(|ending| {
        let mut beside = database.as_os_str().to_owned();
        beside.push(ending);
        PathBuf::from(beside)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_journals_name_and_a_name_with_a_journal_beside_it_are_refused() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        std::fs::write(at("left.sqlite-journal"), "old").unwrap();
        std::fs::write(at("open.sqlite-wal"), "old").unwrap();
        for (name, fits) in [
            ("copy.sqlite", true),
            ("copy.sqlite-journal", false),
            ("copy.sqlite-wal", false),
            ("left.sqlite", false),
            ("open.sqlite", false),
        ] {
            assert_eq!(no_journal(&at(name)).is_ok(), fits, "{name}");
        }
    }
}
