//! The one way in which a file is opened as an archive.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags};

use super::belonging::alien;
use super::disk::refused;
use crate::error::{Error, Result};

/// How long another program that is writing is waited for until the pragmas are set.
const PATIENCE: Duration = Duration::from_secs(30);

/// Opens a file, made where there is none. What a write that was cut short left beside it is undone when the file is first read,
/// so all are opened to write; a journal that is another archive's is refused.
///
/// # Errors
/// A journal beside it is not its own; it cannot be opened.
pub(super) fn connect(path: &Path) -> Result<Connection> {
    if let Some(journal) = alien(path) {
        return Err(Error::JournalAlien {
            path: journal,
            archive: path.to_owned(),
        });
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
        | OpenFlags::SQLITE_OPEN_CREATE
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection =
        Connection::open_with_flags(local(path), flags).map_err(|e| refused(path, &e))?;
    connection
        .busy_timeout(PATIENCE)
        .map_err(|e| refused(path, &e))?;
    Ok(connection)
}

/// A path that SQLite takes for a file's whatever the name is: it gives some names, such as `:memory:`, another meaning.
fn local(path: &Path) -> PathBuf {
    Path::new(".").join(path)
}

#[cfg(test)]
mod tests {
    use super::super::Archive;
    use super::*;

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
