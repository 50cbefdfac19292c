//! Setting two readings against each other: is the panel inside what was signed?
//!
//! Reading order: [`rules`] says how one measure is set against another, [`verdict`] what follows from all of them.

pub mod rules;
pub mod verdict;

pub use rules::{MeasureMatch, Verdict};
pub use verdict::{Lean, Match, Side, compare};
