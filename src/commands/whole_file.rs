//! Writing what was asked for: whole or not there, and never over an original.

use std::fs::{File, Metadata};
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use crate::archive::{self, Part};
use crate::error::{Error, Result};
use crate::intake;

/// How an archive begins (SQLite's file format, section 1.3.1).
const ARCHIVE_HEAD: &[u8] = b"SQLite format 3\0";

/// Links that are followed one after the other; a ring of them ends somewhere.
const MOST_LINKS: usize = 16;

/// Writes a file beside its place and moves it there, so that it is whole or not there. What was written there before is
/// replaced, but not an archive, nor a picture by anything but a picture of its kind: a slip of the hand must not cost a photo.
/// A link is followed, a device is written to, and whatever else is no plain file is refused at once, for a pipe would be waited for.
///
/// # Errors
/// What lies there may not be written over, or is no plain file; the disk is full or read-only.
pub(super) fn write_whole(file: &Path, content: &[u8]) -> Result<()> {
    if is_original(file, content) {
        return Err(Error::FileThere {
            path: file.to_owned(),
        });
    }
    archive::no_journal(file)?;
    let failed = |source| Error::Io {
        path: file.to_owned(),
        action: "written",
        source,
    };
    match std::fs::metadata(file) {
        Err(_) if file == Path::new("-") => Err(no_plain_file(file)),
        Err(_) => replaced(&at_the_end_of_links(file), content),
        Ok(facts) if facts.is_dir() => Err(failed(ErrorKind::IsADirectory.into())),
        Ok(facts) if facts.is_file() && facts.permissions().readonly() => {
            Err(failed(ErrorKind::PermissionDenied.into()))
        }
        Ok(facts) if facts.is_file() => replaced(&at_the_end_of_links(file), content),
        Ok(facts) if is_device(&facts) => {
            let device = File::options().write(true).open(file);
            device
                .and_then(|mut device| device.write_all(content))
                .map_err(failed)
        }
        Ok(_) => Err(no_plain_file(file)),
    }
}

fn no_plain_file(file: &Path) -> Error {
    Error::NoPlainFile {
        path: file.to_owned(),
    }
}

/// Where links lead, also to what is not there yet.
fn at_the_end_of_links(file: &Path) -> PathBuf {
    let mut at = file.to_owned();
    for _ in 0..MOST_LINKS {
        match std::fs::read_link(&at) {
            Ok(to) => at = at.parent().unwrap_or(Path::new("")).join(to),
            Err(_) => break,
        }
    }
    at
}

/// Puts the content in the place of a file.
fn replaced(file: &Path, content: &[u8]) -> Result<()> {
    let part = Part::file(file)?;
    std::fs::write(&part.path, content).map_err(|source| Error::Io {
        path: file.to_owned(),
        action: "written",
        source,
    })?;
    part.name(file)
}

/// A terminal, a printer, nothing at all: what takes bytes as they come.
fn is_device(facts: &Metadata) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt;
        facts.file_type().is_char_device()
    }
    #[cfg(not(unix))]
    {
        let _ = facts;
        false
    }
}

/// What lies there is an archive, or a picture of another kind than what is to be written.
pub(super) fn is_original(file: &Path, content: &[u8]) -> bool {
    let mut head = Vec::new();
    let read = std::fs::metadata(file).and_then(|facts| match facts.is_file() {
        true => File::open(file)?
            .take(ARCHIVE_HEAD.len() as u64)
            .read_to_end(&mut head),
        // A pipe would be waited for.
        false => Ok(0),
    });
    let of_its_kind = head.get(..2) == content.get(..2);
    read.is_ok() && (head == ARCHIVE_HEAD || !of_its_kind && intake::is_picture(file))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_original_is_not_written_over_and_nothing_is_left_beside() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let (png, jpeg) = (&b"\x89PNG\r\n\x1a\n1"[..], &b"\xff\xd8\xff\xe0"[..]);
        std::fs::write(at("photo"), jpeg).unwrap();
        std::fs::write(at("archive"), [ARCHIVE_HEAD, b"1"].concat()).unwrap();
        std::fs::write(at("table"), "a,b").unwrap();
        std::fs::create_dir(at("folder")).unwrap();
        for original in ["photo", "archive"] {
            let before = std::fs::read(at(original)).unwrap();
            let refused = write_whole(&at(original), png);
            assert!(matches!(refused, Err(Error::FileThere { .. })));
            assert_eq!(std::fs::read(at(original)).unwrap(), before);
        }
        assert!(write_whole(&at("folder"), png).is_err());
        write_whole(&at("table"), b"c,d").unwrap();
        write_whole(&at("photo"), b"\xff\xd8\xff\xe1").unwrap();
        assert_eq!(std::fs::read(at("table")).unwrap(), b"c,d");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 4);
    }

    #[cfg(unix)]
    #[test]
    fn links_are_followed_and_what_is_no_plain_file_is_refused_or_written_to() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        std::fs::create_dir(at("far")).unwrap();
        symlink("far/table", at("link")).unwrap();
        write_whole(&at("link"), b"a").unwrap();
        write_whole(&at("link"), b"b").unwrap();
        assert!(at("link").is_symlink());
        assert_eq!(std::fs::read(at("far/table")).unwrap(), b"b");
        write_whole(Path::new("/dev/null"), b"c").unwrap();
        assert!(!std::fs::metadata("/dev/null").unwrap().is_file());
        let pipe = at("pipe");
        let made = std::process::Command::new("mkfifo").arg(&pipe).status();
        if made.is_ok_and(|made| made.success()) {
            let refused = write_whole(&pipe, b"d");
            assert!(matches!(refused, Err(Error::NoPlainFile { .. })));
        }
        std::fs::write(at("kept"), "e").unwrap();
        std::fs::set_permissions(at("kept"), std::fs::Permissions::from_mode(0o444)).unwrap();
        assert!(write_whole(&at("kept"), b"f").is_err());
        assert_eq!(std::fs::read(at("kept")).unwrap(), b"e");
        assert!(matches!(
            write_whole(Path::new("-"), b"g"),
            Err(Error::NoPlainFile { .. })
        ));
    }
}
