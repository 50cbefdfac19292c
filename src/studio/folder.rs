//! A folder of photos.

use std::path::{Path, PathBuf};

use crate::error::{Error, Result};
use crate::intake;
use crate::placement::SIDECAR_ENDING;
use crate::words::file_name;

/// The pictures that lie in a folder, by name, and how many files there are neither pictures nor placement files. What lies
/// deeper is left alone.
///
/// # Errors
/// It cannot be read, or holds no picture.
pub fn photos_in(folder: &Path) -> Result<(Vec<PathBuf>, usize)> {
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
    let (pictures, others): (Vec<_>, Vec<_>) =
        inside.into_iter().partition(|p| intake::is_picture(p));
    if pictures.is_empty() {
        return Err(Error::NoPhotoIn {
            path: folder.to_owned(),
        });
    }
    Ok((pictures, others.len()))
}
