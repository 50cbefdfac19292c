//! photo → panel → measurements → fingerprint; then keep it, compare it, say it.

pub mod error;
pub mod fingerprint;
pub mod frame;
pub mod intake;
pub mod measure;
pub mod normalize;
pub mod ops;
pub mod pipeline;
pub mod placement;
pub mod quality;
pub mod report;
pub mod settings;
pub mod stats;
pub mod synth;
pub mod units;

pub use error::{Error, Result};
