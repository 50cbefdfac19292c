//! What a panel may differ by: the studio's terms for a sample.
//!
//! The signed light and dark pieces decide where there are any: a panel may go as far as they do. Else the studio's own
//! figures, else the starting ones of the metric table. A finish that is meant to vary may differ by its own variety, where that
//! is more than a starting allowance: so many standard deviations between places a hand wide (50 × 50 mm) on the sample
//! itself, as its interval tells them. What was signed or said it does not widen.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::error::{Error, Result};
use crate::fingerprint::metric::{COVERAGE, Direction, LOOK, Metric, Rule, Topic};
use crate::fingerprint::{Fingerprint, Variety};
use crate::stats::NINETY_FIVE;
use crate::units::Estimate;

use super::floor::at_floor;
use super::side::Side;
use super::unlike::refuse_unlike;

/// The studio's own allowances, measure to allowance, in the terms of the measure's rule.
pub type Allowances = BTreeMap<String, f64>;

/// Area of a place a hand wide, cm².
const HAND_CM2: f64 = 25.0;

/// What the studio says of a sample.
#[derive(Debug, Clone, Default)]
pub struct Terms<'a> {
    /// Its own figures.
    pub own: Allowances,
    /// The lightest piece that was signed.
    pub light: Option<Side<'a>>,
    /// The darkest.
    pub dark: Option<Side<'a>>,
    /// How much the finish is meant to vary.
    pub variety: Option<Variety>,
}

/// Where an allowance comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AllowanceSource {
    /// The signed light and dark pieces.
    Limits,
    /// The studio's own figure.
    Own,
    /// The metric table.
    Start,
}

/// How far a measure may differ, on the scale of its rule, both above 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowed {
    /// How much less the panel may have.
    pub less: f64,
    /// How much more.
    pub more: f64,
    /// Where that comes from.
    pub source: AllowanceSource,
}

impl Allowed {
    /// The same on both sides.
    #[must_use]
    pub fn even(by: f64, source: AllowanceSource) -> Self {
        Allowed {
            less: by,
            more: by,
            source,
        }
    }

    /// The starting allowance beside a sample of this figure.
    #[must_use]
    pub fn start(metric: &Metric, sample: f64) -> Self {
        Allowed::even(metric.start(sample), AllowanceSource::Start)
    }

    /// On the side where a difference lies.
    #[must_use]
    pub fn towards(&self, difference: f64) -> f64 {
        if difference < 0.0 {
            self.less
        } else {
            self.more
        }
    }
}

