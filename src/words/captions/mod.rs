//! What stands on the sheets beside the answers: headings, captions, what charts show.

pub mod fact;
pub mod scale;
pub mod seen;

use crate::compare::set::Remake;
use crate::compare::tint::{Tinge, Tint, Warmth};
use crate::frame::panel::SilverScale;
use crate::frame::placement::{Side, Stage};
use crate::units::{PlaceMm, SizeMm};

/// A panel on a ladder.
pub const LADDER: &str = "ladder sheet";
/// What a client signs.
pub const SIGNING: &str = "sign-off sheet";
/// Where silver is gone.
pub const WHERE: &str = "Where silver is gone";
/// The histogram.
pub const LEVELS: &str = "How much area has how much silver";
/// Sizes of specks.
pub const SIZES: &str = "How large the specks are";
/// Directions.
pub const ROSE: &str = "Which way the streaks run";
/// Parts of the aggressiveness.
pub const PARTS: &str = "Where the aggressiveness comes from";
/// The light.
pub const LIGHT: &str = "How the light was evened";
/// What is weak.
pub const FLAGS: &str = "Look after this";
/// What can hurt.
pub const CAUTIONS: &str = "Before any work";
/// What a phone folds away.
pub const SHOW_ALL: &str = "Show all of it";
/// How the pictures of panels are lit.
pub const CONTRAST: &str = "Full silver is white. Light and dark are drawn further apart than the eye sees them; the colours are as they are.";
/// The wall.
pub const WALL: &str = "The wall, as it would hang";
/// The panels.
pub const PANELS: &str = "The panels, in hanging order";
/// Regions of the silver level from dark to clear, and its two ends.
pub const LEVEL_NAMES: [&str; 5] = ["dark", "veiled", "clear", "bare glass", "full silver"];
/// Directions of the rose.
pub const ROSE_NAMES: [&str; 2] = ["along the bottom edge", "upright"];
/// Parts of the aggressiveness.
pub const PART_NAMES: [&str; 4] = [
    "even loss, all over",
    "fine, up to 1 mm",
    "middle, 1 to 4 mm",
    "coarse, over 4 mm",
];
/// A panel that stands apart, as the plan and the table write it.
pub const ODD: &str = "ODD";
/// A panel that hangs the other way up.
pub const TURNED: &str = "turned upside down";

/// What the picture of a panel shows.
#[must_use]
pub fn panel_alt(name: &str) -> String {
    format!("{name}: the panel straightened and evenly lit, seen from the front.")
}

/// What the picture of a counted panel shows.
#[must_use]
pub fn counted_alt(name: &str) -> String {
    format!(
        "{name}: clear, veiled and dark areas in three greys, a ring around every counted speck."
    )
}

/// What the signs of the counted picture stand for.
#[must_use]
pub fn counted_key(rings: bool) -> &'static str {
    if rings {
        "White: clear. Grey with dots: veiled. Black: dark. Each ring is a counted speck; a broken ring was cut by the top or left edge and is not counted."
    } else {
        "White: clear. Grey with dots: veiled. Black: dark. Specks are ringed only on a sheet made from the photo itself."
    }
}

/// What a photo shows with the outlines drawn on it.
#[must_use]
pub fn placed_alt(name: &str) -> String {
    format!("{name}: the photo with the panel and the patches outlined.")
}

/// The map of loss.
pub const DISCS: &str = "The panel in squares, the right way up; each disc is as large as what is gone there. One that fills its square: half of its silver or more is gone.";

/// Sizes of specks.
#[must_use]
pub fn sizes(floor_mm: f64) -> String {
    format!("Specks on each square centimetre by their width. Trusted from {floor_mm:.2} mm up.")
}

/// The rose.
#[must_use]
pub fn rose(deg: Option<f64>) -> String {
    deg.map_or_else(
        || "No direction is stronger than chance would make it.".to_owned(),
        |deg| {
            format!(
                "The diamond marks {deg:.0}°, counted from the bottom edge, seen from the front."
            )
        },
    )
}

/// The parts.
#[must_use]
pub fn parts(whole: f64) -> String {
    format!(
        "Points of {whole:.1} in all: what is lost by standing further back, from grain to clouds."
    )
}

/// The maps of two panels.
#[must_use]
pub fn differ_key(darker: usize, lighter: usize) -> String {
    match (darker, lighter) {
        (0, 0) => {
            "No square of the panel holds plainly less, or more, silver than squares on the sample do."
                .to_owned()
        }
        (d, l) => format!(
            "Shaded squares hold plainly less silver than any on the sample ({d} of them); framed squares plainly more ({l})."
        ),
    }
}

/// How much silver is left of both, and how much may be, under the answer.
#[must_use]
pub fn silver(panel: f64, sample: f64, (from, to): (f64, f64)) -> String {
    let [panel, sample, from, to] =
        [panel, sample, from, to].map(|v| (v.clamp(0.0, 1.0) * 100.0).round());
    format!(
        "Silver left: {panel} %; the sample has {sample} %, and from {from} to {to} % is allowed."
    )
}

