//! The metric table: everything about a measure that is not its computation. Text, JSON, comparison and the README walk
//! this table; a figure is rounded once, by its row, when it is shown.

use crate::measure::Measurements;
use crate::units::Measure;

/// How two readings of a measure are set against each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// Panel less sample.
    Difference,
    /// Panel over sample; allowance and difference are natural logarithms of the ratio.
    Ratio,
    /// Smallest turn between two axes, degrees.
    Axial,
    /// Smallest turn between two directions on the whole circle, degrees.
    Circular,
}

/// What more of a measure does to the look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// More is darker.
    Darker,
    /// More is lighter.
    Lighter,
    /// Neither.
    Neither,
}

/// What a measure speaks of; of measures that speak of the same thing only the weightiest is heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Topic {
    /// How much silver is gone.
    Loss,
    /// How many specks.
    SpeckNumber,
    /// How large they are.
    SpeckSize,
    /// How they lie.
    SpeckPlaces,
    /// Blots.
    Blots,
    /// Where the streaks point.
    StreakAngle,
    /// How strong they are.
    StreakStrength,
    /// How far apart they are.
    StreakSpacing,
    /// Clouds.
    Clouds,
    /// Pink against green.
    Pink,
    /// Warm against cold.
    Warm,
    /// How the silver is spread between clear and dark.
    Levels,
    /// Texture up to a millimetre.
    FineTexture,
    /// Texture of a few millimetres.
    MiddleTexture,
    /// The edges.
    Edges,
    /// How much of the silver is coloured.
    Patina,
    /// How strongly.
    PatinaStrength,
    /// In which colour.
    PatinaHue,
    /// In patches how large.
    PatinaSize,
    /// The colour about the dark places.
    Halo,
}

impl Topic {
    /// It is one of the two sides of the silver's colour.
    #[must_use]
    pub fn is_tone(self) -> bool {
        matches!(self, Topic::Pink | Topic::Warm)
    }
}

/// One row of the table.
#[derive(Debug, Clone, Copy)]
pub struct Metric {
    /// Name in JSON and on the command line.
    pub key: &'static str,
    /// Name in plain words.
    pub title: &'static str,
    /// Unit as printed; empty for shares of one.
    pub unit: &'static str,
    /// Decimals shown.
    pub decimals: usize,
    /// Legal range.
    pub range: (f64, f64),
    /// What more of it does to the look.
    pub direction: Direction,
    /// How two readings are compared.
    pub rule: Rule,
    /// Starting allowance, in the terms of the rule; the studio's own limits take its place.
    pub allowance: f64,
    /// Share of the sample's own figure that is added to it: what a sample has much of may differ by more.
    pub allowance_share: f64,
    /// What 0 and the other end look like.
    pub meaning: &'static str,
    /// What it speaks of.
    pub topic: Topic,
    /// What is said of a panel that has more of it than the sample.
    pub more: &'static str,
    /// What is said of one that has less.
    pub less: &'static str,
    /// Where the value lies.
    pub of: fn(&Measurements) -> Measure,
}

/// The first row: how much silver is left. Whether a panel is lighter or darker is read off it.
pub const COVERAGE: Metric = Metric {
    key: "coverage",
    title: "silver left",
    unit: "",
    decimals: 3,
    range: (0.0, 1.0),
    direction: Direction::Lighter,
    rule: Rule::Difference,
    allowance: 0.06,
    allowance_share: 0.0,
    meaning: "mean silver level: 1 a plain mirror, 0 bare glass",
    topic: Topic::Loss,
    more: "more silver left",
    less: "less silver left",
    of: |m| m.coverage,
};

