//! What is kept of a reading and compared: the measurements, and how they came about.

pub mod apart;
mod kept;
pub mod look;
pub mod metric;
pub mod repeatability;
mod scale;
mod sound;
pub mod verdict;

use serde::{Deserialize, Serialize};

use crate::frame::panel::{SilverScale, Step};
use crate::frame::photo::{Capture, ColourSource};
use crate::frame::placement::Placement;
use crate::judge::Colour;
use crate::measure::Measurements;
use crate::quality::FlagSet;
use crate::units::Measure;
use metric::Metric;

mod light;

pub use kept::figure_in;
pub use repeatability::{Repeatability, Scatter};
pub use verdict::{Variety, Verdict};

/// Version of the measurements' meaning. Readings of unlike versions are not compared.
///
/// 1: the first. 2: evenness, spacing and cloud scale; speckles cut by an edge sized as wholes; directions by votes. 3: the look
/// as a whole, colour, forms and places of specks; lines are neither specks nor blots. 4: light that runs to and fro in the glass is
/// taken out.
pub const VERSION: u32 = 4;

/// What one photo says of a panel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fingerprint {
    /// [`VERSION`] at the time.
    pub version: u32,
    /// Digest of the settings.
    pub settings_digest: String,
    /// The numbers.
    #[serde(serialize_with = "kept::with_units")]
    pub measurements: Measurements,
    /// How they came about.
    pub provenance: Provenance,
    /// The rig's repeatability as it was known when the photo was read.
    #[serde(default)]
    pub repeatability: Option<Repeatability>,
}

impl Fingerprint {
    /// A measure as it is shown: with the interval that the panel and the rig support, as far as figures can go.
    pub fn measure(&self, row: &Metric) -> Measure {
        let wide = self.widened(row, row.of(&self.measurements));
        self.lit(row, wide).map(|e| row.possible(e))
    }

    /// A measure with its interval widened by what the photo's patches leave open of the light. Two readings whose patches lay
    /// alike in one light share that; it does not set them apart.
    pub fn lit(&self, row: &Metric, found: Measure) -> Measure {
        light::widened(row, &self.measurements, self.provenance.light_doubt, found)
    }

    /// A measure of this panel, found with the panel's own interval, with that interval widened by the rig's
    /// repeatability where it is known. Not cut to the range, for two of them are yet to be set apart.
    pub fn widened(&self, row: &Metric, found: Measure) -> Measure {
        match self.scatter(row) {
            Some(scatter) => found.map(|e| scatter.widen(row, e)),
            None => found,
        }
    }

    /// The scatter of a measure in the rig, where it is known.
    #[must_use]
    pub fn scatter(&self, row: &Metric) -> Option<Scatter> {
        self.repeatability.as_ref()?.of(row)
    }

    /// Takes on what a study found, where it measured as this reading did.
    pub fn take_on(&mut self, study: Option<Repeatability>) {
        self.repeatability = study
            .filter(|s| s.version == self.version && s.settings_digest == self.settings_digest);
    }
}

/// Shortest side of a silver map, pixels; a shorter one would be widened to it.
const LEAST_MAP_PX: f64 = 32.0;

/// Least share of the panel's side that a map's side shows: the rim that is left out is a few blurs wide.
const LEAST_OF_SIDE: f64 = 0.25;

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde calls it so")]
fn is_none(doubt: &f64) -> bool {
    *doubt <= 0.0
}

impl Provenance {
    /// A silver map of so many pixels can be that of this reading: no larger than the panel, and with the same rim left out on
    /// both axes.
    #[must_use]
    pub fn fits_map(&self, width: usize, height: usize) -> bool {
        let size = self.placement.size;
        let sides = [(width, size.width), (height, size.height)];
        let axes = sides.map(|(px, mm)| (px as f64, mm * self.px_per_mm));
        let shortest = |px: f64| px <= LEAST_MAP_PX;
        let fits = |(px, whole): (f64, f64)| {
            px >= LEAST_MAP_PX && px >= LEAST_OF_SIDE * whole && (shortest(px) || px <= whole + 1.0)
        };
        let [(w, whole_w), (h, whole_h)] = axes;
        let rims_differ = ((whole_w - w) - (whole_h - h)).abs();
        axes.into_iter().all(fits) && (shortest(w) || shortest(h) || rims_differ <= 2.0)
    }
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
    /// Standard deviation of full silver by what the patches leave open of the light, as a share; 0 where a rig knows it, where
    /// nothing in the photo shows full silver, and in older readings.
    #[serde(skip_serializing_if = "is_none", default)]
    pub light_doubt: f64,
    /// The rig, where one was used.
    pub rig: Option<String>,
    /// What tells it from others of its name; `None` in older readings.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub rig_digest: Option<String>,
    /// Resolution of the panel, px/mm.
    pub px_per_mm: f64,
    /// Blur of the panel, mm.
    pub blur_mm: f64,
    /// Colour of the reference patches; `None` without any, and in older readings.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub patch_colour: Option<Colour>,
    /// What is weak about the photo.
    pub flags: FlagSet,
    /// The picture could not be judged by, and was measured all the same because the maker said so.
    pub anyway: bool,
    /// What was done, in order.
    pub steps: Vec<Step>,
}
