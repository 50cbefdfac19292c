//! What is said when something was kept, made or approved.

use std::path::Path;

use super::day;
use crate::fingerprint::{Variety, Verdict};

/// Where something lies now.
#[must_use]
pub fn kept_in(archive: &Path) -> String {
    format!("Kept in {}", archive.display())
}

/// The photo of a finish cannot be read without the light that it was read by.
#[must_use]
pub fn rig_gone(name: &str, rig: &str) -> String {
    format!(
        "The photo of `{name}` was read with the rig `{rig}` as it was then, which is not kept here; the silver map is read instead."
    )
}

/// Nothing to list.
#[must_use]
pub fn nothing_kept(archive: &Path) -> String {
    format!(
        "Nothing is kept yet in {}. Keep a panel: paneprint keep PHOTO --name NAME",
        archive.display()
    )
}

/// What the maker wrote beside a finish.
#[must_use]
pub fn notes(notes: &str) -> String {
    format!("Notes: {notes}")
}

/// Its limit pieces.
#[must_use]
pub fn limits(light: Option<&str>, dark: Option<&str>) -> Option<String> {
    match (light, dark) {
        (Some(light), Some(dark)) => Some(format!(
            "A panel may be as light as `{light}` and as dark as `{dark}`."
        )),
        (Some(light), None) => Some(format!(
            "A panel may be as light as `{light}`. The dark limit is not signed yet: --dark NAME."
        )),
        (None, Some(dark)) => Some(format!(
            "A panel may be as dark as `{dark}`. The light limit is not signed yet: --light NAME."
        )),
        (None, None) => None,
    }
}

/// How much the finish may vary.
#[must_use]
pub fn variety(variety: Variety) -> &'static str {
    match variety {
        Variety::Uniform => "The finish is meant to be the same all over.",
        Variety::Slight => {
            "The finish may vary a little from place to place, and panels by half as much."
        }
        Variety::Moderate => {
            "The finish is meant to vary, and panels may differ by as much as places on the sample do."
        }
        Variety::Random => {
            "No two places are meant to be alike, and panels may differ by twice what places on the sample do."
        }
    }
}

/// A decision of the maker's was kept.
#[must_use]
pub fn overruled(found: Verdict, decided: Verdict, reason: &str) -> String {
    let said = if found == decided {
        "as the program said"
    } else {
        "though the program said"
    };
    let what = if found == decided {
        String::new()
    } else {
        format!(" {}", word(found))
    };
    format!(
        "You decided: {}, {said}{what}. Reason kept: {reason}",
        word(decided)
    )
}

/// It holds from an earlier day.
#[must_use]
pub fn overruled_before(made_at: &str, decided: Verdict, reason: &str) -> String {
    let day = day(made_at);
    format!(
        "On {day} you decided about this very photo: {}. Reason: {reason}",
        word(decided)
    )
}

/// What was decided about a photo beside a sample.
#[must_use]
pub fn overruled_beside(made_at: &str, sample: &str, decided: Verdict, reason: &str) -> String {
    let day = day(made_at);
    format!(
        "Decided on {day} beside `{sample}`: {}. Reason: {reason}",
        word(decided)
    )
}

/// A verdict in words.
#[must_use]
pub fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Within => "within",
        Verdict::Outside => "outside",
        Verdict::Unsure => "too close to call",
    }
}