/// How far a panel is worn, on one scale: what ladders are ordered by.
pub const AGGRESSIVENESS: Metric = Metric {
    key: "aggressiveness",
    title: "aggressiveness",
    unit: "",
    decimals: 1,
    range: (0.0, 100.0),
    direction: Direction::Darker,
    rule: Rule::Difference,
    allowance: 6.0,
    allowance_share: 0.0,
    meaning: "root-mean-square loss of silver: 0 a plain mirror, 20 an even veil of a fifth, 100 bare glass",
    topic: Topic::Loss,
    more: "more worn on the whole",
    less: "less worn on the whole",
    of: |m| m.aggressiveness,
};

/// Every measure, in the order shown.
pub const METRICS: [Metric; 22] = [
    COVERAGE,
    Metric {
        key: "clear_fraction",
        title: "clear area",
        unit: "",
        decimals: 3,
        range: (0.0, 1.0),
        direction: Direction::Lighter,
        rule: Rule::Difference,
        allowance: 0.25,
        allowance_share: 0.0,
        meaning: "share of the area with a silver level of 0.85 or more",
        topic: Topic::Loss,
        more: "more of it clear",
        less: "less of it clear",
        of: |m| m.clear_fraction,
    },
    Metric {
        key: "veil_fraction",
        title: "veiled area",
        unit: "",
        decimals: 3,
        range: (0.0, 1.0),
        direction: Direction::Neither,
        rule: Rule::Difference,
        allowance: 0.25,
        allowance_share: 0.0,
        meaning: "share of the area with a silver level from 0.5 up to 0.85",
        topic: Topic::Loss,
        more: "more of it veiled",
        less: "less of it veiled",
        of: |m| m.veil_fraction,
    },
    Metric {
        key: "dark_fraction",
        title: "dark area",
        unit: "",
        decimals: 3,
        range: (0.0, 1.0),
        direction: Direction::Darker,
        rule: Rule::Difference,
        allowance: 0.04,
        allowance_share: 0.0,
        meaning: "share of the area with a silver level under 0.5",
        topic: Topic::Loss,
        more: "more of it dark",
        less: "less of it dark",
        of: |m| m.dark_fraction,
    },
    Metric {
        key: "speckle_density",
        title: "speckles",
        unit: "per cm²",
        decimals: 2,
        range: (0.0, 1000.0),
        direction: Direction::Darker,
        rule: Rule::Ratio,
        allowance: 0.405,
        allowance_share: 0.0,
        meaning: "dark specks on each square centimetre",
        topic: Topic::SpeckNumber,
        more: "more specks",
        less: "fewer specks",
        of: |m| m.speckle_density,
    },
    Metric {
        key: "speckle_diameter_median",
        title: "speckle size",
        unit: "mm",
        decimals: 2,
        range: (0.0, 6.0),
        direction: Direction::Darker,
        rule: Rule::Ratio,
        allowance: 0.262,
        allowance_share: 0.0,
        meaning: "half of the specks are larger than this",
        topic: Topic::SpeckSize,
        more: "larger specks",
        less: "smaller specks",
        of: |m| m.speckle_diameter_median,
    },
    Metric {
        key: "speckle_diameter_p90",
        title: "large speckles",
        unit: "mm",
        decimals: 2,
        range: (0.0, 6.0),
        direction: Direction::Darker,
        rule: Rule::Ratio,
        allowance: 0.336,
        allowance_share: 0.0,
        meaning: "one speck in ten is larger than this",
        topic: Topic::SpeckSize,
        more: "the large specks larger",
        less: "the large specks smaller",
        of: |m| m.speckle_diameter_p90,
    },
    Metric {
        key: "speckle_evenness",
        title: "how specks lie",
        unit: "",
        decimals: 2,
        range: (0.0, 2.2),
        direction: Direction::Neither,
        rule: Rule::Difference,
        allowance: 0.25,
        allowance_share: 0.0,
        meaning: "1 anywhere, below it in clumps, above it spaced out; 2.15 a honeycomb",
        topic: Topic::SpeckPlaces,
        more: "specks more evenly spread",
        less: "specks more in clumps",
        of: |m| m.speckle_evenness,
    },
    Metric {
        key: "blot_fraction",
        title: "blots",
        unit: "",
        decimals: 3,
        range: (0.0, 1.0),
        direction: Direction::Darker,
        rule: Rule::Difference,
        allowance: 0.015,
        allowance_share: 1.0,
        meaning: "share of the area in dark areas larger than a speck",
        topic: Topic::Blots,
        more: "more in blots",
        less: "less in blots",
        of: |m| m.blot_fraction,
    },
    Metric {
        key: "streak_angle",
        title: "streak direction",
        unit: "°",
        decimals: 0,
        range: (0.0, 180.0),
        direction: Direction::Neither,
        rule: Rule::Axial,
        allowance: 12.0,
        allowance_share: 0.0,
        meaning: "0 along the bottom edge, 90 upright, counted anticlockwise from the front",
        topic: Topic::StreakAngle,
        more: "streaks turned anticlockwise",
        less: "streaks turned clockwise",
        of: |m| m.streak_angle,
    },
    Metric {
        key: "streak_strength",
        title: "streak strength",
        unit: "",
        decimals: 2,
        range: (0.0, 1.0),
        direction: Direction::Neither,
        rule: Rule::Difference,
        allowance: 0.25,
        allowance_share: 0.0,
        meaning: "0 no direction at all, 1 straight even ridges",
        topic: Topic::StreakStrength,
        more: "streaks stronger",
        less: "streaks weaker",
        of: |m| m.streak_strength,
    },
    Metric {
        key: "streak_spacing",
        title: "streak spacing",
        unit: "mm",
        decimals: 1,
        range: (0.0, 100.0),
        direction: Direction::Neither,
        rule: Rule::Ratio,
        allowance: 0.336,
        allowance_share: 0.0,
        meaning: "from ridge to ridge, across them",
        topic: Topic::StreakSpacing,
        more: "streaks further apart",
        less: "streaks closer together",
        of: |m| m.streak_spacing,
    },
    Metric {
        key: "cloud_scale",
        title: "cloud size",
        unit: "mm",
        decimals: 1,
        range: (0.0, 5000.0),
        direction: Direction::Neither,
        rule: Rule::Ratio,
        allowance: 0.693,
        allowance_share: 0.0,
        meaning: "how far the silver between the specks stays alike",
        topic: Topic::Clouds,
        more: "larger clouds",
        less: "smaller clouds",
        of: |m| m.cloud_scale,
    },
    AGGRESSIVENESS,
    Metric {
        key: "tone_a",
        title: "tone, pink to green",
        unit: "",
        decimals: 1,
        range: (-128.0, 128.0),
        direction: Direction::Neither,
        rule: Rule::Difference,
        allowance: 2.0,
        allowance_share: 0.0,
        meaning: "over 0 pinkish, under 0 greenish, against full silver",
        topic: Topic::Pink,
        more: "pinker",
        less: "greener",
        of: |m| m.tone_a,
    },
    Metric {
        key: "tone_b",
        title: "tone, warm to cold",
        unit: "",
        decimals: 1,
        range: (-128.0, 128.0),
        direction: Direction::Neither,
        rule: Rule::Difference,
        allowance: 3.0,
        allowance_share: 0.0,
        meaning: "over 0 warmer, under 0 colder than full silver",
        topic: Topic::Warm,
        more: "warmer",
        less: "colder",
        of: |m| m.tone_b,
    },
    Metric {
        key: "edge_loss",
        title: "edge loss",
        unit: "",
        decimals: 3,
        range: (-1.0, 1.0),
        direction: Direction::Neither,
        rule: Rule::Difference,
        allowance: 0.08,
        allowance_share: 0.0,
        meaning: "silver left in the middle less silver left along the edges",
        topic: Topic::Edges,
        more: "edges more worn",
        less: "edges less worn",
        of: |m| m.edge_loss,
    },
    Metric {
        key: "patina_fraction",
        title: "patina",
        unit: "",
        decimals: 3,
        range: (0.0, 1.0),
        direction: Direction::Neither,
        rule: Rule::Difference,
        allowance: 0.1,
        allowance_share: 0.25,
        meaning: "share of the silver left that is plainly coloured: 0 all of it grey, 1 none",
        topic: Topic::Patina,
        more: "more patina",
        less: "less patina",
        of: |m| m.patina_fraction,
    },
    Metric {
        key: "patina_chroma",
        title: "patina strength",
        unit: "",
        decimals: 1,
        range: (0.0, 128.0),
        direction: Direction::Neither,
        rule: Rule::Difference,
        allowance: 3.0,
        allowance_share: 0.15,
        meaning: "one tenth of the silver left is more coloured than this: 0 grey, 6 to be seen, 20 a strong gold",
        topic: Topic::PatinaStrength,
        more: "patina stronger coloured",
        less: "patina paler",
        of: |m| m.patina_chroma,
    },
    Metric {
        key: "patina_hue",
        title: "patina hue",
        unit: "°",
        decimals: 0,
        range: (0.0, 360.0),
        direction: Direction::Neither,
        rule: Rule::Circular,
        allowance: 15.0,
        allowance_share: 0.0,
        meaning: "45 copper, 65 brown, 90 gold, 180 green, 270 blue",
        topic: Topic::PatinaHue,
        more: "patina turned from copper towards gold and green",
        less: "patina turned from gold towards copper and violet",
        of: |m| m.patina_hue,
    },
    Metric {
        key: "patina_scale",
        title: "patina size",
        unit: "mm",
        decimals: 1,
        range: (0.0, 5000.0),
        direction: Direction::Neither,
        rule: Rule::Ratio,
        allowance: 0.693,
        allowance_share: 0.0,
        meaning: "how far the colour of the silver stays alike",
        topic: Topic::PatinaSize,
        more: "patina in larger patches",
        less: "patina in smaller patches",
        of: |m| m.patina_scale,
    },
    Metric {
        key: "halo",
        title: "colour about dark places",
        unit: "",
        decimals: 1,
        range: (-128.0, 128.0),
        direction: Direction::Neither,
        rule: Rule::Difference,
        allowance: 2.5,
        allowance_share: 0.15,
        meaning: "how much more coloured the silver is within 1.5 mm of a dark place than elsewhere",
        topic: Topic::Halo,
        more: "more colour about the specks",
        less: "less colour about the specks",
        of: |m| m.halo,
    },
];

