//! The words a comparison may end in, and how much a finish is meant to vary: both are kept, so both stand below the archive.

use serde::{Deserialize, Serialize};

/// Inside the allowance, clear of it, or neither for sure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The whole interval is inside.
    Within,
    /// The whole interval is clear of it.
    Outside,
    /// Too close to call.
    Unsure,
}

/// How much the studio says a finish is meant to vary from place to place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Variety {
    /// The same all over.
    Uniform,
    /// A little.
    Slight,
    /// Plainly.
    Moderate,
    /// No two places are alike, nor are two panels.
    Random,
}

impl Variety {
    /// How far two panels may differ, in standard deviations between places of a hand's width on the sample. Chosen, no
    /// source: there is no standard for hand-aged mirrors, and tile shade classes give pictures, not figures.
    #[must_use]
    pub fn hands_apart(self) -> f64 {
        match self {
            Variety::Uniform => 0.0,
            Variety::Slight => 0.5,
            Variety::Moderate => 1.0,
            Variety::Random => 2.0,
        }
    }
}
