//! Export and import: everything as plain files, out and back in.
//!
//! ```text
//! FOLDER/
//! ├── all.ndjson, all.csv     one line a finish, for any program that reads such files
//! ├── rigs.json               rigs with their studies, earlier ones too
//! ├── ladders.json            ladders
//! ├── jobs.json               jobs, and what is usual in the studio, where there is any
//! ├── history.json            what was changed of rigs and ladders, and of finishes that are gone for good
//! └── finishes/NAME/
//!     ├── finish.json         all that is known of it: readings, recipes, approval, decisions, notes, changes, digests
//!     ├── card.txt            the same in words
//!     ├── silver.png, picture.png (the thumbnail), colour.png
//!     └── photo-…             the photo's file, where it was kept and asked for
//! ```
//! What is in the bin leaves as the finishes do, and comes back into the bin. An import reads `finish.json`, the pictures, the
//! photo, `rigs.json`, `ladders.json`, `jobs.json` and `history.json`; the rest is for people and other programs.

mod export;
mod import;
mod jobs;
mod new_folder;
mod studio;

use serde::Serialize;

use super::kept::SCHEMA;

pub use export::FinishFiles;
pub use import::{Import, Imported, Outcome};
pub use jobs::JOBS;
pub use new_folder::NewFolder;
pub use studio::{HISTORY, LADDERS, RIGS};

/// The folder of the finishes.
pub const FINISHES: &str = "finishes";

/// The file of a finish.
const FINISH: &str = "finish.json";

/// Names of the files of pictures, without their endings.
const SILVER: &str = "silver";
const PICTURE: &str = "picture";
const COLOUR: &str = "colour";

/// Characters of a name that are kept in the name of its folder.
const READABLE: usize = 40;

/// Hexadecimal digits of a name's digest in the name of its folder: two of ten thousand names share them once in a million.
const DIGITS: usize = 12;

/// The name of a finish's folder: what can be read of the finish's name, and a digest that tells it from all others. Every system
/// takes it, whatever the finish's name is.
#[must_use]
pub fn folder_name(finish: &str) -> String {
    let digest = super::digest(finish.as_bytes());
    format!("{}-{}", plain(finish, READABLE), &digest[..DIGITS])
}

/// The letters and figures of a text, with all else as single dashes, at most `most` characters; never empty.
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

/// JSON laid out for people, with a line's end.
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
