//! A folder of photos.

use std::path::{Path, PathBuf};

use crate::error::{Error, Result};
use crate::intake;
use crate::placement::SIDECAR_ENDING;
use crate::silver;
use crate::words::file_name;

/// The photos that lie in a folder, by name, and how many files there are neither photos nor placement files. Drawings of this
/// program are no photos. What lies deeper is left alone.
///
/// # Errors
/// It cannot be read, or holds no picture.
pub fn photos_in(folder: &Path) -> Result<(Vec<PathBuf>, usize)> {
    let (pictures, others) = pictures_of(folder)?;
    if pictures.is_empty() {
        return Err(Error::NoPhotoIn {
            path: folder.to_owned(),
        });
    }
    Ok((pictures, others))
}

/// The same, and a folder may hold none.
///
/// # Errors
/// It cannot be read.
pub fn pictures_of(folder: &Path) -> Result<(Vec<PathBuf>, usize)> {
    let unread = |source| Error::Io {
        path: folder.to_owned(),
        action: "read",
        source,
    };
    let mut inside = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(unread)? {
        let path = entry.map_err(unread)?.path();
        let name = file_name(&path);
        if path.is_file() && !name.starts_with('.') && !name.ends_with(SIDECAR_ENDING) {
            inside.push(path);
        }
    }
    inside.sort();
    let (pictures, others): (Vec<_>, Vec<_>) = inside
        .into_iter()
        .partition(|p| intake::is_picture(p) && !silver::is_drawing(p));
    Ok((pictures, others.len()))
}

/// The picture of a folder that was written last; of several the one whose name comes last.
///
/// # Errors
/// The folder cannot be read, or holds no picture.
pub fn newest_in(folder: &Path) -> Result<PathBuf> {
    let written = |photo: &PathBuf| {
        let facts = std::fs::metadata(photo);
        facts.and_then(|facts| facts.modified()).ok()
    };
    let (photos, _) = photos_in(folder)?;
    let newest = photos
        .into_iter()
        .max_by_key(|photo| (written(photo), photo.clone()));
    newest.ok_or_else(|| Error::NoPhotoIn {
        path: folder.to_owned(),
    })
}

/// A folder's path that holds wherever the program is started.
#[must_use]
pub fn from_the_root(folder: &str) -> String {
    let whole = std::path::absolute(folder);
    whole.map_or_else(
        |_| folder.to_owned(),
        |whole| whole.to_string_lossy().into_owned(),
    )
}