/// Size and stage of a panel, beside its name.
#[must_use]
pub fn sized(size: SizeMm, stage: Option<Stage>) -> String {
    let stage = stage.map_or_else(String::new, |s| format!(", {}", self::stage(Some(s))));
    format!(", {size}{stage}")
}

/// How far two looks lie apart, in what is allowed.
#[must_use]
pub fn apart(allowances: f64) -> String {
    format!("{allowances:.1} times what is allowed")
}

/// The sample's own figure, where specks as fine as its own photo shows are counted; a match counts what both photos show.
#[must_use]
pub fn own_figure(own: &str) -> String {
    format!("; by its own photo {own}, with finer specks counted")
}

/// A measure of the panel and of the sample.
#[must_use]
pub fn both(panel: &str, sample: &str) -> String {
    format!("panel {panel}, sample {sample}")
}

/// Where a measure lies, and what it is.
#[must_use]
pub fn between(low: &str, high: &str, meaning: &str) -> String {
    format!("between {low} and {high}: {meaning}")
}

/// The tone of a panel.
#[must_use]
pub fn tone(name: &str, tint: Tint) -> String {
    let warm = match tint.warmth {
        Warmth::Warm => "warm",
        Warmth::Neutral => "neutral",
        Warmth::Cold => "cold",
    };
    let tinge = match tint.tinge {
        Tinge::Pinkish => ", pinkish",
        Tinge::None => "",
        Tinge::Greenish => ", greenish",
    };
    format!("{name}: {warm}{tinge}")
}

/// How far the work had gone.
#[must_use]
pub fn stage(stage: Option<Stage>) -> &'static str {
    match stage {
        Some(Stage::Wet) => "wet",
        Some(Stage::Dry) => "dry, not painted",
        Some(Stage::Backed) => "backed",
        None => "not said",
    }
}

/// The side that faced the camera.
#[must_use]
pub fn side(side: Side) -> &'static str {
    match side {
        Side::Front => "front",
        Side::Back => "back, mirrored before measuring",
    }
}

/// How full silver was found.
#[must_use]
pub fn light(scale: SilverScale, rig: Option<&str>) -> String {
    let rig = rig.map_or_else(String::new, |name| format!(" The rig is `{name}`."));
    let how = match scale {
        SilverScale::Own => {
            "No patch and no rig: full silver was taken from the panel's own brightest parts, so that an even veil cannot be seen."
        }
        SilverScale::Mirror => {
            "Full silver was read off the plain mirror beside the panel, and the slope of the light with it."
        }
        SilverScale::Grey => {
            "Full silver was worked out from the grey card beside the panel and what the rig knows of it."
        }
        SilverScale::Plain => {
            "The light was taken from the rig's photo of a plain mirror, and today's brightness from the patch beside the panel."
        }
        SilverScale::Sample => {
            "Full silver was read off the sample that lies beside the panel, whose own silver was kept."
        }
    };
    format!("{how}{rig}")
}

/// What has to be done to a panel, in a word.
#[must_use]
pub fn to_do(remake: &Remake) -> &'static str {
    match remake {
        _ if remake.can_go_further() => "further",
        Remake {
            too_light: true, ..
        } => "strip its paint",
        Remake { .. } => "remake",
    }
}

/// A wall.
#[must_use]
pub fn plan_alt(panels: usize) -> String {
    format!("{panels} panels in their places and their way up, each with its number.")
}

/// A run of panels.
#[must_use]
pub fn run_key(limits: bool, odd: bool) -> String {
    let band = if limits {
        " The band is where the scatter of neighbours would keep them."
    } else {
        ""
    };
    let ringed = if odd {
        " A ring marks a panel that stands apart from the rest: it counts for neither line nor band."
    } else {
        ""
    };
    format!(
        "Each diamond is a panel, numbered in the order given; the level line is their mean.{band}{ringed}"
    )
}

/// Panels that stand apart and show no figure, by number; nothing where there are none.
#[must_use]
pub fn run_without(missing: &[usize]) -> String {
    let numbers: Vec<String> = missing.iter().map(usize::to_string).collect();
    match numbers.as_slice() {
        [] => String::new(),
        [one] => format!("Panel {one} stands apart and shows no figure of this."),
        some => format!(
            "Panels {} stand apart and show no figure of this.",
            some.join(", ")
        ),
    }
}

/// Where a place lies on a panel.
#[must_use]
pub fn place(place: PlaceMm) -> String {
    format!(
        "{:.0} mm from the left, {:.0} mm from the top",
        place.left, place.top
    )
}

/// A place of a panel.
#[must_use]
pub fn place_alt(name: &str, at: &str) -> String {
    format!("{name}, a piece {at}.")
}

/// A piece of a ladder.
#[must_use]
pub fn small_alt(name: &str) -> String {
    format!("{name}, small.")
}
