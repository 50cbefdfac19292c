//! Every sentence that is an answer, in one place: plain words, no blame, no false certainty.
//!
//! What stops the program speaks in `error.rs`, what is weak about a photo in `quality.rs`, the work that can hurt in
//! `report/cautions.rs`, the help in `cli/args`.

pub mod keeping;
pub mod ladder;
mod matching;
pub mod near;
pub mod promise;
mod reading;
pub mod set;
pub mod study;

pub use matching::{differences, next_step, remarks, verdict};
pub use reading::{NOT_FIT, UNMEASURED, fit, found, reading};

/// Things named one after the other: `a, b and c`.
#[must_use]
pub fn list(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}
