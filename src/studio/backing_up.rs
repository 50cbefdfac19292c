//! A checked copy of the archive in one file.

use std::path::Path;

use super::Studio;
use crate::archive::{self, Verified};
use crate::error::Result;

/// Copies the archive, and says what the copy holds. An older archive is brought up first, with a copy laid beside it: what is
/// backed up is what is used from now on.
///
/// # Errors
/// There is no archive; it, or the copy, is damaged; there is something in the copy's place.
pub fn back_up(to: &Path, studio: &Studio<'_>) -> Result<Verified> {
    // An empty file is no archive.
    if std::fs::metadata(&studio.path).is_ok_and(|facts| facts.len() > 0) {
        drop(studio.archive()?);
    }
    archive::backup(&studio.path, to)
}
