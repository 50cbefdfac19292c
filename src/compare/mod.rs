//! Setting two readings against each other: is the panel inside what was signed?
//!
//! Reading order: [`rules`] says how one measure is set against another, [`verdict`] what follows from all of them; [`mod@study`]
//! sets photos of the same panels against each other, to know what a rig repeats.

pub mod rules;
pub mod study;
pub mod verdict;

pub use rules::{MeasureMatch, Verdict};
pub use study::{Study, study};
pub use verdict::{Lean, Match, Side, compare};
