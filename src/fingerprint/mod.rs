//! What is kept of a reading and compared: the measurements, and how they came about.

pub mod metric;

use serde::{Deserialize, Serialize};

use crate::frame::panel::{SilverScale, Step};
use crate::frame::photo::{Capture, ColourSource};
use crate::frame::placement::Placement;
use crate::measure::Measurements;
use crate::quality::FlagSet;

/// Version of the measurements' meaning. Readings of unlike versions are not compared.
///
/// 1: the first. 2: evenness, spacing and cloud scale; speckles cut by an edge sized as wholes; directions by votes.
pub const VERSION: u32 = 2;

/// What one photo says of a panel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fingerprint {
    /// [`VERSION`] at the time.
    pub version: u32,
    /// Digest of the settings.
    pub settings_digest: String,
    /// The numbers.
    pub measurements: Measurements,
    /// How they came about.
    pub provenance: Provenance,
}

/// How a reading came about.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Provenance {
    /// BLAKE3 digest of the photo file.
    pub photo_digest: String,
    /// What the camera noted.
    pub capture: Capture,
    /// Where the photo's colours were defined.
    pub colour: ColourSource,
    /// Where the panel and the patches lay.
    pub placement: Placement,
    /// Where full silver was read from.
    pub silver_scale: SilverScale,
    /// The rig, where one was used.
    pub rig: Option<String>,
    /// Resolution of the panel, px/mm.
    pub px_per_mm: f64,
    /// Blur of the panel, mm.
    pub blur_mm: f64,
    /// What is weak about the photo.
    pub flags: FlagSet,
    /// The picture could not be judged by, and was measured all the same because the maker said so.
    pub anyway: bool,
    /// What was done, in order.
    pub steps: Vec<Step>,
}
