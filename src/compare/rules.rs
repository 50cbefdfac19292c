//! One measure of a panel against the same measure of the sample: within, outside or unsure.
//!
//! Equivalence testing (two one-sided tests; Schuirmann 1987): *within* where the 90 % interval of the difference lies
//! inside the allowance, *outside* where it lies clear of it, *unsure* between. Each test then errs once in twenty.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::fingerprint::metric::{Metric, Rule};
use crate::units::{Estimate, Measure, axial_difference};

/// Half-width of a 90 % interval over that of a 95 % one, normal errors: 1.644854 / 1.959964.
const NINETY_OF_NINETY_FIVE: f64 = 0.839_227;

/// Added to both sides of a ratio of densities, speckles per cm²: between none and this few nobody sees a difference.
const FEW_PER_CM2: f64 = 0.1;

/// Inside the allowance, clear of it, or neither for sure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The whole interval is inside.
    Within,
    /// The whole interval is clear of it.
    Outside,
    /// Too close to call.
    Unsure,
}

/// One measure of two readings.
#[derive(Debug, Clone, Copy)]
pub struct MeasureMatch {
    /// The measure.
    pub metric: &'static Metric,
    /// The sample's figure.
    pub sample: Measure,
    /// The panel's figure.
    pub panel: Measure,
    /// What can be said of the two; `None` where one of them has no figure.
    pub found: Option<Found>,
}

/// The difference between two readings of a measure, in the measure's own unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// Panel less sample.
    pub difference: f64,
    /// Lower end of the 90 % interval of the difference.
    pub low: f64,
    /// Upper end of it.
    pub high: f64,
    /// How far it may go on the side where it lies.
    pub allowance: f64,
    /// What follows.
    pub verdict: Verdict,
}

/// The studio's own allowances, measure to allowance, in the terms of the measure's rule.
pub type Allowances = BTreeMap<String, f64>;

/// Sets a measure of the panel against the sample's.
#[must_use]
pub fn set_against(
    metric: &'static Metric,
    sample: Measure,
    panel: Measure,
    own: &Allowances,
) -> MeasureMatch {
    let allowance = own.get(metric.key).copied();
    let found = match (sample, panel) {
        (Ok(sample), Ok(panel)) => Some(judge(metric, sample, panel, allowance)),
        _ => None,
    };
    MeasureMatch {
        metric,
        sample,
        panel,
        found,
    }
}

fn judge(metric: &Metric, sample: Estimate, panel: Estimate, own: Option<f64>) -> Found {
    // The figure on the scale of its rule, and the way back from a difference there to one in the measure's unit.
    let offset = if metric.key == "speckle_density" {
        FEW_PER_CM2
    } else {
        0.0
    };
    let scale = |v: f64| match metric.rule {
        Rule::Ratio => (v + offset).max(1e-6).ln(),
        Rule::Difference | Rule::Axial => v,
    };
    let back = |d: f64| match metric.rule {
        Rule::Ratio => (sample.value + offset) * d.exp_m1(),
        Rule::Difference | Rule::Axial => d,
    };
    let difference = match metric.rule {
        Rule::Axial => axial_difference(sample.value, panel.value),
        Rule::Difference | Rule::Ratio => scale(panel.value) - scale(sample.value),
    };
    let (sample_low, sample_high) = arms(sample, scale);
    let (panel_low, panel_high) = arms(panel, scale);
    let low = difference - NINETY_OF_NINETY_FIVE * panel_low.hypot(sample_high);
    let high = difference + NINETY_OF_NINETY_FIVE * panel_high.hypot(sample_low);
    // The studio gives a ratio as the share by which it may differ: 0.5 for half as many again.
    let allowance = match (own, metric.rule) {
        (Some(share), Rule::Ratio) => share.ln_1p(),
        (Some(own), Rule::Difference | Rule::Axial) => own,
        (None, _) => metric.allowance,
    };
    let verdict = if low >= -allowance && high <= allowance {
        Verdict::Within
    } else if low > allowance || high < -allowance {
        Verdict::Outside
    } else {
        Verdict::Unsure
    };
    Found {
        difference: back(difference),
        low: back(low),
        high: back(high),
        allowance: back(allowance.copysign(difference)).abs(),
        verdict,
    }
}

/// Arms of an interval below and above its value, on the scale of the rule.
fn arms(e: Estimate, scale: impl Fn(f64) -> f64) -> (f64, f64) {
    let arm = |a: f64, b: f64| (scale(b.max(a)) - scale(a)).max(0.0);
    (arm(e.low.min(e.value), e.value), arm(e.value, e.high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingerprint::metric::metric;

    fn sure(value: f64, half: f64) -> Measure {
        Ok(Estimate {
            value,
            low: value - half,
            high: value + half,
        })
    }

    fn verdict(key: &str, sample: Measure, panel: Measure) -> Found {
        let m = set_against(metric(key).unwrap(), sample, panel, &Allowances::new());
        m.found.unwrap()
    }

    #[test]
    fn the_interval_decides_not_the_figure() {
        // Allowance 0.05.
        let found = verdict("coverage", sure(0.80, 0.0), sure(0.83, 0.01));
        assert_eq!(found.verdict, Verdict::Within);
        assert!((found.difference - 0.03).abs() < 1e-12);
        assert_eq!(
            verdict("coverage", sure(0.80, 0.0), sure(0.83, 0.04)).verdict,
            Verdict::Unsure
        );
        assert_eq!(
            verdict("coverage", sure(0.80, 0.0), sure(0.70, 0.01)).verdict,
            Verdict::Outside
        );
    }

    #[test]
    fn axes_are_compared_round_the_half_turn() {
        let found = verdict("streak_angle", sure(178.0, 1.0), sure(3.0, 1.0));
        assert!((found.difference - 5.0).abs() < 1e-9);
        assert_eq!(found.verdict, Verdict::Within);
    }

    #[test]
    fn twice_the_speckles_is_outside_and_none_against_none_is_within() {
        assert_eq!(
            verdict("speckle_density", sure(2.0, 0.1), sure(4.0, 0.2)).verdict,
            Verdict::Outside
        );
        assert_eq!(
            verdict("speckle_density", sure(0.0, 0.0), sure(0.0, 0.0)).verdict,
            Verdict::Within
        );
    }

    #[test]
    fn the_studios_own_allowance_takes_the_place_of_the_start() {
        let own = Allowances::from([("coverage".to_owned(), 0.2)]);
        let m = set_against(
            metric("coverage").unwrap(),
            sure(0.8, 0.0),
            sure(0.7, 0.01),
            &own,
        );
        assert_eq!(m.found.unwrap().verdict, Verdict::Within);
    }
}
