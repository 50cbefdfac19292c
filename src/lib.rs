//! photo → panel → measurements → fingerprint; then keep it, compare it, say it.

pub mod error;
pub mod frame;
pub mod intake;
pub mod quality;
pub mod units;

pub use error::{Error, Result};
