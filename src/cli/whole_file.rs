//! Writing what was asked for: whole or not there, and never over an original.

use std::fs::File;
use std::io::{ErrorKind, Read, Write};
use std::path::Path;

use crate::error::{Error, Result};
use crate::intake;

/// How an archive begins (SQLite's file format, section 1.3.1).
const ARCHIVE_HEAD: &[u8] = b"SQLite format 3\0";

/// Writes a file beside its place and moves it there, so that it is whole or not there. What was written there before is
/// replaced, but not an archive, nor a picture by anything but a picture of its kind: a slip of the hand must not cost a photo.
pub(super) fn write_whole(file: &Path, content: &[u8]) -> Result<()> {
    if is_original(file, content) {
        return Err(Error::FileThere {
            path: file.to_owned(),
        });
    }
    let failed = |source| Error::Io {
        path: file.to_owned(),
        action: "written",
        source,
    };
    let mut beside = file.as_os_str().to_owned();
    beside.push(".part");
    let mut part = File::create_new(&beside).map_err(|source| match source.kind() {
        // Whatever has that name is not ours to touch.
        ErrorKind::AlreadyExists => Error::PartThere {
            path: beside.clone().into(),
        },
        _ => failed(source),
    })?;
    let written = part
        .write_all(content)
        .and_then(|()| part.sync_all())
        .and_then(|()| std::fs::rename(&beside, file));
    written.map_err(|source| {
        let _ = std::fs::remove_file(&beside);
        failed(source)
    })
}

/// What lies there is an archive, or a picture of another kind than what is to be written.
fn is_original(file: &Path, content: &[u8]) -> bool {
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

    #[test]
    fn what_is_left_beside_by_another_is_not_touched() {
        let folder = tempfile::tempdir().unwrap();
        let part = folder.path().join("table.part");
        std::fs::write(&part, "mine").unwrap();
        let refused = write_whole(&folder.path().join("table"), b"c,d");
        assert!(matches!(refused, Err(Error::PartThere { .. })));
        assert_eq!(std::fs::read(part).unwrap(), b"mine");
    }
}
