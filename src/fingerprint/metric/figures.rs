//! The rows of single figures.

use super::{Direction, Kind, Metric, ROW, Rule, Silver, Topic};
use crate::measure::{CLEAR_FROM, DARK_BELOW};

/// Large dark places are few, and fall by chance: panels may differ by three quarters of what places a hand wide do. Chosen on
/// painted panels, no source.
pub(super) const PLACES: f64 = 0.75;

/// Added to densities before their logarithm, speckles per cm²: between none and this few nobody sees a difference.
const FEW_PER_CM2: f64 = 0.1;

/// All of the place counts, or nothing.
fn share(counts: bool) -> f64 {
    f64::from(u8::from(counts))
}

/// The first row: how much silver is left. Whether a panel is lighter or darker is read off it.
pub const COVERAGE: Metric = Metric {
    key: "coverage",
    title: "silver left",
    direction: Direction::Lighter,
    allowance: 0.06,
    why: "a step from 0.80 to 0.74 is 2.8 in CIELAB lightness: seen side by side, hardly seen apart",
    meaning: "mean silver level: 1 a plain mirror, 0 bare glass",
    topic: Topic::Loss,
    more: "more silver left",
    less: "less silver left",
    leads: true,
    of_silver: Some(Silver {
        level: |s| s,
        figure: |mean| mean,
    }),
    kind: Kind::Figure(|m| m.coverage),
    ..ROW
};

/// How much of the area is clear.
pub const CLEAR_FRACTION: Metric = Metric {
    key: "clear_fraction",
    title: "clear area",
    direction: Direction::Lighter,
    allowance: 0.25,
    why: "wide, for where much of the silver lies near the limit a hundredth of silver left moves a tenth of the area across it",
    meaning: "share of the area with a silver level of 0.85 or more",
    topic: Topic::Loss,
    more: "more of it clear",
    less: "less of it clear",
    of_silver: Some(Silver {
        level: |s| share(s >= CLEAR_FROM),
        figure: |mean| mean,
    }),
    kind: Kind::Figure(|m| m.clear_fraction),
    ..ROW
};

/// How much of it is veiled.
pub const VEIL_FRACTION: Metric = Metric {
    key: "veil_fraction",
    title: "veiled area",
    allowance: 0.25,
    why: "as wide as that of the clear area, for the same reason",
    meaning: "share of the area with a silver level from 0.5 up to 0.85",
    topic: Topic::Loss,
    more: "more of it veiled",
    less: "less of it veiled",
    of_silver: Some(Silver {
        level: |s| share((DARK_BELOW..CLEAR_FROM).contains(&s)),
        figure: |mean| mean,
    }),
    kind: Kind::Figure(|m| m.veil_fraction),
    ..ROW
};

/// How much of it is dark.
pub const DARK_FRACTION: Metric = Metric {
    key: "dark_fraction",
    title: "dark area",
    direction: Direction::Darker,
    allowance: 0.04,
    allowance_places: PLACES,
    why: "so much turned from clear to dark takes 0.02 to 0.04 of the silver, within what silver left may differ by",
    meaning: "share of the area with a silver level under 0.5",
    topic: Topic::Loss,
    more: "more of it dark",
    less: "less of it dark",
    of_silver: Some(Silver {
        level: |s| share(s < DARK_BELOW),
        figure: |mean| mean,
    }),
    kind: Kind::Figure(|m| m.dark_fraction),
    ..ROW
};

/// How many specks there are.
pub const SPECKLE_DENSITY: Metric = Metric {
    key: "speckle_density",
    title: "speckles",
    unit: "per cm²",
    decimals: 2,
    range: (0.0, 1000.0),
    direction: Direction::Darker,
    rule: Rule::Ratio,
    allowance: 0.405,
    why: "chosen, no source; of 70 specks chance alone moves the number by a quarter",
    meaning: "dark specks on each square centimetre",
    topic: Topic::SpeckNumber,
    more: "more specks",
    less: "fewer specks",
    offset: FEW_PER_CM2,
    above_floor: Some(|sizes, floor_mm| Some(sizes.density_above(floor_mm))),
    kind: Kind::Figure(|m| m.speckle_density),
    ..ROW
};

