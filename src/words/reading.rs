//! What is said of one photo.

use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{SPECKLE_DENSITY, SPECKLE_DIAMETER_MEDIAN, STREAK_ANGLE};
use crate::frame::panel::SilverScale;
use crate::frame::placement::{FoundBy, PatchKind, SURE, Sighting};
use crate::measure::Measurements;
use crate::units::Measure;

/// A reading in three sentences.
#[must_use]
pub fn reading(m: &Measurements) -> Vec<String> {
    let per_cent = |v: Measure| v.map_or(0.0, |e| (e.value * 100.0).round());
    let silver = format!(
        "{} % of the silver is left; {} % of the area is clear, {} % veiled, {} % dark.",
        per_cent(m.coverage),
        per_cent(m.clear_fraction),
        per_cent(m.veil_fraction),
        per_cent(m.dark_fraction),
    );
    let specks = match (m.speckle_density, m.speckle_diameter_median) {
        (Ok(density), Ok(median)) => format!(
            "{} dark specks on each square centimetre, half of them over {} mm across.",
            SPECKLE_DENSITY.format(density.value),
            SPECKLE_DIAMETER_MEDIAN.format(median.value),
        ),
        (Ok(density), Err(_)) if density.value > 0.0 => {
            format!(
                "{} dark specks on each square centimetre, too few to speak of their size.",
                SPECKLE_DENSITY.format(density.value)
            )
        }
        _ => format!("No dark specks of {:.1} mm or more.", m.speckle_floor_mm),
    };
    let streaks = match (m.streak_angle, m.streak_strength) {
        (Ok(angle), Ok(strength)) => format!(
            "{} streaks at {}°, {}.",
            graded(
                strength.value,
                &[(0.7, "Strong"), (0.3, "Clear"), (0.0, "Faint")]
            ),
            STREAK_ANGLE.format(angle.value),
            leaning(angle.value),
        ),
        _ => "No streak direction.".to_owned(),
    };
    vec![silver, specks, streaks]
}

/// What else is to be known of a reading, below its figures.
#[must_use]
pub fn reading_notes(fingerprint: &Fingerprint) -> Vec<String> {
    let m = &fingerprint.measurements;
    let mut notes = vec![
        format!(
            "Aggressiveness {:.1}: even loss {:.1}, fine {:.1}, middle {:.1}, coarse {:.1}.",
            m.aggressiveness.map_or(0.0, |e| e.value),
            m.parts.even,
            m.parts.fine,
            m.parts.middle,
            m.parts.coarse
        ),
        format!(
            "{:.1} px/mm; specks are trusted from {:.2} mm up; full silver from {}.",
            fingerprint.provenance.px_per_mm,
            m.speckle_floor_mm,
            silver_scale(fingerprint.provenance.silver_scale)
        ),
    ];
    if fingerprint.repeatability.is_some() {
        notes.push("The intervals include what the rig does not repeat.".to_owned());
    }
    notes
}

fn silver_scale(scale: SilverScale) -> &'static str {
    match scale {
        SilverScale::Own => "the panel's own brightest parts",
        SilverScale::Mirror => "the mirror patches",
        SilverScale::Grey => "the grey card and the rig",
        SilverScale::Plain => "the rig's plain frame",
        SilverScale::Sample => "the sample beside it",
    }
}

pub(super) fn graded(value: f64, grades: &[(f64, &'static str)]) -> &'static str {
    grades
        .iter()
        .find(|(from, _)| value >= *from)
        .map_or("", |(_, word)| word)
}

/// In the picture of a photo whose corners were said.
pub const CORNERS_GIVEN: &str = "The corners of the panel were given.";

/// What the letters in that picture stand for.
pub const CORNER_LETTERS: &str =
    "A top left, B top right, C bottom right, D bottom left, as it hangs.";

/// What is said of a reading of a picture that cannot be judged by.
pub const ANYWAY: &str = "The picture was not fit to judge by, and was read because you said so: take it again before you act on this.";

/// What was found in a photo that nobody had marked, in one sentence.
#[must_use]
pub fn found(seen: &Sighting) -> Option<String> {
    let finding = seen.found?;
    let by = match finding.by {
        FoundBy::Marks => "its corner marks",
        FoundBy::Edges => "its edges",
    };
    let sure = graded(
        finding.confidence,
        &[
            (0.8, ""),
            (SURE, ", with a little doubt"),
            (0.0, ", and that is not certain"),
        ],
    );
    let patches: Vec<String> = [
        (PatchKind::Grey, "grey card"),
        (PatchKind::Mirror, "mirror offcut"),
        (PatchKind::Bare, "bare offcut"),
    ]
    .into_iter()
    .filter_map(|(kind, name)| match seen.patches_of(kind).count() {
        0 => None,
        1 => Some(format!("one {name}")),
        n => Some(format!("{n} {name}s")),
    })
    .collect();
    let beside = match patches.as_slice() {
        [] => "no patch beside it".to_owned(),
        some => format!("{} beside it", some.join(", ")),
    };
    Some(format!("The panel was found by {by}{sure}; {beside}."))
}

/// An axis in words.
fn leaning(angle: f64) -> &'static str {
    match angle {
        a if !(15.0..165.0).contains(&a) => "along the bottom edge",
        a if (75.0..105.0).contains(&a) => "upright",
        a if a < 90.0 => "rising to the right",
        _ => "rising to the left",
    }
}
