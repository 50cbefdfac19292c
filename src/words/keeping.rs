//! What is said when something was kept, made or approved.

use std::path::Path;

use super::day;
use crate::fingerprint::{VERSION, Variety, Verdict};

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

/// What a kept finish is called where it is shown.
#[must_use]
pub fn title(name: &str, kept_at: &str, approved_at: Option<&str>, photo: &str) -> String {
    let approved = approved_at.map_or_else(String::new, |at| format!(", approved {}", day(at)));
    format!("{name} (kept {}{approved}, from {photo})", day(kept_at))
}

/// Nothing to list.
#[must_use]
pub fn nothing_kept(archive: &Path) -> String {
    format!(
        "Nothing is kept yet in {}. Keep a panel: paneprint keep PHOTO --name NAME",
        archive.display()
    )
}

/// What is added to a finish in a list that was measured by another version of the measures.
#[must_use]
pub fn by_version(version: u32) -> String {
    if version == VERSION {
        String::new()
    } else {
        format!(", by version {version} of the measures")
    }
}

/// What is added to a finish in a list that has a recipe.
pub const WITH_RECIPE: &str = ", with its recipe";

/// What the maker wrote beside a finish.
#[must_use]
pub fn notes(notes: &str) -> String {
    format!("Notes: {notes}")
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