/// How large they are.
pub const SPECKLE_DIAMETER_MEDIAN: Metric = Metric {
    key: "speckle_diameter_median",
    title: "speckle size",
    unit: "mm",
    decimals: 2,
    range: (0.0, 6.0),
    direction: Direction::Darker,
    rule: Rule::Ratio,
    allowance: 0.262,
    why: "chosen, no source; so much in width is seven tenths in area",
    meaning: "half of the specks are larger than this",
    topic: Topic::SpeckSize,
    more: "larger specks",
    less: "smaller specks",
    above_floor: Some(|sizes, floor_mm| sizes.quantile_above(floor_mm, 0.5)),
    kind: Kind::Figure(|m| m.speckle_diameter_median),
    ..ROW
};

/// How large the large ones are.
pub const SPECKLE_DIAMETER_P90: Metric = Metric {
    key: "speckle_diameter_p90",
    title: "large speckles",
    unit: "mm",
    decimals: 2,
    range: (0.0, 6.0),
    direction: Direction::Darker,
    rule: Rule::Ratio,
    allowance: 0.336,
    why: "a third wider than that of the middle size, for the large ones are fewer",
    meaning: "one speck in ten is larger than this",
    topic: Topic::SpeckSize,
    more: "the large specks larger",
    less: "the large specks smaller",
    above_floor: Some(|sizes, floor_mm| sizes.quantile_above(floor_mm, 0.9)),
    kind: Kind::Figure(|m| m.speckle_diameter_p90),
    ..ROW
};

/// How they lie.
pub const SPECKLE_EVENNESS: Metric = Metric {
    key: "speckle_evenness",
    title: "how specks lie",
    decimals: 2,
    range: (0.0, 2.2),
    allowance: 0.25,
    why: "chosen, no source; a fifth of the way from anywhere to a honeycomb",
    meaning: "1 anywhere, below it in clumps, above it spaced out; 2.15 a honeycomb",
    topic: Topic::SpeckPlaces,
    more: "specks more evenly spread",
    less: "specks more in clumps",
    kind: Kind::Figure(|m| m.speckle_evenness),
    ..ROW
};

/// How much of the area blots take.
pub const BLOT_FRACTION: Metric = Metric {
    key: "blot_fraction",
    title: "blots",
    direction: Direction::Darker,
    allowance: 0.015,
    allowance_share: 1.0,
    allowance_places: PLACES,
    why: "one blot 20 mm across on 150 × 150 mm; of a blotched finish as much again, for a few large blots fall by chance",
    meaning: "share of the area in dark areas larger than a speck",
    topic: Topic::Blots,
    more: "more in blots",
    less: "less in blots",
    kind: Kind::Figure(|m| m.blot_fraction),
    ..ROW
};

/// Which way streaks run.
pub const STREAK_ANGLE: Metric = Metric {
    key: "streak_angle",
    title: "streak direction",
    unit: "°",
    decimals: 0,
    range: (0.0, 180.0),
    rule: Rule::Axial,
    allowance: 12.0,
    why: "chosen, no source; a fifteenth of the half-turn",
    meaning: "0 along the bottom edge, 90 upright, counted anticlockwise from the front",
    topic: Topic::StreakAngle,
    more: "streaks turned anticlockwise",
    less: "streaks turned clockwise",
    kind: Kind::Figure(|m| m.streak_angle),
    ..ROW
};

