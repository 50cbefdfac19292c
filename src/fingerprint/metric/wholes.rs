//! The rows of wholes: what a single figure would miss. How the silver levels, the speckle sizes and the streaks' directions are
//! spread, and how much texture there is at each scale.
//!
//! Two distributions are set apart by the area between their cumulative curves (Wasserstein's distance of order one; Villani
//! 2009, "Optimal transport", ch. 6), less the distance of their means, which the measures already tell: what is left is how
//! unlike they are in form. Chance alone sets two of them apart by about 0.8 of the standard error of their curves (the mean
//! of |N(0, 1)|), of which the mean takes up most. Texture is the root of the variance that lies between two blurs, in
//! points of aggressiveness.

use std::f64::consts::PI;

use super::{
    AGGRESSIVENESS, CLEAR_FRACTION, COVERAGE, DARK_FRACTION, Direction, Kind, Metric, ROW, Topic,
};
use crate::fingerprint::{Fingerprint, apart};
use crate::measure::aggressiveness::{FINE_MM, MIDDLE_MM, texture as texture_between};
use crate::measure::texture::OF_LEVEL;
use crate::measure::{Measurements, ROSE_BINS, SILVER_BINS};
use crate::stats::{NINETY_FIVE, NINETY_OF_NINETY_FIVE};
use crate::units::{Measure, axial_difference};

/// How far apart two panels are, in the row's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WholeDistance {
    /// Panel less sample; of forms how far apart they are, 0 or more.
    pub difference: f64,
    /// Ends of its 90 % interval.
    pub ends: [f64; 2],
    /// The sample's own figure where there is one, else 0.
    pub sample: f64,
}

impl WholeDistance {
    /// With an interval of so much to either side.
    fn give_or_take(difference: f64, chance: f64, sample: f64) -> Self {
        WholeDistance {
            difference,
            ends: [difference - chance, difference + chance],
            sample,
        }
    }
}

/// The look as a whole: whatever of it no figure names.
pub const LOOK: Metric = Metric {
    key: "look",
    title: "the look as a whole",
    decimals: 2,
    range: (0.0, 1000.0),
    allowance: 0.16,
    why: "chosen on painted finishes and on open photographs of textures: panels of one finish seldom lie over it, unlike textures hardly under it; no source",
    meaning: "how far apart the places of two panels lie in their texture and colour: 0 the same finish, 1 as far as two places of one panel",
    topic: Topic::Look,
    more: "another look on the whole",
    less: "another look on the whole",
    kind: Kind::Whole(|a, b, _| look(a, b)),
    ..ROW
};

/// How the silver is spread between clear and dark.
pub const SILVER_LEVELS: Metric = Metric {
    key: "silver_levels",
    title: "spread of silver levels",
    allowance: 0.03,
    why: "chosen, no source; half of what silver left may differ by",
    meaning: "how unlike the shares of clear, veiled and dark silver are spread",
    topic: Topic::Levels,
    more: "silver otherwise spread between clear and veiled",
    less: "silver otherwise spread between clear and veiled",
    kind: Kind::Whole(|a, b, _| silver_levels(&a.measurements, &b.measurements)),
    ..ROW
};

/// How many small specks there are for each large one.
pub const SPECKLE_SIZES: Metric = Metric {
    key: "speckle_sizes",
    title: "mix of speckle sizes",
    decimals: 2,
    range: (0.0, 10.0),
    allowance: 0.10,
    why: "chosen, no source; specks on average a tenth larger or smaller beyond what their middle size tells",
    meaning: "how unlike small and large specks are mixed",
    topic: Topic::SpeckSize,
    more: "another mix of small and large specks",
    less: "another mix of small and large specks",
    kind: Kind::Whole(|a, b, floor_mm| speckle_sizes(&a.measurements, &b.measurements, floor_mm)),
    ..ROW
};

/// How the streaks are spread about their direction.
pub const STREAK_ROSE: Metric = Metric {
    key: "streak_rose",
    title: "directions of streaks",
    unit: "°",
    decimals: 1,
    range: (0.0, 90.0),
    allowance: 8.0,
    why: "chosen, no source; two thirds of what their direction may differ by",
    meaning: "how unlike the streaks spread about their direction",
    topic: Topic::StreakStrength,
    more: "streaks more of one direction",
    less: "streaks less of one direction",
    kind: Kind::Whole(|a, b, _| streak_rose(&a.measurements, &b.measurements)),
    ..ROW
};

/// What the textures have in common: points of aggressiveness, and a share of the sample's.
const TEXTURE: Metric = Metric {
    decimals: 1,
    range: (-100.0, 100.0),
    direction: Direction::Darker,
    allowance: 2.0,
    allowance_share: 0.27,
    why: "chosen on painted panels, no source; panels of one finish differ by less than three quarters of it",
    ..ROW
};

