//! The stages' own settings side by side, and the digest by which readings know whether they were made alike.

use serde::{Deserialize, Serialize};

use crate::{measure, normalize};

/// Settings of every stage that touches a number.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// How photos become panels.
    pub normalize: normalize::Settings,
    /// How panels are measured.
    pub measure: measure::Settings,
}

impl Settings {
    /// BLAKE3 digest of the settings, 16 hex digits.
    #[must_use]
    pub fn digest(&self) -> String {
        // Plain structs of numbers always become JSON.
        let text = serde_json::to_vec(self).unwrap_or_default();
        blake3::hash(&text).to_hex()[..16].to_owned()
    }
}
