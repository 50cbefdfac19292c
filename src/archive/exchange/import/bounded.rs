//! Reading files that may be hostile: only plain files, by plain names, no larger than honest ones.

use std::fs;
use std::path::{Path, PathBuf};

use super::super::SCHEMA;
use crate::error::{Error, Result, Unfit};
use crate::intake;

/// Largest JSON file, bytes: a hundred times an honest one.
pub(super) const MOST_JSON: u64 = 16 << 20;

/// Largest picture, bytes.
pub(super) const MOST_PICTURE: u64 = 300 << 20;

/// Most bytes of all pictures of one finish: a hundred readings of the largest panels, and no more than memory holds.
pub(super) const MOST_PICTURES: u64 = 512 << 20;

/// Largest photo, bytes: as much as intake opens.
pub(super) const MOST_PHOTO: u64 = 300 << 20;

/// Most finishes in one folder: each is checked, and nobody waits for more.
pub(super) const MOST_FINISHES: usize = 100_000;

/// Most readings of one finish.
pub(super) const MOST_READINGS: usize = 1000;

/// Most recipes of one finish.
pub(super) const MOST_RECIPES: usize = 1000;

/// Most characters of notes.
pub(super) const MOST_NOTES: usize = 1 << 20;

/// Longest name of a file.
const LONGEST_NAME: usize = 100;

/// The error of a file that cannot be used.
pub(super) fn unfit(path: &Path, why: Unfit) -> Error {
    Error::ExportUnfit {
        path: path.to_owned(),
        why,
    }
}

/// A name as it can be shown.
pub(super) fn shown(name: &str) -> String {
    name.chars().filter(|c| !c.is_control()).take(80).collect()
}

/// The path of a file in a folder. The name must be a plain one, so that it never leads out of the folder.
pub(super) fn inside(folder: &Path, name: &str) -> Result<PathBuf> {
    let fits = !name.is_empty()
        && name.len() <= LONGEST_NAME
        && !name.starts_with('.')
        && name
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || matches!(b, b'.' | b'-' | b'_'));
    if fits {
        Ok(folder.join(name))
    } else {
        Err(unfit(folder, Unfit::LeadsOutside))
    }
}

/// The bytes of a plain file of at most `most` bytes.
pub(super) fn read(path: &Path, most: u64) -> Result<Vec<u8>> {
    let facts = fs::symlink_metadata(path).map_err(|source| match source.kind() {
        std::io::ErrorKind::NotFound => unfit(path, Unfit::Missing),
        _ => Error::Io {
            path: path.to_owned(),
            action: "read",
            source,
        },
    })?;
    if !facts.is_file() {
        return Err(unfit(path, Unfit::NotPlain));
    }
    let too_large = || unfit(path, Unfit::TooLarge { most });
    if facts.len() > most {
        return Err(too_large());
    }
    let bytes = intake::at_most(most + 1, path).map_err(|source| Error::Io {
        path: path.to_owned(),
        action: "read",
        source,
    })?;
    if bytes.len() as u64 > most {
        return Err(too_large());
    }
    Ok(bytes)
}

/// The version of a file's form, whatever else it holds.
#[derive(serde::Deserialize)]
struct Form {
    schema: u32,
}

/// The content of a JSON file.
pub(super) fn json<T: serde::de::DeserializeOwned>(path: &Path) -> Result<T> {
    let bytes = read(path, MOST_JSON)?;
    // A newer form may hold what this version does not understand, which is no damage.
    if let Ok(Form { schema }) = serde_json::from_slice(&bytes)
        && schema > SCHEMA
    {
        let newest = SCHEMA;
        return Err(unfit(
            path,
            Unfit::Newer {
                found: schema,
                newest,
            },
        ));
    }
    serde_json::from_slice(&bytes).map_err(|e| {
        unfit(
            path,
            Unfit::NotUnderstood {
                detail: e.to_string(),
            },
        )
    })
}

/// The paths in a folder by name, at most `most` of them.
pub(super) fn folders(path: &Path, most: usize) -> Result<Vec<PathBuf>> {
    let unread = |source| Error::Io {
        path: path.to_owned(),
        action: "read",
        source,
    };
    let is_folder = fs::symlink_metadata(path).is_ok_and(|facts| facts.is_dir());
    if !is_folder {
        return Err(unfit(path, Unfit::Missing));
    }
    let mut found = Vec::new();
    for entry in fs::read_dir(path).map_err(unread)? {
        if found.len() == most {
            return Err(unfit(path, Unfit::TooMany { most }));
        }
        let path = entry.map_err(unread)?.path();
        if !is_systems_own(&path) {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

/// Whether a file is one that a desktop leaves in every folder it shows.
fn is_systems_own(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default();
    [".DS_Store", "Thumbs.db", "desktop.ini"]
        .iter()
        .any(|own| name == *own)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_is_read_up_to_the_most_and_refused_past_it() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["c", "a", "b"] {
            fs::create_dir(folder.path().join(name)).unwrap();
        }
        let found = folders(folder.path(), 3).unwrap();
        let names: Vec<_> = found.iter().filter_map(|path| path.file_name()).collect();
        assert_eq!(names, ["a", "b", "c"]);
        let refused = folders(folder.path(), 2).map(|_| ());
        assert!(matches!(
            refused,
            Err(Error::ExportUnfit {
                why: Unfit::TooMany { most: 2 },
                ..
            })
        ));
    }
}