/// Texture that is gone at a blur of a millimetre.
pub const FINE_TEXTURE: Metric = Metric {
    key: "fine_texture",
    title: "fine texture",
    meaning: "what of the loss lies in specks and grain up to 1 mm",
    topic: Topic::FineTexture,
    more: "more fine texture",
    less: "less fine texture",
    kind: Kind::Texture(0.0, FINE_MM),
    ..TEXTURE
};

/// Texture of a few millimetres.
pub const MIDDLE_TEXTURE: Metric = Metric {
    key: "middle_texture",
    title: "middle texture",
    meaning: "what of the loss lies in specks and ridges from 1 to 4 mm",
    topic: Topic::MiddleTexture,
    more: "more texture a few millimetres wide",
    less: "less texture a few millimetres wide",
    kind: Kind::Texture(FINE_MM, MIDDLE_MM),
    ..TEXTURE
};

/// Texture beyond that.
pub const COARSE_TEXTURE: Metric = Metric {
    key: "coarse_texture",
    title: "coarse texture",
    meaning: "what of the loss lies in clouds and blots beyond 4 mm",
    topic: Topic::Clouds,
    more: "cloudier",
    less: "less cloudy",
    kind: Kind::Texture(MIDDLE_MM, f64::INFINITY),
    ..TEXTURE
};

/// What chance leaves of the distance between two curves once that of their means is taken off, as a share of the whole.
const LEFT_BY_CHANCE: f64 = 0.3;

/// Mean of |N(0, 1)|: √(2/π).
const MEAN_ABSOLUTE: f64 = 0.797_885;

/// Fewest speckles that have a form of sizes.
const FEWEST_SPECKLES: f64 = 20.0;

/// Standard deviation that the doubts of two readings' light leave in the difference of their levels: the mean, and the shares of
/// clear, dark and bare silver. Two readings by one kind of reference share the light, and so its doubt.
fn in_doubt(a: &Fingerprint, b: &Fingerprint) -> [f64; OF_LEVEL] {
    if a.provenance.silver_scale == b.provenance.silver_scale {
        return [0.0; OF_LEVEL];
    }
    let of = |f: &Fingerprint, row: &Metric| {
        let under = |light: f64| row.of_levels(&f.measurements, |s| (s / light).min(1.0));
        let by = f.provenance.light_doubt.exp();
        let moved = under(1.0 / by).zip(under(by));
        moved.map_or(0.0, |(dim, bright)| (dim - bright).abs() / 2.0)
    };
    let both = |row: &Metric| of(a, row).hypot(of(b, row));
    // Bare silver is so dark that the light hardly moves its share.
    [
        both(&COVERAGE),
        both(&CLEAR_FRACTION),
        both(&DARK_FRACTION),
        0.0,
    ]
}

fn look(a: &Fingerprint, b: &Fingerprint) -> Option<WholeDistance> {
    let unlit = in_doubt(a, b);
    let [a, b] = [a, b].map(|of| &of.measurements.texture);
    let found = apart::apart_in_doubt(a, b, unlit)?;
    Some(WholeDistance {
        difference: found.distance(),
        ends: found.interval(),
        sample: 0.0,
    })
}

/// Standard error of a measure, taken from its 95 % interval.
fn standard_error(measure: Measure) -> f64 {
    measure.map_or(0.0, |e| (e.high - e.low) / (2.0 * NINETY_FIVE))
}

/// Distance between two distributions over bins of one width, beyond that of their means, and what chance makes of it where
/// each curve is that of so many independent places.
fn forms_apart(a: &[f64], b: &[f64], step: f64, places: [f64; 2]) -> WholeDistance {
    let total = |shares: &[f64]| shares.iter().sum::<f64>().max(1e-12);
    let (whole_a, whole_b) = (total(a), total(b));
    let (mut at_a, mut at_b) = (0.0, 0.0);
    let (mut distance, mut means, mut chance) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        at_a += x / whole_a;
        at_b += y / whole_b;
        distance += (at_a - at_b).abs() * step;
        means += (at_a - at_b) * step;
        let spread = |at: f64, n: f64| (at * (1.0 - at)).max(0.0) / n.max(1.0);
        chance += MEAN_ABSOLUTE * (spread(at_a, places[0]) + spread(at_b, places[1])).sqrt() * step;
    }
    let difference = (distance - f64::abs(means)).max(0.0);
    WholeDistance::give_or_take(difference, LEFT_BY_CHANCE * chance, 0.0)
}

fn silver_levels(a: &Measurements, b: &Measurements) -> Option<WholeDistance> {
    // So many independent places would give the mean its standard error.
    let places = |m: &Measurements| {
        let level = |i: usize| (i as f64 + 0.5) / SILVER_BINS as f64;
        let bins = || m.silver_histogram.iter().enumerate();
        let mean: f64 = bins().map(|(i, share)| share * level(i)).sum();
        let variance: f64 = bins()
            .map(|(i, share)| share * (level(i) - mean).powi(2))
            .sum();
        variance / standard_error(m.coverage).powi(2).max(1e-12)
    };
    let step = 1.0 / SILVER_BINS as f64;
    (a.silver_histogram.len() == b.silver_histogram.len()).then(|| {
        forms_apart(
            &a.silver_histogram,
            &b.silver_histogram,
            step,
            [places(a), places(b)],
        )
    })
}

