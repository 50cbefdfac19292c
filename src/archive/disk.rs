//! SQLite's errors as this program's, and reads that fail.
//!
//! SQLite says of a page that the disk does not give back that the file is malformed, which is also what it says of a scribbled one.
//! So a read that fails is tried once more, and where it fails again the file is read from end to end to tell the two apart.

use std::cell::OnceCell;
use std::fs::File;
use std::io::{self, ErrorKind};
use std::path::Path;

use rusqlite::{ErrorCode, ffi};

use crate::error::{Error, Result};

/// SQLite's codes of a read that failed (its result codes, SQLITE_IOERR).
const READS: [i32; 5] = [
    ffi::SQLITE_IOERR_READ,
    ffi::SQLITE_IOERR_FSTAT,
    ffi::SQLITE_IOERR_SEEK,
    ffi::SQLITE_IOERR_DATA,
    ffi::SQLITE_IOERR_CORRUPTFS,
];

/// The error that stands for one of SQLite's.
pub(super) fn refused(path: &Path, error: &rusqlite::Error) -> Error {
    let code = error.sqlite_error().map(|e| e.extended_code);
    let path = path.to_owned();
    match error.sqlite_error_code() {
        Some(ErrorCode::NotADatabase) => Error::NotAnArchive { path },
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Error::ArchiveReadOnly { path },
        Some(ErrorCode::DiskFull) => Error::ArchiveFull { path },
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Error::ArchiveBusy { path },
        Some(ErrorCode::SystemIoFailure) if code.is_some_and(|code| READS.contains(&code)) => {
            Error::ArchiveUnread {
                path,
                detail: error.to_string(),
            }
        }
        Some(ErrorCode::CannotOpen | ErrorCode::SystemIoFailure) => Error::ArchiveUnavailable {
            path,
            detail: error.to_string(),
        },
        _ => Error::ArchiveDamaged {
            path,
            detail: error.to_string(),
        },
    }
}

/// What is known of the disk under an archive.
#[derive(Default)]
pub(super) struct Disk {
    /// Why the file cannot be read from end to end; `None` where it can.
    unread: OnceCell<Option<String>>,
}

impl Disk {
    /// Reads, and once more where that fails. What SQLite calls damage and the disk does not give back is said to be unread.
    ///
    /// The file is opened besides, and closing it lets go of this process's locks on it: no transaction may be open.
    pub(super) fn once_more<T>(
        &self,
        path: &Path,
        mut read: impl FnMut() -> Result<T>,
    ) -> Result<T> {
        match read() {
            Err(Error::ArchiveDamaged { .. } | Error::ArchiveUnread { .. }) => {}
            done => return done,
        }
        let done = read();
        if let Err(Error::ArchiveDamaged { path: at, .. }) = &done
            && let Some(detail) = self.unread(path)
        {
            return Err(Error::ArchiveUnread {
                path: at.clone(),
                detail: detail.to_owned(),
            });
        }
        done
    }

    /// Why the file cannot be read from end to end, tried twice; worked out once.
    pub(super) fn unread(&self, path: &Path) -> Option<&str> {
        let through = || File::open(path).and_then(|mut file| io::copy(&mut file, &mut io::sink()));
        let found = self.unread.get_or_init(|| {
            let error = through().or_else(|_| through()).err()?;
            // One that is not there, or not ours to read, is told of otherwise.
            let told = [ErrorKind::NotFound, ErrorKind::PermissionDenied];
            (!told.contains(&error.kind())).then(|| error.to_string())
        });
        found.as_deref()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn failure(code: i32) -> rusqlite::Error {
        rusqlite::Error::SqliteFailure(ffi::Error::new(code), None)
    }

    #[test]
    fn a_failing_read_is_neither_damage_nor_a_failing_write() {
        let path = Path::new("a.sqlite");
        for code in READS {
            let said = refused(path, &failure(code));
            assert!(matches!(said, Error::ArchiveUnread { .. }), "{code}");
        }
        for code in [
            ffi::SQLITE_IOERR_WRITE,
            ffi::SQLITE_IOERR_FSYNC,
            ffi::SQLITE_IOERR_DELETE,
            ffi::SQLITE_CANTOPEN,
        ] {
            let said = refused(path, &failure(code));
            assert!(matches!(said, Error::ArchiveUnavailable { .. }), "{code}");
        }
        let said = refused(path, &failure(ffi::SQLITE_CORRUPT));
        assert!(matches!(said, Error::ArchiveDamaged { .. }));
    }

    #[test]
    fn what_fails_once_is_tried_again_and_what_the_disk_does_not_give_back_is_no_damage() {
        let folder = tempfile::tempdir().unwrap();
        let sound = folder.path().join("a.sqlite");
        std::fs::write(&sound, "whole").unwrap();
        let try_on = |path: &Path, code: i32, failing: usize| {
            let mut tried = 0;
            let done = Disk::default().once_more(path, || {
                tried += 1;
                if tried <= failing {
                    return Err(refused(path, &failure(code)));
                }
                Ok(())
            });
            (done, tried)
        };
        for code in [ffi::SQLITE_IOERR_READ, ffi::SQLITE_CORRUPT] {
            assert!(matches!(try_on(&sound, code, 1), (Ok(()), 2)));
        }
        // A folder opens, and none of it can be read.
        let unread = folder.path();
        let (done, tried) = try_on(unread, ffi::SQLITE_CORRUPT, 9);
        assert!(matches!(done, Err(Error::ArchiveUnread { .. })) && tried == 2);
        let (done, tried) = try_on(&sound, ffi::SQLITE_CORRUPT, 9);
        assert!(matches!(done, Err(Error::ArchiveDamaged { .. })) && tried == 2);
        let (done, tried) = try_on(&sound, ffi::SQLITE_FULL, 9);
        assert!(matches!(done, Err(Error::ArchiveFull { .. })) && tried == 1);
    }
}
