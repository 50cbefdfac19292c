//! The rows of how specks and lines are formed and where they lie.

use super::figures::PLACES;
use super::{Direction, Kind, Metric, ROW, Rule, Topic};

/// Clumps of specks are few, and where they fall is chance: panels may differ by half as much again as places a hand wide do.
/// Chosen on painted panels, no source.
const CLUMPS: f64 = 1.5;

/// Speckle shape.
pub const SPECKLE_ELONGATION: Metric = Metric {
    key: "speckle_elongation",
    title: "speckle shape",
    decimals: 2,
    range: (1.0, 20.0),
    rule: Rule::Ratio,
    allowance: 0.182,
    why: "a fifth longer (ln 1.2) hardly shows on specks of a millimetre; half as long again does",
    meaning: "how many times as long as wide a usual speck is: 1 round",
    topic: Topic::SpeckShape,
    more: "specks longer",
    less: "specks rounder",
    kind: Kind::Figure(|m| m.speckle_elongation),
    ..ROW
};

/// Speckle direction.
pub const SPECKLE_AXIS: Metric = Metric {
    key: "speckle_axis",
    title: "speckle direction",
    unit: "°",
    decimals: 0,
    range: (0.0, 180.0),
    rule: Rule::Axial,
    allowance: 20.0,
    why: "short marks point less clearly than streaks, of which 12° are allowed",
    meaning: "where the long specks point: 0 along the bottom edge, 90 upright, counted anticlockwise from the front",
    topic: Topic::SpeckAxis,
    more: "specks turned anticlockwise",
    less: "specks turned clockwise",
    kind: Kind::Figure(|m| m.speckle_axis),
    ..ROW
};

/// Softness of specks.
pub const SPECKLE_SOFTNESS: Metric = Metric {
    key: "speckle_softness",
    title: "softness of specks",
    unit: "mm",
    decimals: 2,
    range: (0.0, 10.0),
    allowance: 0.25,
    allowance_share: 0.25,
    why: "about what the eye resolves from 1 m; the softer they are, the less it tells",
    meaning: "how wide the edges of specks fade: 0 as sharp as the photo shows",
    topic: Topic::SpeckEdges,
    more: "specks softer edged",
    less: "specks sharper edged",
    kind: Kind::Figure(|m| m.speckle_softness),
    ..ROW
};

/// Rings.
pub const RING_FRACTION: Metric = Metric {
    key: "ring_fraction",
    title: "rings",
    decimals: 2,
    allowance: 0.1,
    allowance_share: 0.25,
    why: "one speck in ten is not noticed as another kind",
    meaning: "share of the specks that have a light middle",
    topic: Topic::Rings,
    more: "more specks with a light middle",
    less: "fewer specks with a light middle",
    kind: Kind::Figure(|m| m.ring_fraction),
    ..ROW
};

/// Lines.
pub const LINE_FRACTION: Metric = Metric {
    key: "line_fraction",
    title: "lines",
    direction: Direction::Darker,
    allowance: 0.004,
    allowance_share: 0.5,
    why: "two scratches of 0.4 mm across a sample of 150 mm are 0.005 of it, and seen at once where there were none",
    meaning: "share of the area in cracks, drips and scratches",
    topic: Topic::Lines,
    more: "more lines and scratches",
    less: "fewer lines and scratches",
    kind: Kind::Figure(|m| m.line_fraction),
    ..ROW
};

/// Unevenness.
pub const UNEVENNESS: Metric = Metric {
    key: "unevenness",
    title: "unevenness",
    range: (0.0, 0.6),
    allowance: 0.05,
    allowance_share: 0.5,
    allowance_places: PLACES,
    why: "places that differ by a twentieth are a cloud one looks for; a panel that is uneven itself may be so by half as much again",
    meaning: "how far the loss differs from place to place, each a quarter of the panel wide, beyond chance",
    topic: Topic::Unevenness,
    more: "more uneven from place to place",
    less: "more even from place to place",
    kind: Kind::Figure(|m| m.unevenness),
    ..ROW
};

/// Unevenness of specks.
pub const SPECKLE_UNEVENNESS: Metric = Metric {
    key: "speckle_unevenness",
    title: "unevenness of specks",
    decimals: 2,
    range: (0.0, 5.0),
    allowance: 0.3,
    allowance_share: 0.25,
    allowance_places: CLUMPS,
    why: "as the density itself, which may differ by half; among places somewhat less",
    meaning: "how far the number of specks differs from place to place, beyond chance, over its mean",
    topic: Topic::SpeckUnevenness,
    more: "specks thicker in places",
    less: "specks alike from place to place",
    kind: Kind::Figure(|m| m.speckle_unevenness),
    ..ROW
};

/// Rows of specks.
pub const SPECKLE_ROWS: Metric = Metric {
    key: "speckle_rows",
    title: "rows of specks",
    decimals: 2,
    allowance: 0.3,
    why: "rows that scatter by a quarter of their distance have 0.3, and the eye does not find them",
    meaning: "0 no rows, 1 specks on ruled lines",
    topic: Topic::Rows,
    more: "specks in rows",
    less: "specks less in rows",
    kind: Kind::Figure(|m| m.speckle_rows),
    ..ROW
};

/// Specks on streaks.
pub const SPECKLE_ON_RIDGES: Metric = Metric {
    key: "speckle_on_ridges",
    title: "specks on streaks",
    decimals: 2,
    range: (-5.0, 5.0),
    allowance: 0.5,
    why: "half a deviation: a third of the way from anywhere to the bottom of the troughs",
    meaning: "silver about the specks against the rest: under 0 specks lie where it is thin, above 0 where it is bright",
    topic: Topic::OnRidges,
    more: "specks more on the bright silver",
    less: "specks more where the silver is thin",
    kind: Kind::Figure(|m| m.speckle_on_ridges),
    ..ROW
};

/// Crowding of specks.
pub const CROWDING: Metric = Metric {
    key: "crowding",
    title: "crowding of specks",
    decimals: 2,
    range: (0.0, 9.0),
    allowance: 0.6,
    allowance_places: CLUMPS,
    why: "half as many again on one half as on the other is a gradient of 0.8, and that is seen",
    meaning: "how much denser specks are at one side than at the other, over their mean: 0 alike, 2 none at one side",
    topic: Topic::Crowding,
    more: "specks crowded to one side",
    less: "specks less crowded to one side",
    kind: Kind::Figure(|m| m.crowding),
    ..ROW
};