impl Terms<'_> {
    /// Nothing here is the studio's own.
    #[must_use]
    pub fn only_start(&self) -> bool {
        self.own.is_empty() && self.light.is_none() && self.dark.is_none()
    }

    /// The same without the limit pieces, for panels that are set against each other and not against the sample.
    #[must_use]
    pub fn among_panels(&self) -> Terms<'static> {
        Terms {
            own: self.own.clone(),
            variety: self.variety,
            ..Terms::default()
        }
    }

    /// How far two panels may lie apart as wholes, beside a sample of this figure. The look of a finish that is meant to vary may
    /// differ by as many times more as places on it do.
    pub(super) fn may_differ(&self, whole: &Metric, sample: f64) -> f64 {
        let varies = self.variety.map_or(0.0, Variety::hands_apart);
        let times = if *whole == LOOK { 1.0 + varies } else { 1.0 };
        let own = self.own.get(whole.key).copied();
        own.unwrap_or_else(|| whole.start(sample) * times)
    }

    /// Refuses limit pieces that cannot be set beside the sample, or that lie on the wrong side of it.
    pub(super) fn check(&self, sample: Side<'_>) -> Result<()> {
        for (limit, lighter) in [(self.light, true), (self.dark, false)] {
            if let Some(limit) = limit {
                check_limit(sample, limit, lighter)?;
            }
        }
        Ok(())
    }

    /// What the signed pieces allow. They were signed for how much silver is left: coverage may go as far as they do and no
    /// further. The other measures of loss keep step with it; whatever else the pieces differ in may differ as much, and by no
    /// less than without them.
    fn signed(
        &self,
        base: Allowed,
        metric: &Metric,
        sample: Estimate,
        coverage: f64,
        floor_mm: f64,
    ) -> Allowed {
        let step = |limit: Option<Side<'_>>| -> Option<f64> {
            let limit = at_floor(limit?.fingerprint, metric, floor_mm).ok()?;
            Some(metric.difference(sample.value, limit.value))
        };
        let (less, more) = sides(metric.direction, step(self.light), step(self.dark));
        if less.is_none() && more.is_none() {
            return base;
        }
        let (less, more) = if metric.leads {
            (less.unwrap_or(base.less), more.unwrap_or(base.more))
        } else {
            let (keep_less, keep_more) = match metric.topic {
                Topic::Loss => self.narrowing(metric.direction, coverage),
                _ => (1.0, 1.0),
            };
            let at_least = |piece: Option<f64>, base: f64| piece.unwrap_or(0.0).max(base);
            (
                at_least(less, base.less * keep_less),
                at_least(more, base.more * keep_more),
            )
        };
        Allowed {
            less,
            more,
            source: AllowanceSource::Limits,
        }
    }

    /// By how much the signed pieces narrow what coverage may differ by, 0 to 1, on the sides where a measure of this direction
    /// has less and more.
    fn narrowing(&self, direction: Direction, sample: f64) -> (f64, f64) {
        let of = |side: Side<'_>| {
            side.fingerprint
                .measurements
                .coverage
                .map_or(0.0, |e| e.value)
        };
        let share = |limit: Option<Side<'_>>| {
            let apart = limit.map(|l| (of(l) - sample).abs());
            apart.map_or(1.0, |d| (d / COVERAGE.allowance).min(1.0))
        };
        let (light, dark) = (share(self.light), share(self.dark));
        match direction {
            Direction::Lighter => (dark, light),
            Direction::Darker => (light, dark),
            Direction::Neither => (light.max(dark), light.max(dark)),
        }
    }

    /// How far a measure may differ from the sample's own estimate of it, from a speckle floor up.
    pub(super) fn allowed(
        &self,
        metric: &Metric,
        sample: Estimate,
        of: &Sampled,
        floor_mm: f64,
    ) -> Allowed {
        let base = match self.own.get(metric.key) {
            Some(own) => Allowed::even(own_allowance(metric, *own), AllowanceSource::Own),
            None => Allowed::start(metric, sample.value),
        };
        let allowed = self.signed(base, metric, sample, of.coverage, floor_mm);
        if allowed.source == AllowanceSource::Own
            || (allowed.source == AllowanceSource::Limits && metric.topic == Topic::Loss)
        {
            return allowed;
        }
        let hands = self.variety.map_or(0.0, Variety::hands_apart);
        let own = if allowed.source == AllowanceSource::Start {
            metric.allowance_places
        } else {
            0.0
        };
        let varies = hands.max(own) * between_hands(metric, sample, of.area_cm2);
        Allowed {
            less: allowed.less.max(varies),
            more: allowed.more.max(varies),
            ..allowed
        }
    }
}

/// How far the signed pieces lie from the sample, each on its own side: less and more. One that does not differ on its side
/// says nothing.
fn sides(
    direction: Direction,
    light: Option<f64>,
    dark: Option<f64>,
) -> (Option<f64>, Option<f64>) {
    let (less, more) = match direction {
        Direction::Lighter => (dark.map(|d| -d), light),
        Direction::Darker => (light.map(|d| -d), dark),
        Direction::Neither => {
            let most = light.into_iter().chain(dark).map(f64::abs).reduce(f64::max);
            (most, most)
        }
    };
    (less.filter(|d| *d > 0.0), more.filter(|d| *d > 0.0))
}

