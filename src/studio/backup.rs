//! A checked copy of the archive in one file, and the way back.

use std::path::{Path, PathBuf};

use super::Studio;
use crate::archive::{self, Verified};
use crate::error::Result;

/// Copies the archive, and says what the copy holds.
///
/// # Errors
/// There is no archive; it, or the copy, is damaged; there is something in the copy's place.
pub fn back_up(to: &Path, studio: &Studio<'_>) -> Result<Verified> {
    // It is opened first so that an error names it and not the copy. An empty file is no archive.
    if std::fs::metadata(&studio.path).is_ok_and(|facts| facts.len() > 0) {
        drop(studio.archive()?);
    }
    archive::backup(&studio.path, to)
}

/// Puts a copy in the archive's place; says what it holds, and where the archive was set aside that was there.
///
/// # Errors
/// There is no copy, or it is damaged; another program is writing the archive; the disk is full.
pub fn restore(from: &Path, studio: &Studio<'_>) -> Result<(Verified, Option<PathBuf>)> {
    let path = &studio.path;
    let there = path.exists();
    // No name of a file may hold a colon everywhere.
    let now = (studio.now)().replace(':', "-");
    let name = path.file_stem().unwrap_or_default().to_string_lossy();
    let mut aside = path.with_file_name(format!("{name} before {now}.sqlite"));
    // Two in one second.
    for again in 2.. {
        if !aside.exists() {
            break;
        }
        aside = path.with_file_name(format!("{name} before {now} ({again}).sqlite"));
    }
    let found = archive::restore(path, from, &aside)?;
    Ok((found, there.then_some(aside)))
}
