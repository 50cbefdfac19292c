//! What is said when something was kept, made or approved.

use std::path::Path;

use super::captions::stage;
use super::{day, list};
use crate::archive::{Approval, Change, Done, Thing};
use crate::fingerprint::metric::allowed_of;
use crate::fingerprint::{Provenance, Variety, Verdict};

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

/// Bytes in a megabyte, as phones and computers say it.
const MEGABYTE: f64 = 1e6;

/// How large the photo is that is kept.
#[must_use]
pub fn photo_there(bytes: u64) -> String {
    let megabytes = (bytes as f64 / MEGABYTE).max(0.1);
    format!("Its photo is kept too: {megabytes:.1} MB.")
}

/// Whether the photo is kept too, and what to do about it.
#[must_use]
pub fn photo_kept(bytes: Option<u64>) -> String {
    match bytes {
        Some(bytes) => format!("{} To leave it out: --no-photo.", photo_there(bytes)),
        None => "Its photo is not kept: look after the file.".to_owned(),
    }
}

/// Approved samples and limit pieces whose photos are not kept.
#[must_use]
pub fn without_photo(names: &[String]) -> Option<String> {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    let quoted = list(&quoted.iter().map(String::as_str).collect::<Vec<_>>());
    (!names.is_empty()).then(|| {
        format!(
            "The photo of {quoted} is not kept, and a replacement years on needs it: paneprint note NAME --photo PHOTO."
        )
    })
}

/// What a finish is: its size, stage and rig.
#[must_use]
pub fn about(p: &Provenance) -> String {
    let stage = match p.placement.stage {
        Some(_) => format!("stage {}", stage(p.placement.stage)),
        None => "stage not said".to_owned(),
    };
    let rig = match &p.rig {
        Some(rig) => format!("read with the rig `{rig}`"),
        None => "read without a rig".to_owned(),
    };
    format!("A panel of {}, {stage}, {rig}.", p.placement.size)
}

/// All that was signed of a sample.
#[must_use]
pub fn signed(approval: &Approval) -> Vec<String> {
    let since = day(&approval.approved_at);
    let mut said = vec![format!("An approved sample since {since}.")];
    said.extend(approval.signature.as_ref().map(|signature| {
        let (by, on) = (&signature.by, day(&signature.at));
        format!("Signed by {by} on {on}.")
    }));
    let [light, dark] = [&approval.light, &approval.dark].map(Option::as_deref);
    said.extend(limits(light, dark));
    said.extend(approval.variety.map(|v| variety(v).to_owned()));
    said.extend(allowances(approval));
    said
}

/// The studio's own figures.
fn allowances(approval: &Approval) -> Option<String> {
    let title = |key: &str| allowed_of(key).map_or(key.to_owned(), |row| row.title.to_owned());
    let own = approval.allowances.iter();
    let parts: Vec<String> = own
        .map(|(key, figure)| format!("{} by {figure}", title(key)))
        .collect();
    let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
    (!parts.is_empty()).then(|| format!("May differ in {}.", list(&parts)))
}

/// The words that a finish is sorted by.
#[must_use]
pub fn tags(tags: &[String]) -> Option<String> {
    let tags: Vec<&str> = tags.iter().map(String::as_str).collect();
    (!tags.is_empty()).then(|| format!("Tags: {}", tags.join(", ")))
}

/// What was changed, and when.
#[must_use]
pub fn change(change: &Change) -> String {
    let (on, name) = (day(&change.made_at), &change.name);
    let new = change.new_name().unwrap_or_else(|| name.clone());
    let what = match (change.done, change.thing) {
        (Done::Renamed, _) => format!("On {on} `{name}` was renamed to `{new}`."),
        (Done::Removed, Thing::Ladder) => {
            format!("On {on} the ladder `{name}` was taken apart.")
        }
        (Done::Removed, _) => format!("On {on} `{name}` was put into the bin."),
        (Done::Restored, _) => format!("On {on} it came back from the bin as `{new}`."),
        (Done::Emptied, _) => format!("On {on} `{name}` left the bin for good."),
        (Done::Noted, _) => format!("On {on} its notes or its tags were changed."),
        (Done::SignedAnew, _) => format!("On {on} what is signed of it was changed."),
        (Done::Withdrawn, _) => format!("On {on} its approval was taken back."),
        (Done::Replaced, _) => format!("On {on} another took the place of `{name}`."),
    };
    if change.reason.is_empty() {
        what
    } else {
        format!("{what} Reason: {}", change.reason)
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