fn speckle_sizes(a: &Measurements, b: &Measurements, floor_mm: f64) -> Option<WholeDistance> {
    let edges = &a.speckle_sizes.edges_mm;
    if *edges != b.speckle_sizes.edges_mm {
        return None;
    }
    let step = (edges.get(1)? / edges.first()?).ln();
    let counts = [a, b].map(|m| m.speckle_sizes.density_above(floor_mm) * m.area_cm2);
    let bins = |m: &Measurements| m.speckle_sizes.bins_above(floor_mm);
    (counts.iter().all(|n| *n >= FEWEST_SPECKLES))
        .then(|| forms_apart(&bins(a), &bins(b), step, counts))
}

/// Round the half-turn: the cumulative curves may be cut anywhere, and least lies between them about their median gap.
fn streak_rose(a: &Measurements, b: &Measurements) -> Option<WholeDistance> {
    let (axis_a, axis_b) = (a.streak_angle.ok()?, b.streak_angle.ok()?);
    let total = |m: &Measurements| m.streak_rose.iter().sum::<f64>().max(1e-12);
    let (whole_a, whole_b) = (total(a), total(b));
    let mut gap = 0.0;
    let mut gaps: Vec<f64> = Vec::with_capacity(ROSE_BINS);
    for (x, y) in a.streak_rose.iter().zip(&b.streak_rose) {
        gap += x / whole_a - y / whole_b;
        gaps.push(gap);
    }
    let middle = crate::stats::order::median(&mut gaps.clone())?;
    let distance: f64 =
        gaps.iter().map(|g| (g - middle).abs()).sum::<f64>() * 180.0 / ROSE_BINS as f64;
    let turned = axial_difference(axis_a.value, axis_b.value).abs();
    let arm = |e: crate::units::Estimate| (e.high - e.low) / 2.0;
    Some(WholeDistance::give_or_take(
        (distance - turned).max(0.0),
        NINETY_OF_NINETY_FIVE * arm(axis_a).hypot(arm(axis_b)),
        0.0,
    ))
}

/// Texture between two blurs, mm. Its error is that of the whole loss, and what so few large patches leave to chance: the
/// variance of a Gaussian field of blur σ over an area A is off by a share of √(4πσ²/A).
pub(super) fn texture(
    a: &Fingerprint,
    b: &Fingerprint,
    blurs_mm: (f64, f64),
) -> Option<WholeDistance> {
    let [of_a, of_b] = [a, b].map(|f| amplitude(f, blurs_mm));
    let (of_a, of_b) = (of_a?, of_b?);
    Some(WholeDistance::give_or_take(
        of_b.0 - of_a.0,
        1.645 * of_a.1.hypot(of_b.1),
        of_a.0,
    ))
}

/// Texture between two blurs and its standard error, points of aggressiveness.
#[must_use]
pub fn amplitude(f: &Fingerprint, (from_mm, to_mm): (f64, f64)) -> Option<(f64, f64)> {
    let m = &f.measurements;
    let amplitude = texture_between(&m.scales, from_mm, to_mm);
    let whole = m.aggressiveness.ok()?;
    let of_whole = standard_error(m.aggressiveness) / whole.value.max(1e-9);
    // Half of the texture lies below this blur.
    let blur_mm = if to_mm.is_finite() {
        to_mm / 1.5
    } else {
        2.0 * from_mm
    };
    let of_patches = (4.0 * PI * blur_mm * blur_mm / (m.area_cm2 * 100.0)).sqrt() / 2.0;
    let own = amplitude * of_whole.hypot(of_patches);
    // What the rig does not repeat of the whole it does not repeat of a part.
    let rig = f
        .scatter(&AGGRESSIVENESS)
        .map_or(0.0, |s| s.sd * amplitude / whole.value.max(1e-9));
    Some((amplitude, own.hypot(rig)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shift_is_no_other_form_and_two_heaps_for_one_are() {
        let places = [1e9, 1e9];
        let one = [0.0, 0.0, 1.0, 0.0, 0.0, 0.0];
        let moved = [0.0, 0.0, 0.0, 0.0, 1.0, 0.0];
        let two = [0.0, 0.5, 0.0, 0.5, 0.0, 0.0];
        assert!(forms_apart(&one, &moved, 0.1, places).difference < 1e-12);
        // Half of it a step to the left, half a step to the right: one step on the whole.
        assert!((forms_apart(&one, &two, 0.1, places).difference - 0.1).abs() < 1e-12);
    }

    #[test]
    fn few_places_leave_more_to_chance() {
        let spread = [0.25; 4];
        let chance = |n| forms_apart(&spread, &spread, 0.25, [n, n]).ends[1];
        assert!((chance(25.0) / chance(100.0) - 2.0).abs() < 1e-9);
    }
}
