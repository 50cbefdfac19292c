//! Bytes kept by their digest, each once: silver maps, small pictures, photos.

use rusqlite::{Connection, OptionalExtension, params};

use super::{Archive, Writing, digest};
use crate::error::{Error, Result};

/// Why bytes that were kept cannot be had.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lost {
    /// They are not there.
    Gone,
    /// They are not what was kept.
    Changed,
}

/// Keeps bytes for a finish, where they are not kept yet, and says their digest. Where they are kept but are no longer what
/// they were, nothing new may lean on them.
pub(super) fn add(writing: &Writing<'_>, bytes: &[u8], finish: &str) -> Result<String> {
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
    Ok(name)
}

/// The bytes of a digest, held against it.
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
    /// Bytes that belong to a finish.
    pub(super) fn bytes(&self, name: &str, finish: &str) -> Result<Vec<u8>> {
        get(&self.connection, name)
            .map_err(self.sql())?
            .map_err(|_| self.changed(finish))
    }
}
