//! A copy of the whole archive in one file, made while others may write.
//!
//! SQLite's own online copy goes into `FILE.part`; it is checked as `verify` checks, brought to the disk and only then given
//! its name. Nothing that is there already is overwritten.

use std::path::Path;

use super::copy::{copy_into, named, part_of};
use super::journal::no_journal;
use super::{Verified, there, verify};
use crate::error::{Error, Result};

/// Copies the archive to a new file, and says what the copy holds.
///
/// # Errors
/// There is no archive, or it is damaged; a file of that name is there, or a journal that SQLite would take for the copy's; it cannot
/// be written.
pub fn backup(archive: &Path, to: &Path) -> Result<Verified> {
    there(archive)?;
    if to.exists() {
        return Err(Error::FileThere {
            path: to.to_owned(),
        });
    }
    no_journal(to)?;
    let part = part_of(to)?;
    no_journal(&part)?;
    let copied = copy_into(archive, &part).and_then(|()| {
        let found = verify(&part)?;
        if found.problems.is_empty() {
            Ok(found)
        } else {
            Err(Error::BackupUnsound {
                path: archive.to_owned(),
                problems: found.problems.len(),
            })
        }
    });
    named(copied, &part, to)
}
