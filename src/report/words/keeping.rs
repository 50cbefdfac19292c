//! What is said when something was kept, made or approved.

use std::path::Path;

use crate::fingerprint::{Variety, Verdict};

/// Where something lies now.
#[must_use]
pub fn kept_in(archive: &Path) -> String {
    format!("Kept in {}", archive.display())
}

/// A finish was kept.
#[must_use]
pub fn kept_as(name: &str, archive: &Path) -> String {
    format!("Kept as `{name}` in {}", archive.display())
}

/// A sample was approved.
#[must_use]
pub fn approved(name: &str) -> String {
    format!("`{name}` is an approved sample.")
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

/// Nothing of the studio's own decides yet.
pub const ONLY_START: &str = "No limits of your own yet: matches use starting allowances until you name signed pieces with --light and --dark, or figures with --allow.";

/// A decision of the maker's was kept.
#[must_use]
pub fn overruled(found: Verdict, decided: Verdict, reason: &str) -> String {
    format!(
        "You decided: {}, though the program said {}. Reason kept: {reason}",
        word(decided),
        word(found)
    )
}

/// It holds from an earlier day.
#[must_use]
pub fn overruled_before(made_at: &str, decided: Verdict, reason: &str) -> String {
    let day = made_at.split('T').next().unwrap_or(made_at);
    format!(
        "On {day} you decided about this very photo: {}. Reason: {reason}",
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
