//! What is said of a finish that was read again.

use crate::archive::Source;

/// What was read.
#[must_use]
pub fn read(name: &str, source: Source) -> String {
    match source {
        Source::Photo => format!("`{name}`, read again from its photo."),
        Source::Map => format!("`{name}`, read again from its silver map."),
    }
}

/// Its photo cannot be read without the light that it was read by.
#[must_use]
pub fn rig_gone(name: &str, rig: &str) -> String {
    format!(
        "The photo of `{name}` was read with the rig `{rig}` as it was then, which is not kept here; the silver map is read instead."
    )
}

/// By which versions of the measures, where they differ.
#[must_use]
pub fn versions(before: Option<u64>, now: u32) -> Option<String> {
    let before = before.filter(|before| *before != u64::from(now))?;
    Some(format!(
        "Before it was measured by version {before} of the measures, now by version {now}."
    ))
}

/// What a map cannot say.
#[must_use]
pub fn map_only(floor_mm: f64, coloured: bool) -> String {
    if coloured {
        format!(
            "Its colour is that kept beside the map; no specks under {floor_mm:.2} mm are known."
        )
    } else {
        format!(
            "A map holds no colour, so its tone and patina are not known, and no specks under {floor_mm:.2} mm."
        )
    }
}

/// What became of it.
#[must_use]
pub fn kept(kept: bool, source: Source) -> &'static str {
    match (kept, source) {
        (true, _) => "The new reading holds from now on; the earlier one stays beside it.",
        (false, Source::Photo) => "It reads as before, so nothing was added.",
        (false, Source::Map) => {
            "The reading that is kept was made by this very version and says as much or more, so it holds."
        }
    }
}
