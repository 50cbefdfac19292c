//! The files that SQLite lays beside a database while it writes: what bears such a name is taken for one, and read into it.

use std::path::{Path, PathBuf};

use crate::error::{Error, Result};

/// What is added to the database's name (SQLite's file format, sections 3 and 4, and "Temporary files used by SQLite").
const ENDINGS: [&str; 3] = ["-journal", "-wal", "-shm"];

/// Passes the name of a file to be made.
///
/// # Errors
/// SQLite would take the file for a journal, or one that lies there for the file's own.
pub fn no_journal(file: &Path) -> Result<()> {
    let name = file.to_string_lossy();
    if ENDINGS.iter().any(|ending| name.ends_with(ending)) {
        return Err(Error::NameOfJournal {
            path: file.to_owned(),
        });
    }
    let beside = |ending: &&str| {
        let mut beside = file.as_os_str().to_owned();
        beside.push(ending);
        PathBuf::from(beside)
    };
    match ENDINGS.iter().map(beside).find(|path| path.exists()) {
        Some(path) => Err(Error::JournalThere { path }),
        None => Ok(()),
    }
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
