//! A recipe from a small text file.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use crate::archive::Recipe;
use crate::error::{Error, Result};

/// Largest file, bytes: a hundred times an honest one.
const MOST: u64 = 1 << 20;

pub(super) fn read(path: &Path) -> Result<Recipe> {
    let unfit = |found: String| Error::RecipeFile {
        path: path.to_owned(),
        found,
    };
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(MOST + 1).read_to_end(&mut bytes))
        .map_err(|source| match source.kind() {
            ErrorKind::NotFound => unfit("no such file".to_owned()),
            ErrorKind::IsADirectory => unfit("a folder".to_owned()),
            _ => unfit(source.to_string()),
        })?;
    if bytes.len() as u64 > MOST {
        return Err(unfit("more than that".to_owned()));
    }
    let text = String::from_utf8(bytes).map_err(|_| unfit("no text in UTF-8".to_owned()))?;
    Recipe::from_text(&text).map_err(|unread| Error::RecipeUnread {
        place: format!("{}, line {}", path.display(), unread.line),
        why: unread.why,
    })
}
