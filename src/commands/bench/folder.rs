//! The private folder in which uploads lie while the bench is open.

use std::fs::{self, File, TryLockError};
use std::io;
use std::path::Path;

use tempfile::TempDir;

/// What the folder's name begins with.
const NAMED: &str = "paneprint-bench-";

/// A file in it that stays locked as long as its program lives.
const IN_USE: &str = "in use";

/// The folder: nobody else may look into it, and it goes when this does.
pub(super) struct Folder {
    folder: TempDir,
    _in_use: File,
}

impl Folder {
    /// A new one. Those that a killed program left behind are cleared away.
    ///
    /// # Errors
    /// The system's folder for passing files cannot be written.
    pub(super) fn new() -> io::Result<Self> {
        Folder::within(&std::env::temp_dir())
    }

    fn within(place: &Path) -> io::Result<Self> {
        clear(place);
        let mut builder = tempfile::Builder::new();
        builder.prefix(NAMED);
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o700));
        let folder = builder.tempdir_in(place)?;
        let in_use = File::create_new(folder.path().join(IN_USE))?;
        in_use.lock()?;
        Ok(Folder {
            folder,
            _in_use: in_use,
        })
    }

    /// Where it lies.
    pub(super) fn path(&self) -> &Path {
        self.folder.path()
    }
}

/// Removes folders whose program is gone. What cannot be looked at is somebody else's, and left.
fn clear(place: &Path) {
    let Ok(entries) = fs::read_dir(place) else {
        return;
    };
    for entry in entries.flatten() {
        let named = entry.file_name().to_string_lossy().starts_with(NAMED);
        if named && entry.file_type().is_ok_and(|kind| kind.is_dir()) && is_left(&entry.path()) {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

/// Nobody holds it any more.
fn is_left(folder: &Path) -> bool {
    let held = File::open(folder.join(IN_USE)).map(|file| file.try_lock());
    match held {
        Ok(Ok(())) => true,
        Ok(Err(TryLockError::WouldBlock | TryLockError::Error(_))) | Err(_) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_goes_with_the_program_and_what_a_killed_one_left_goes_too() {
        let place = tempfile::tempdir().unwrap();
        let left = place.path().join("paneprint-bench-left");
        fs::create_dir(&left).unwrap();
        fs::write(left.join(IN_USE), "").unwrap();
        fs::write(left.join("photo"), "silver").unwrap();
        let other = place.path().join("paneprint-bench-no-lock");
        fs::create_dir(&other).unwrap();

        let first = Folder::within(place.path()).unwrap();
        assert!(!left.exists() && other.exists());
        let second = Folder::within(place.path()).unwrap();
        let (kept, gone) = (first.path().to_owned(), second.path().to_owned());
        drop(second);
        assert!(kept.exists() && !gone.exists());
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = fs::metadata(&kept).unwrap().permissions().mode();
            assert_eq!(mode & 0o077, 0, "{mode:o}");
        }
    }
}
