//! Every sentence that is an answer, in one place: plain words, no blame, no false certainty.
//!
//! What stops the program speaks in `error`, what is weak about a photo in `quality.rs`, the help beside each command's arguments.
//! `captions` has what stands beside charts and pictures, `cautions` the work that can hurt.

pub mod captions;
pub mod cautions;
pub mod colour;
mod differing;
pub mod headline;
pub mod job;
pub mod keeping;
pub mod ladder;
pub mod marks;
mod match_to;
mod reading;
pub mod recipe;
pub mod strip;

use std::path::Path;

pub use crate::archive::line;

pub use differing::differences;
pub use match_to::{
    Next, ONLY_A_START, beside, next_step, remarks, speckle_floor, verdict, why_not_compared,
};
pub use reading::{ANYWAY, CORNER_LETTERS, CORNERS_GIVEN, found, reading, reading_notes};

/// What is said where the program itself fails.
pub const FAILED: [&str; 2] = [
    "paneprint: the program itself failed; nothing that was reported as kept is lost.",
    "  Please report what you did, with the photo if you can.",
];

/// What is said where the program is stopped before anything was written, and after.
pub const STOPPED: [&str; 2] = [
    "Stopped. Nothing was kept or written, and nothing is left half done.",
    "Stopped. What was written by then is whole and stays, and nothing is left half done; paneprint list shows what is kept.",
];

/// The day of a moment as it is kept.
#[must_use]
pub fn day(moment: &str) -> &str {
    moment.split('T').next().unwrap_or(moment)
}

/// A file's own name, for showing.
#[must_use]
pub fn file_name(path: &Path) -> String {
    line(
        &path
            .file_name()
            .unwrap_or(path.as_os_str())
            .to_string_lossy(),
    )
}

/// A sentence that goes on after a colon.
#[must_use]
pub fn lowered(sentence: &str) -> String {
    let mut letters = sentence.chars();
    let first = letters.next().into_iter().flat_map(char::to_lowercase);
    first.chain(letters.clone()).collect()
}

/// Things named one after the other: `a, b and c`.
#[must_use]
pub fn list(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}
