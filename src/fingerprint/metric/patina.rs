//! The rows of the silver's colour.

use super::{Kind, Metric, ROW, Rule, Topic};

/// Patina.
pub const PATINA_FRACTION: Metric = Metric {
    key: "patina_fraction",
    title: "patina",
    allowance: 0.1,
    allowance_share: 0.25,
    why: "chosen, no source; a tenth of the silver gained or lost its colour; of a finish much coloured, a quarter of it",
    meaning: "share of the silver left that is plainly coloured: 0 all of it grey, 1 none",
    topic: Topic::Patina,
    more: "more patina",
    less: "less patina",
    kind: Kind::Figure(|m| m.patina_fraction),
    ..ROW
};

/// Patina strength.
pub const PATINA_CHROMA: Metric = Metric {
    key: "patina_chroma",
    title: "patina strength",
    decimals: 1,
    range: (0.0, 128.0),
    allowance: 3.0,
    allowance_share: 0.15,
    why: "a colour difference of 3 is seen side by side; of strong colours a seventh",
    meaning: "one tenth of the silver left is more coloured than this: 0 grey, 6 to be seen, 20 a strong gold",
    topic: Topic::PatinaStrength,
    more: "patina stronger coloured",
    less: "patina paler",
    kind: Kind::Figure(|m| m.patina_chroma),
    ..ROW
};

/// Patina hue.
pub const PATINA_HUE: Metric = Metric {
    key: "patina_hue",
    title: "patina hue",
    unit: "°",
    decimals: 0,
    range: (0.0, 360.0),
    rule: Rule::Circular,
    allowance: 15.0,
    why: "chosen, no source; from brown to gold is about 25",
    meaning: "45 copper, 65 brown, 90 gold, 180 green, 270 blue",
    topic: Topic::PatinaHue,
    more: "patina turned from copper towards gold and green",
    less: "patina turned from gold towards copper and violet",
    kind: Kind::Figure(|m| m.patina_hue),
    ..ROW
};

/// Patina size.
pub const PATINA_SCALE: Metric = Metric {
    key: "patina_scale",
    title: "patina size",
    unit: "mm",
    decimals: 1,
    range: (0.0, 5000.0),
    rule: Rule::Ratio,
    allowance: 0.693,
    why: "chosen, no source; twice as large, as of clouds",
    meaning: "how far the colour of the silver stays alike",
    topic: Topic::PatinaSize,
    more: "patina in larger patches",
    less: "patina in smaller patches",
    kind: Kind::Figure(|m| m.patina_scale),
    ..ROW
};

/// Colour about dark places.
pub const HALO: Metric = Metric {
    key: "halo",
    title: "colour about dark places",
    decimals: 1,
    range: (-128.0, 128.0),
    allowance: 2.5,
    allowance_share: 0.15,
    why: "a colour difference of 2 to 3 is seen side by side; of strong haloes a seventh",
    meaning: "how much more coloured the silver is within 1.5 mm of a dark place than elsewhere",
    topic: Topic::Halo,
    more: "more colour about the specks",
    less: "less colour about the specks",
    kind: Kind::Figure(|m| m.halo),
    ..ROW
};
