//! Every sentence that is an answer, in one place: plain words, no blame, no false certainty.
//!
//! What stops the program speaks in `error`, what is weak about a photo in `quality.rs`, the work that can hurt in
//! `report/cautions.rs`, the help in `cli/args`.

pub mod again;
pub mod colour;
pub mod demo;
mod differing;
pub mod effect;
pub mod keeping;
pub mod ladder;
pub mod leaving;
pub mod marks;
mod matching;
pub mod near;
pub mod page;
pub mod photos;
pub mod promise;
mod reading;
pub mod recipe;
pub mod set;
pub mod strip;
pub mod study;
pub mod verify;

pub use differing::differences;
pub use matching::{beside, next_step, remarks, speckle_floor, verdict, why_not_compared};
pub use reading::{
    ANYWAY, CORNER_LETTERS, CORNERS_GIVEN, NOT_FIT, UNMEASURED, fit, found, lamp_moved, looks_like,
    reading, reading_notes,
};

/// What is said where the program itself fails.
pub const FAILED: [&str; 2] = [
    "paneprint: the program itself failed; nothing that was reported as kept is lost.",
    "  Please report what you did, with the photo if you can.",
];

/// The day of a moment as it is kept.
#[must_use]
pub fn day(moment: &str) -> &str {
    moment.split('T').next().unwrap_or(moment)
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