/// The studio's own figure on the scale of the rule: it gives a ratio as the share by which it may differ, 0.5 for half as many
/// again.
pub(super) fn own_allowance(metric: &Metric, figure: f64) -> f64 {
    match metric.rule {
        Rule::Ratio => figure.ln_1p(),
        Rule::Difference | Rule::Axial | Rule::Circular => figure,
    }
}

/// Standard deviation between places a hand wide, on the scale of the rule: the standard error of the whole sample, as many
/// times as large as the root of how many hands it holds.
pub(super) fn between_hands(metric: &Metric, sample: Estimate, area_cm2: f64) -> f64 {
    let (below, above) = metric.arms(sample);
    (below + above) / 2.0 / NINETY_FIVE * (area_cm2 / HAND_CM2).max(1.0).sqrt()
}

/// Refuses a limit piece that cannot be set beside the sample, or that does not lie on its side of it.
///
/// # Errors
/// As for [`super::compare`]; a light limit with less silver left than the sample, or a dark one with more.
pub fn check_limit(sample: Side<'_>, limit: Side<'_>, lighter: bool) -> Result<()> {
    refuse_unlike(sample, limit)?;
    let coverage = |side: Side<'_>| {
        side.fingerprint
            .measurements
            .coverage
            .map_or(0.0, |e| e.value)
    };
    let more = coverage(limit) - coverage(sample);
    let on_its_side = if lighter { more > 0.0 } else { more < 0.0 };
    if on_its_side {
        return Ok(());
    }
    Err(Error::LimitOnWrongSide {
        limit: limit.name.to_owned(),
        sample: sample.name.to_owned(),
        wanted: if lighter { "light" } else { "dark" },
        left: COVERAGE.format(coverage(limit)),
        sample_left: COVERAGE.format(coverage(sample)),
    })
}

/// What is to be known of a sample beside the figure of one measure.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sampled {
    /// Area that was measured, cm².
    pub(super) area_cm2: f64,
    /// Silver that is left, 0 to 1.
    pub(super) coverage: f64,
}

impl Sampled {
    /// Of a reading.
    pub(super) fn of(fingerprint: &Fingerprint) -> Self {
        let m = &fingerprint.measurements;
        Sampled {
            area_cm2: m.area_cm2,
            coverage: m.coverage.map_or(0.0, |e| e.value),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: f64, b: f64) -> bool {
        (a - b).abs() < 1e-9
    }

    #[test]
    fn each_signed_piece_speaks_for_its_own_side_only() {
        assert_eq!(
            sides(Direction::Lighter, Some(0.03), Some(-0.09)),
            (Some(0.09), Some(0.03))
        );
        // Of specks the dark piece has more.
        assert_eq!(
            sides(Direction::Darker, Some(-0.2), Some(0.3)),
            (Some(0.2), Some(0.3))
        );
        assert_eq!(sides(Direction::Lighter, Some(-0.01), None), (None, None));
        assert_eq!(
            sides(Direction::Neither, Some(-0.2), Some(0.01)),
            (Some(0.2), Some(0.2))
        );
    }

    #[test]
    fn a_random_finish_may_differ_by_its_own_variety() {
        let row = &COVERAGE;
        let sample = Estimate {
            value: 0.8,
            low: 0.7,
            high: 0.9,
        };
        let of = Sampled {
            area_cm2: 225.0,
            coverage: 0.8,
        };
        // Half-width 0.1 on 225 cm², nine hands: 0.051 × 3 between hands, twice that for a random finish.
        let allowed = |variety| {
            Terms {
                variety,
                ..Terms::default()
            }
            .allowed(row, sample, &of, 0.4)
        };
        assert!(near(allowed(None).less, row.start(0.8)));
        assert!(near(
            allowed(Some(Variety::Random)).less,
            2.0 * 0.1 / NINETY_FIVE * 3.0
        ));
        assert!(near(allowed(Some(Variety::Uniform)).more, row.start(0.8)));
    }
}
