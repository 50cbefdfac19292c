//! Setting readings against each other: is the panel inside what was signed?
//!
//! Reading order: [`terms`] says what a panel may differ by, [`held`] what it may read, [`rules`] how one measure is set against another, [`wholes`] what
//! single figures would miss, [`verdict`] what follows from all of them, [`differences`] which of them are named,
//! [`whereabouts`] where it sits, [`squares`] where on the panel it is beyond the sample, [`mod@lie`] where its silver is gone,
//! [`tint`] what its silver looks like in colour. [`mod@set`] sets panels against each other, [`wall`] hangs them, [`ladder`]
//! places one among named steps, [`find`] finds the most alike of many, [`effect`] tells what a setting did to them,
//! [`promise`] says what a sample can tell of a larger panel. [`mod@study`] sets photos of the same panels against each other,
//! to know what a rig repeats.

pub mod differences;
#[cfg(test)]
mod drawn;
pub mod effect;
pub mod find;
mod floor;
pub mod held;
pub mod ladder;
mod lean;
pub mod lie;
mod overall;
pub mod paint;
pub mod promise;
pub mod rules;
pub mod set;
mod side;
pub mod squares;
pub mod study;
pub mod terms;
pub mod tint;
pub mod today;
mod unlike;
pub mod verdict;
pub mod wall;
pub mod whereabouts;
pub mod wholes;

pub use crate::fingerprint::{Variety, Verdict};
pub use differences::{Difference, Differences};
pub use lean::Lean;
pub use overall::Unsure;
pub use rules::MeasureMatch;
pub use set::{Set, set};
pub use side::Side;
pub use study::{Study, study};
pub use terms::{Allowances, Terms};
pub use today::Today;
pub use unlike::refused_beside;
pub use verdict::{Match, Remark, compare, compare_today};
pub use whereabouts::Place;
pub use wholes::WholeMatch;
