//! Bytes kept by their digest, each once: silver maps, thumbnails, colours, photos.

use rusqlite::{Connection, OptionalExtension, params};
use serde::{Deserialize, Serialize};

use super::{Archive, Writing, digest};
use crate::error::{Error, Result};

/// A file of kept bytes; in an export it lies beside the JSON that refers to it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FileRef {
    /// Its name in an export, where it is in one.
    pub(super) file: Option<String>,
    /// BLAKE3 digest of its bytes.
    pub(super) digest: String,
}

impl FileRef {
    /// A file that is in no export.
    pub(super) fn kept(digest: String) -> Self {
        FileRef { file: None, digest }
    }
}

/// Why kept bytes cannot be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lost {
    Gone,
    Changed,
}

/// Keeps bytes for a finish, unless they are kept already. Where the kept ones have changed, nothing new may refer to them.
pub(super) fn add(writing: &Writing<'_>, bytes: &[u8], finish: &str) -> Result<FileRef> {
    let name = digest(bytes);
    match get(&writing.all, &name).map_err(writing.sql())? {
        Ok(_) => {}
        Err(Lost::Gone) => {
            writing.run(
                "INSERT INTO file (digest, bytes) VALUES (?1, ?2)",
                params![name, bytes],
            )?;
        }
        Err(Lost::Changed) => {
            return Err(Error::KeptChanged {
                name: finish.to_owned(),
                path: writing.path.to_owned(),
            });
        }
    }
    Ok(FileRef::kept(name))
}

/// The bytes of a digest, checked against it.
pub(super) fn get(connection: &Connection, name: &str) -> rusqlite::Result<Result<Vec<u8>, Lost>> {
    let bytes: Option<Vec<u8>> = connection
        .prepare_cached("SELECT bytes FROM file WHERE digest = ?1")?
        .query_row([name], |row| row.get(0))
        .optional()?;
    Ok(match bytes {
        None => Err(Lost::Gone),
        Some(bytes) if digest(&bytes) == name => Ok(bytes),
        Some(_) => Err(Lost::Changed),
    })
}

impl Archive {
    /// The bytes of a file of a finish, checked.
    pub(super) fn bytes(&self, file: &FileRef, finish: &str) -> Result<Vec<u8>> {
        let kept = self.read_of(finish, |archive| get(archive, &file.digest))?;
        kept.map_err(|_| self.changed(finish))
    }
}
