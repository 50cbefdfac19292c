//! What stands on the sheets beside the answers: headings, captions, what charts show.

pub mod fact;
pub mod scale;
pub mod seen;

use crate::compare::set::Remake;
use crate::compare::tint::{Tinge, Tint, Warmth};
use crate::frame::panel::SilverScale;
use crate::frame::placement::{Side, Stage};
use crate::units::{PlaceMm, SizeMm};

/// Kinds of sheets.
pub const READING: &str = "reading sheet";
/// A panel beside a sample.
pub const MATCH: &str = "match sheet";
/// A set and its wall.
pub const SET: &str = "set and wall sheet";
/// A panel on a ladder.
pub const LADDER: &str = "ladder sheet";
/// A study of a rig.
pub const STUDY: &str = "rig study sheet";
/// The nearest kept finishes.
pub const NEAR: &str = "sheet of the nearest";
/// What a sample promises.
pub const PROMISE: &str = "promise sheet";
/// A photo that was looked at.
pub const CHECK: &str = "picture check sheet";
/// What a client signs.
pub const SIGNING: &str = "sign-off sheet";
/// What a setting does.
pub const EFFECT: &str = "effect sheet";
/// How a finish was made.
pub const RECIPE: &str = "recipe card";

/// Under every sheet.
pub const FOOTER: &str = "Made by paneprint on the studio's own machine. It certifies nothing: the signed piece and the eye decide.";

/// Headings.
pub const PANEL: &str = "The panel";
/// The panel with what was counted.
pub const COUNTED: &str = "The same, counted";
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
/// All figures.
pub const MEASURES: &str = "Every measure";
/// The light.
pub const LIGHT: &str = "How the light was evened";
/// The camera.
pub const CAPTURE: &str = "The photo";
/// What is weak.
pub const FLAGS: &str = "Look after this";
/// Cautions.
pub const CAUTIONS: &str = "Before any work";
/// Both panels.
pub const BESIDE: &str = "Side by side, at one scale and in one light";
/// Pieces in their real size.
pub const REAL: &str = "A piece of each in its real size";
/// Heading.
pub const UNLIKE: &str = "The two places most unlike, in their real size";
/// What differs, drawn.
pub const DIFFER: &str = "Where they differ";
/// Against the allowance.
pub const ALLOWED: &str = "Each measure, and how far it may go";
/// Both tones.
pub const TONES: &str = "The colour of the silver that is left";
/// The wall.
pub const WALL: &str = "The wall, as it would hang";
/// The panels.
pub const PANELS: &str = "The panels, in hanging order";
/// Drift.
pub const DRIFT: &str = "In the order they were made";
/// Joints.
pub const JOINTS: &str = "Joints to look at";
/// Steps of a ladder.
pub const STEPS: &str = "From light to heavy";
/// What a rig repeats.
pub const REPEATS: &str = "What this rig repeats";
/// The finishes found.
pub const NEAREST: &str = "The nearest first";
/// The panel that was looked for.
pub const SOUGHT: &str = "The panel itself";
/// How it was made.
pub const MADE: &str = "How it was made";
/// How it looks.
pub const LOOKS: &str = "How it came out";
/// What chance may do.
pub const CHANCE: &str = "What chance may do to a panel of that size";
/// Where things lie in a photo.
pub const FOUND: &str = "Where the panel and the patches lie";

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
pub const DISCS: &str = "The panel in squares, the right way up; each disc is as large as what is gone there. One that fills its square: half of its silver, or more.";

/// The histogram.
pub const LEVELS_SAYS: &str = "From bare glass on the left to full silver on the right; little is drawn taller than it is, so that it is seen too.";
/// The same of two.
pub const LEVELS_BOTH: &str = "Bars: the panel. Broken line: the sample. From bare glass on the left to full silver on the right; little is drawn taller than it is, so that it is seen too.";

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
                "The lozenge marks {deg:.0}°, counted from the bottom edge, seen from the front."
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

/// How bars of measures are read.
pub const MEASURES_KEY: &str = "Lozenge: what was found. Thick line: where it lies 95 times in 100. Thin line: all that the figure can be; for counts, millimetres, tones and edge loss a scale that fits the figure. Its ends are written below it.";
/// The same against an allowance.
pub const ALLOWED_KEY: &str = "Pale band: what may be. Lozenge: this panel. Thick line: where it lies 90 times in 100, with the sample's own doubt in it. Thin tick: the sample. An arrow goes on beyond the drawing.";
/// The same of a rig.
pub const REPEATS_KEY: &str = "Pale band: the starting allowance. Thick line: what two readings of one panel may differ by, 95 times in 100.";
/// The same of a promise.
pub const CHANCE_KEY: &str = "Pale band: what may be. Thick line: where chance alone leaves a panel of that size, 95 times in 100. Lozenge: the sample.";

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

/// Shapes of a curve that were tried.
pub const SHAPES: &str = "Curves that were tried";
/// What a curve foretells.
pub const EXPECTED: &str = "What is to be expected";
/// Panels a curve runs through.
pub const TRIED: &str = "The panels and their settings";

/// How the curve is read.
pub const EFFECT_KEY: &str = "Each lozenge is a kept panel; the line is the curve through them. Darker band: where the mean of many panels would lie; pale band: where one new panel falls, 95 times in 100. Nothing is drawn beyond what was tried.";

/// The same where there is no curve to be drawn.
pub const EFFECT_UNKNOWN: &str =
    "Each lozenge is a kept panel. No curve is drawn, for none is known.";

/// Signs in the hanging plan: each is told only where it is drawn.
pub const PLAN_ARROW: &str = "The arrow points to the panel's own top.";
/// A panel that stands apart.
pub const PLAN_ODD: &str = "A thick frame: the panel stands apart.";
/// One to be made again.
pub const PLAN_REMAKE: &str = "A black corner: to be remade, or mended through its paint.";
/// One to be worked further.
pub const PLAN_FURTHER: &str = "A white corner: to be taken a little further.";
/// A step at a joint.
pub const PLAN_NOTICEABLE: &str = "Open circle: a step that is seen when looked for.";
/// A larger one.
pub const PLAN_CLASH: &str = "Filled circle: a step that is seen at once.";

/// What has to be done to a panel, in a word.
#[must_use]
pub fn to_do(remake: &Remake) -> &'static str {
    match remake {
        _ if remake.can_go_further() => "further",
        Remake {
            too_light: true, ..
        } => "mend",
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
        "Each lozenge is a panel, numbered in the order given; the level line is their mean.{band}{ringed}"
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

/// A ladder.
pub const STEPS_KEY: &str = "Aggressiveness on one scale for all. The framed line is the panel.";

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
