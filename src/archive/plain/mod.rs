//! Everything as plain files, out and back in.
//!
//! ```text
//! FOLDER/
//! ├── all.ndjson, all.csv     one line a finish, for any program that reads such files
//! ├── rigs.json               rigs with their studies, earlier ones too
//! ├── ladders.json            ladders
//! └── finishes/NAME/
//!     ├── finish.json         all that is known of it: readings, recipes, approval, decisions, notes, digests
//!     ├── card.txt            the same in words
//!     ├── silver.png, picture.png, colour.png
//!     └── photo-…             the photo's file, where it was kept and asked for
//! ```
//! What comes back is read from `finish.json`, the pictures, the photo, `rigs.json` and `ladders.json`; the rest is for people
//! and other programs.

mod bounded;
mod enter;
mod finish_file;
mod leave;
mod new_folder;
mod studio;

use serde::Serialize;

pub use enter::{Came, Entered, Outcome};
pub use finish_file::{FileRef, FinishFile};
pub use leave::Leaf;
pub use new_folder::NewFolder;
pub use studio::{LADDERS, RIGS};

/// Version of the files' form. Since 2 a finish may have recipes, since 3 a rig earlier ones, since 4 a
/// reading its colour and a decision its question; older files come in as they are.
pub const SCHEMA: u32 = 4;

/// Where the finishes lie.
pub const FINISHES: &str = "finishes";

/// What is known of a finish.
pub const FINISH: &str = "finish.json";

/// What the file of a silver map is called, without its ending.
const SILVER: &str = "silver";

/// What that of a small picture is called.
const PICTURE: &str = "picture";

/// What that of a panel's colour is called.
const COLOUR: &str = "colour";

/// Characters of a name that are kept in the name of its folder.
const READABLE: usize = 40;

/// Hexadecimal digits of a name's digest in the name of its folder: two of ten thousand names share them once in a million.
const DIGITS: usize = 12;

/// The folder of a finish: what can be read of its name, and a digest that parts it from all others. Whatever the name is, the
/// folder's is one that every system takes.
#[must_use]
pub fn folder_name(finish: &str) -> String {
    let digest = super::digest(finish.as_bytes());
    format!("{}-{}", plain(finish, READABLE), &digest[..DIGITS])
}

/// Letters and figures of a text, all else as single dashes, no longer than `most`; never empty.
fn plain(text: &str, most: usize) -> String {
    let mut out = String::new();
    for c in text.chars() {
        if out.len() == most {
            break;
        }
        if c.is_ascii_alphanumeric() {
            out.push(c.to_ascii_lowercase());
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    let out = out.trim_end_matches('-');
    if out.is_empty() {
        "finish".to_owned()
    } else {
        out.to_owned()
    }
}

/// JSON to be read by people, with a line's end.
fn pretty(value: &impl Serialize) -> serde_json::Result<Vec<u8>> {
    let mut text = serde_json::to_vec_pretty(value)?;
    text.push(b'\n');
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_has_a_folder_of_its_own_that_any_system_takes() {
        let names = [
            "bar sample",
            "Bar sample",
            "bar/sample",
            "../../etc/passwd",
            "con",
            "NUL",
            "a\nb",
            "\u{202e}",
            "",
            ".",
            "..",
            "trailing. ",
            "a:b*c?\"<>|",
            "銀",
            &"long ".repeat(60),
        ];
        let folders: std::collections::BTreeSet<String> =
            names.iter().map(|name| folder_name(name)).collect();
        assert_eq!(folders.len(), names.len());
        for folder in &folders {
            assert!(folder.len() <= READABLE + 1 + DIGITS);
            assert!(
                folder
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
            );
            assert!(!folder.starts_with('-'));
        }
        assert!(folder_name("bar sample").starts_with("bar-sample-"));
    }
}