/// How strong they are.
pub const STREAK_STRENGTH: Metric = Metric {
    key: "streak_strength",
    title: "streak strength",
    decimals: 2,
    allowance: 0.25,
    why: "chosen, no source; a quarter of the way from none to straight even ridges",
    meaning: "0 no direction at all, 1 straight even ridges",
    topic: Topic::StreakStrength,
    more: "streaks stronger",
    less: "streaks weaker",
    kind: Kind::Figure(|m| m.streak_strength),
    ..ROW
};

/// How far apart they are.
pub const STREAK_SPACING: Metric = Metric {
    key: "streak_spacing",
    title: "streak spacing",
    unit: "mm",
    decimals: 1,
    range: (0.0, 100.0),
    rule: Rule::Ratio,
    allowance: 0.336,
    why: "chosen, no source; ridges of one panel come at unlike distances too",
    meaning: "from ridge to ridge, across them",
    topic: Topic::StreakSpacing,
    more: "streaks further apart",
    less: "streaks closer together",
    kind: Kind::Figure(|m| m.streak_spacing),
    ..ROW
};

/// How large clouds are.
pub const CLOUD_SCALE: Metric = Metric {
    key: "cloud_scale",
    title: "cloud size",
    unit: "mm",
    decimals: 1,
    range: (0.0, 5000.0),
    rule: Rule::Ratio,
    allowance: 0.693,
    why: "wide, for few clouds lie on a panel and their size is known roughly",
    meaning: "how far the silver between the specks stays alike",
    topic: Topic::Clouds,
    more: "larger clouds",
    less: "smaller clouds",
    kind: Kind::Figure(|m| m.cloud_scale),
    ..ROW
};

/// How far a panel is worn, on one scale: what ladders are ordered by.
pub const AGGRESSIVENESS: Metric = Metric {
    key: "aggressiveness",
    title: "aggressiveness",
    decimals: 1,
    range: (0.0, 100.0),
    direction: Direction::Darker,
    allowance: 6.0,
    why: "an even veil of 0.06, which is what silver left may differ by",
    meaning: "root-mean-square loss of silver: 0 a plain mirror, 20 an even veil of a fifth, 100 bare glass",
    topic: Topic::Loss,
    more: "more worn on the whole",
    less: "less worn on the whole",
    of_silver: Some(Silver {
        level: |s| (1.0 - s).powi(2),
        figure: |mean| 100.0 * mean.sqrt(),
    }),
    kind: Kind::Figure(|m| m.aggressiveness),
    ..ROW
};

/// Pink against green.
pub const TONE_A: Metric = Metric {
    key: "tone_a",
    title: "tone, pink to green",
    decimals: 1,
    range: (-128.0, 128.0),
    allowance: 2.0,
    why: "just under the 2.3 in CIELAB that is just seen side by side (Mahy and others 1994)",
    meaning: "over 0 pinkish, under 0 greenish, against full silver",
    topic: Topic::Pink,
    more: "pinker",
    less: "greener",
    kind: Kind::Figure(|m| m.tone_a),
    ..ROW
};

/// Warm against cold.
pub const TONE_B: Metric = Metric {
    key: "tone_b",
    title: "tone, warm to cold",
    decimals: 1,
    range: (-128.0, 128.0),
    allowance: 3.0,
    why: "half as much again as pink to green, for lamps and daylight differ most from warm to cold",
    meaning: "over 0 warmer, under 0 colder than full silver",
    topic: Topic::Warm,
    more: "warmer",
    less: "colder",
    kind: Kind::Figure(|m| m.tone_b),
    ..ROW
};

/// How much more is lost along the edges.
pub const EDGE_LOSS: Metric = Metric {
    key: "edge_loss",
    title: "edge loss",
    range: (-1.0, 1.0),
    allowance: 0.08,
    why: "a third more than silver left, for two smaller areas are set against each other",
    meaning: "silver left in the middle less silver left along the edges",
    topic: Topic::Edges,
    more: "edges more worn",
    less: "edges less worn",
    kind: Kind::Figure(|m| m.edge_loss),
    ..ROW
};
