//! The metric table: everything about a measure that is not its computation. Text, JSON, comparison and the README walk
//! this table; a figure is rounded once, by its row, when it is shown.
//!
//! Of most rows every panel has a figure. Of some there is none to show: two panels are set apart as wholes. A row says how it is
//! read and what it needs; nothing anywhere asks which key it has.

mod figures;
mod patina;
mod specks;
mod typed;
mod wholes;

use super::Fingerprint;
use crate::measure::{Measurements, SILVER_BINS, SizeHistogram};
use crate::units::{Measure, Unmeasured};

pub use figures::{
    AGGRESSIVENESS, BLOT_FRACTION, CLEAR_FRACTION, CLOUD_SCALE, COVERAGE, DARK_FRACTION, EDGE_LOSS,
    SPECKLE_DENSITY, SPECKLE_DIAMETER_MEDIAN, SPECKLE_DIAMETER_P90, SPECKLE_EVENNESS, STREAK_ANGLE,
    STREAK_SPACING, STREAK_STRENGTH, TONE_A, TONE_B, VEIL_FRACTION,
};
pub use patina::{HALO, PATINA_CHROMA, PATINA_FRACTION, PATINA_HUE, PATINA_SCALE};
pub use specks::{
    CROWDING, LINE_FRACTION, RING_FRACTION, SPECKLE_AXIS, SPECKLE_ELONGATION, SPECKLE_ON_RIDGES,
    SPECKLE_ROWS, SPECKLE_SOFTNESS, SPECKLE_UNEVENNESS, UNEVENNESS,
};
pub use typed::{allowed_typed, measure_typed};
pub use wholes::{
    COARSE_TEXTURE, FINE_TEXTURE, LOOK, MIDDLE_TEXTURE, SILVER_LEVELS, SPECKLE_SIZES, STREAK_ROSE,
    WholeDistance, amplitude,
};

/// Every row, in the order shown: the figures, then the wholes.
pub static METRICS: [Metric; 39] = [
    COVERAGE,
    CLEAR_FRACTION,
    VEIL_FRACTION,
    DARK_FRACTION,
    SPECKLE_DENSITY,
    SPECKLE_DIAMETER_MEDIAN,
    SPECKLE_DIAMETER_P90,
    SPECKLE_EVENNESS,
    BLOT_FRACTION,
    STREAK_ANGLE,
    STREAK_STRENGTH,
    STREAK_SPACING,
    CLOUD_SCALE,
    AGGRESSIVENESS,
    TONE_A,
    TONE_B,
    EDGE_LOSS,
    SPECKLE_ELONGATION,
    SPECKLE_AXIS,
    SPECKLE_SOFTNESS,
    RING_FRACTION,
    LINE_FRACTION,
    UNEVENNESS,
    SPECKLE_UNEVENNESS,
    SPECKLE_ROWS,
    SPECKLE_ON_RIDGES,
    CROWDING,
    PATINA_FRACTION,
    PATINA_CHROMA,
    PATINA_HUE,
    PATINA_SCALE,
    HALO,
    LOOK,
    SILVER_LEVELS,
    SPECKLE_SIZES,
    STREAK_ROSE,
    FINE_TEXTURE,
    MIDDLE_TEXTURE,
    COARSE_TEXTURE,
];

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
    /// How long specks are for their width.
    SpeckShape,
    /// Where the long ones point.
    SpeckAxis,
    /// How sharp their edges are.
    SpeckEdges,
    /// Specks with a light middle.
    Rings,
    /// Cracks, drips and scratches.
    Lines,
    /// How far places of the panel differ.
    Unevenness,
    /// How far they differ in specks.
    SpeckUnevenness,
    /// Specks in rows.
    Rows,
    /// Specks along the ridges.
    OnRidges,
    /// Specks to one side.
    Crowding,
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
    /// All that is seen.
    Look,
}

impl Topic {
    /// It is one of the two sides of the silver's colour.
    #[must_use]
    pub fn is_tone(self) -> bool {
        matches!(self, Topic::Pink | Topic::Warm)
    }
}

/// How a row is read.
#[derive(Debug, Clone, Copy)]
pub enum Kind {
    /// A figure of one panel.
    Figure(fn(&Measurements) -> Measure),
    /// How far two panels lie apart as wholes, specks from a floor up, mm; `None` where one of them does not show it.
    Whole(fn(&Fingerprint, &Fingerprint, f64) -> Option<WholeDistance>),
    /// Texture between two blurs, mm: a whole of which each panel has an amount.
    Texture(f64, f64),
}

/// A figure that follows from the silver level alone: what a place of a level adds, and what the mean over all places makes.
#[derive(Debug, Clone, Copy)]
pub struct Silver {
    /// What a place adds.
    pub level: fn(f64) -> f64,
    /// The figure of the mean.
    pub figure: fn(f64) -> f64,
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
    /// Share of how far places a hand wide differ on the sample that is allowed where it is more: of a finish whose places differ
    /// much no two panels agree.
    pub allowance_places: f64,
    /// Why so much is allowed.
    pub why: &'static str,
    /// What 0 and the other end look like.
    pub meaning: &'static str,
    /// What it speaks of.
    pub topic: Topic,
    /// What is said of a panel that has more of it than the sample, or is of another form.
    pub more: &'static str,
    /// What is said of one that has less.
    pub less: &'static str,
    /// It says how much silver is left: whether a panel is lighter or darker is read off it, limit pieces are signed for it, and
    /// of all that tells of loss it is what people see. Of one row only.
    pub leads: bool,
    /// Added before the logarithm of a ratio: between none and so few nobody sees a difference.
    pub offset: f64,
    /// The figure from a speckle floor up, mm; `None` where the floor does not move it. Of no specks there may be no figure.
    pub above_floor: Option<fn(&SizeHistogram, f64) -> Option<f64>>,
    /// How it follows from the silver level, where it does: paint behind the panel may then move it.
    pub of_silver: Option<Silver>,
    /// How it is read.
    pub kind: Kind,
}