/// The row of a key.
#[must_use]
pub fn metric(key: &str) -> Option<&'static Metric> {
    METRICS.iter().find(|m| m.key == key)
}

impl Metric {
    /// The figure with its row's decimals.
    #[must_use]
    pub fn format(&self, value: f64) -> String {
        format!("{:.*}", self.decimals, self.round(value))
    }

    /// The starting allowance beside a sample of this figure, in the terms of the rule.
    #[must_use]
    pub fn start(&self, sample: f64) -> f64 {
        self.allowance + self.allowance_share * sample.abs()
    }

    /// The figure rounded by its row, never to a negative zero.
    #[must_use]
    pub fn round(&self, value: f64) -> f64 {
        let scale = 10_f64.powi(i32::try_from(self.decimals).unwrap_or(0));
        (value * scale).round() / scale + 0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_unique_and_whole() {
        for (i, row) in METRICS.iter().enumerate() {
            assert!(
                METRICS[..i]
                    .iter()
                    .all(|m| m.key != row.key && m.title != row.title)
            );
            assert_ne!(row.more, row.less);
            assert!(row.range.0 < row.range.1 && row.allowance > 0.0 && !row.meaning.is_empty());
        }
        assert!(metric("coverage").is_some() && metric("Coverage").is_none());
    }
}
