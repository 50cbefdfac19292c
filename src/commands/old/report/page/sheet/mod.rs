//! The sheets, one file each.

mod check;
mod effect;
mod ladder;
mod matching;
mod near;
mod promise;
mod reading;
mod recipe;
mod set;
mod signing;
mod study;

pub use check::check;
pub use effect::effect;
pub use ladder::ladder;
pub use matching::matched;
pub use near::near;
pub use promise::promise;
pub use reading::reading;
pub use recipe::recipe;
pub use set::set;
pub use signing::{Piece, Signing, signing};
pub use study::study;
