//! What stands on the page that a client signs.

use std::path::Path;

use crate::fingerprint::Variety;
use crate::units::SizeMm;

/// The finish.
#[must_use]
pub fn title(finish: &str) -> String {
    format!("Finish for signature: {finish}")
}

/// What hand work is.
pub const HAND: &str = "Hand process, exact match not promised. Panels made by hand differ from the sample and from each other; those between the signed light and dark pieces are of this finish.";
/// Without limit pieces.
pub const HAND_ALONE: &str = "Hand process, exact match not promised. Panels made by hand differ from the sample and from each other.";

/// Pictures.
pub const WHOLE: &str = "The signed sample";
/// The same before it is approved.
pub const WHOLE_UNSIGNED: &str = "The sample";
/// The lightest.
pub const LIGHT: &str = "Lightest that is accepted";
/// The darkest.
pub const DARK: &str = "Darkest that is accepted";
/// Not signed yet.
pub const NO_LIMIT: &str = "no piece signed";

/// Headings.
pub const JOB: &str = "The job";
/// What was agreed.
pub const AGREED: &str = "What is fixed and what may vary";
/// How it is judged.
pub const JUDGED: &str = "How it is judged";
/// Who signs.
pub const SIGNED: &str = "Signed";

/// What is asked, line by line.
pub const CLIENT: &str = "Client";
/// The job's name.
pub const JOB_NAME: &str = "Job";
/// The room.
pub const ROOM: &str = "Room";
/// The studio's name for the finish.
pub const FINISH: &str = "Finish";
/// The sample.
pub const SAMPLE: &str = "Sample";
/// The level of ageing.
pub const LEVEL: &str = "Light, medium or heavy";
/// How much it varies.
pub const VARIETY: &str = "Variation";
/// What is fixed.
pub const FIXED: &str = "Fixed";
/// What may vary.
pub const MAY_VARY: &str = "May vary";
/// The glass.
pub const GLASS: &str = "Glass";
/// What holds broken pieces.
pub const SAFETY: &str = "Safety backing";
/// The panels.
pub const PANELS: &str = "Panels and spares";
/// From how far.
pub const DISTANCE: &str = "Looked at from";
/// In which light.
pub const LIGHTING: &str = "In this light";
/// How the photos were taken.
pub const PHOTO: &str = "Photographed";
/// Who keeps what.
pub const HOLDS: &str = "Signed pieces kept by";
/// A name.
pub const STUDIO_SIGNS: &str = "For the studio";
/// The other name.
pub const CLIENT_SIGNS: &str = "For the client";
/// A date.
pub const DATE: &str = "Date";

/// The page is there.
#[must_use]
pub fn written(file: &str) -> String {
    format!("Written: {file}. Print it at 100 % on one page, and sign it.")
}

/// A distance, to the centimetre.
#[must_use]
pub fn distance(metres: f64) -> String {
    let metres = (metres * 100.0).round() / 100.0;
    format!("{metres} m, upright, square on")
}

/// How much it is meant to vary.
#[must_use]
pub fn variety(variety: Variety) -> &'static str {
    match variety {
        Variety::Uniform => "uniform: the same all over",
        Variety::Slight => "slight: a little from place to place",
        Variety::Moderate => "moderate: plainly from place to place",
        Variety::Random => "random: no two places alike",
    }
}

/// Size, stage and days of a sample.
#[must_use]
pub fn sample(size: SizeMm, stage: Option<&str>, kept: &str, approved: Option<&str>) -> String {
    let stage = stage.map_or_else(String::new, |stage| format!(", {stage}"));
    let approved = approved.map_or_else(String::new, |day| format!(", approved {day}"));
    format!("{size}{stage}, kept {kept}{approved}")
}

/// How a sample was photographed.
#[must_use]
pub fn photo(file: &Path, phone: Option<&str>, rig: Option<&str>) -> String {
    let with = phone.map_or_else(String::new, |phone| format!(", {phone}"));
    let rig = rig.map_or_else(String::new, |rig| {
        format!(", in `{rig}`: one plain board, the lamps fixed")
    });
    format!("{}{with}{rig}", file.display())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_end_at_centimetres() {
        for (metres, said) in [
            (1.828_799_999_999_999_8, "1.83 m,"),
            (1.8, "1.8 m,"),
            (2.0, "2 m,"),
        ] {
            assert!(distance(metres).starts_with(said), "{}", distance(metres));
        }
    }
}
