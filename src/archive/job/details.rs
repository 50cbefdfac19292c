//! What a job says.

use serde::{Deserialize, Serialize};

use super::super::text::{fit_name, fits_line, fits_time};
use crate::frame::placement::{Side, Stage};
use crate::units::SizeMm;

/// Longest text of a detail, characters.
const LONGEST_TEXT: usize = 1000;

/// Most panels across or down a wall.
const MOST_PANELS: usize = 100;

/// A job.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// The studio's name for it.
    pub name: String,
    /// When it was begun, RFC 3339.
    pub opened_at: String,
    /// When it was closed, RFC 3339; `None` while it is open.
    pub closed_at: Option<String>,
    /// Name of the kept finish that its panels are to look like. What was signed of it holds for the job: limits, allowances.
    pub sample: Option<String>,
    /// Name of the rig its panels are photographed in.
    pub rig: Option<String>,
    /// What else is known of it.
    pub details: JobDetails,
    /// Names of the kept finishes that were made for it, in order of making.
    pub panels: Vec<String>,
}

/// What is known of a job; `None` where nothing was said.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct JobDetails {
    /// For whom.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub client: Option<String>,
    /// Where the panels will hang.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// Size of its panels.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub size: Option<SizeMm>,
    /// How far the work has gone when they are photographed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stage: Option<Stage>,
    /// The side that faces the camera then.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// How they will hang.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall: Option<WallSize>,
    /// From how far they will be looked at, metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub viewed_from_m: Option<f64>,
    /// The folder that its sheets go into.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub folder: Option<String>,
    /// The folder that the camera's photos come into.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub camera_folder: Option<String>,
}

/// How many panels hang on a wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WallSize {
    /// Panels from left to right.
    pub across: usize,
    /// Panels from top to bottom.
    pub down: usize,
}

impl Job {
    /// It is open.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.closed_at.is_none()
    }

    /// Whether all that it says can be shown and used.
    pub(in super::super) fn is_sound(&self) -> bool {
        let details = &self.details;
        let texts = [
            &self.rig,
            &details.client,
            &details.room,
            &details.folder,
            &details.camera_folder,
        ];
        let side = |n: usize| (1..=MOST_PANELS).contains(&n);
        let length = |mm: f64| mm.is_finite() && mm > 0.0;
        fit_name(&self.name).is_ok()
            && fits_time(&self.opened_at)
            && self.closed_at.as_deref().is_none_or(fits_time)
            && texts
                .into_iter()
                .flatten()
                .all(|text| fits_line(text, LONGEST_TEXT))
            && details
                .size
                .is_none_or(|s| length(s.width) && length(s.height))
            && details.viewed_from_m.is_none_or(length)
            && details.wall.is_none_or(|w| side(w.across) && side(w.down))
    }
}