/// What most rows have: a share of one that differs by a difference. Every row starts from it and says the rest.
pub const ROW: Metric = Metric {
    key: "",
    title: "",
    unit: "",
    decimals: 3,
    range: (0.0, 1.0),
    direction: Direction::Neither,
    rule: Rule::Difference,
    allowance: 0.0,
    allowance_share: 0.0,
    allowance_places: 0.0,
    why: "",
    meaning: "",
    topic: Topic::Loss,
    more: "",
    less: "",
    leads: false,
    offset: 0.0,
    above_floor: None,
    of_silver: None,
    kind: Kind::Figure(|_| Err(Unmeasured::OnlyOfTwo)),
};

/// Rows of the table are told apart by their keys, and nothing else is read off these.
impl PartialEq for Metric {
    fn eq(&self, other: &Self) -> bool {
        self.key == other.key
    }
}

impl Eq for Metric {}

/// The row of a key that somebody typed or a file holds.
#[must_use]
pub fn metric(key: &str) -> Option<&'static Metric> {
    figures().find(|m| m.key == key)
}

/// The row of a key that the studio may set an allowance of its own for: a figure, or the look as a whole.
#[must_use]
pub fn allowed_of(key: &str) -> Option<&'static Metric> {
    metric(key).or_else(|| wholes().find(|row| **row == LOOK && row.key == key))
}

/// The rows of which every panel has a figure, in the order shown.
pub fn figures() -> impl Iterator<Item = &'static Metric> + Clone {
    METRICS.iter().filter(|row| row.is_figure())
}

/// The rows by which two panels are set apart as wholes, in the order shown.
pub fn wholes() -> impl Iterator<Item = &'static Metric> + Clone {
    METRICS.iter().filter(|row| !row.is_figure())
}

impl Metric {
    /// A panel has a figure of it.
    #[must_use]
    pub fn is_figure(&self) -> bool {
        matches!(self.kind, Kind::Figure(_))
    }

    /// The figure of a panel whose silver levels were moved, from their histogram; `None` where it does not follow from the level
    /// alone.
    pub fn of_levels(&self, m: &Measurements, moved: impl Fn(f64) -> f64) -> Option<f64> {
        let Silver { level, figure } = self.of_silver?;
        let middle = |i: usize| (i as f64 + 0.5) / SILVER_BINS as f64;
        let bins = m.silver_histogram.iter().enumerate();
        Some(figure(
            bins.map(|(i, share)| share * level(moved(middle(i)))).sum(),
        ))
    }

    /// The figure of a panel; of a whole there is none.
    ///
    /// # Errors
    /// Why the panel has none.
    pub fn of(&self, m: &Measurements) -> Measure {
        match self.kind {
            Kind::Figure(of) => of(m),
            Kind::Whole(_) | Kind::Texture(..) => Err(Unmeasured::OnlyOfTwo),
        }
    }

    /// How far two panels lie apart as wholes, specks from a floor up, mm. Of single figures nothing.
    #[must_use]
    pub fn apart(&self, a: &Fingerprint, b: &Fingerprint, floor_mm: f64) -> Option<WholeDistance> {
        match self.kind {
            Kind::Figure(_) => None,
            Kind::Whole(apart) => apart(a, b, floor_mm),
            Kind::Texture(from_mm, to_mm) => wholes::texture(a, b, (from_mm, to_mm)),
        }
    }

    /// The blurs that a texture lies between, mm.
    #[must_use]
    pub fn blurs_mm(&self) -> Option<(f64, f64)> {
        match self.kind {
            Kind::Texture(from_mm, to_mm) => Some((from_mm, to_mm)),
            Kind::Figure(_) | Kind::Whole(_) => None,
        }
    }

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
    use crate::measure::{CLEAR_FROM, DARK_BELOW};

    #[test]
    fn rows_are_unique_and_whole() {
        for (i, row) in METRICS.iter().enumerate() {
            let others = &METRICS[..i];
            assert!(others.iter().all(|m| m != row && m.title != row.title));
            for text in [row.key, row.title, row.why, row.meaning, row.more, row.less] {
                assert!(!text.is_empty(), "{}", row.key);
            }
            assert!(row.range.0 < row.range.1 && row.allowance > 0.0);
            // Of another form there is neither more nor less.
            assert!(!row.is_figure() || row.more != row.less, "{}", row.key);
        }
        assert_eq!(METRICS.iter().filter(|row| row.leads).count(), 1);
        assert!(COVERAGE.leads && METRICS[0] == COVERAGE);
    }

    #[test]
    fn a_key_is_that_of_a_figure_letter_by_letter() {
        assert!(metric("coverage").is_some_and(|row| *row == COVERAGE));
        assert!(metric("Coverage").is_none() && metric("streak_rose").is_none());
    }

    #[test]
    fn words_say_the_limits_that_are_measured_by() {
        let says = |row: &Metric, limit: f64| row.meaning.contains(&limit.to_string());
        assert!(says(&CLEAR_FRACTION, CLEAR_FROM) && says(&VEIL_FRACTION, CLEAR_FROM));
        assert!(says(&VEIL_FRACTION, DARK_BELOW) && says(&DARK_FRACTION, DARK_BELOW));
    }
}
