//! One measure of a panel against the same measure of the sample: within, outside or unsure.
//!
//! Equivalence testing (two one-sided tests; Schuirmann 1987): *within* where the 90 % interval of the difference lies
//! inside the allowance, *outside* where it lies clear of it, *unsure* between. Each test then errs once in twenty.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::fingerprint::metric::{Metric, Rule};
use crate::units::{Estimate, Measure};

/// Half-width of a 90 % interval over that of a 95 % one, normal errors: 1.644854 / 1.959964.
const NINETY_OF_NINETY_FIVE: f64 = 0.839_227;

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
    /// It is over what two readings of one panel may differ by in the rig, where that is known.
    pub real: bool,
    /// What follows.
    pub verdict: Verdict,
}

/// The studio's own allowances, measure to allowance, in the terms of the measure's rule.
pub type Allowances = BTreeMap<String, f64>;

/// Sets a measure of the panel against the sample's. A difference up to the repeatability `limit`, on the scale of the
/// measure's rule, is never called real.
#[must_use]
pub fn set_against(
    metric: &'static Metric,
    sample: Measure,
    panel: Measure,
    limit: f64,
    own: &Allowances,
) -> MeasureMatch {
    let allowance = own.get(metric.key).copied();
    let found = match (sample, panel) {
        (Ok(sample), Ok(panel)) => Some(judge(metric, sample, panel, limit, allowance)),
        _ => None,
    };
    MeasureMatch {
        metric,
        sample,
        panel,
        found,
    }
}

fn judge(
    metric: &Metric,
    sample: Estimate,
    panel: Estimate,
    limit: f64,
    own: Option<f64>,
) -> Found {
    let difference = metric.difference(sample.value, panel.value);
    let (sample_low, sample_high) = metric.arms(sample);
    let (panel_low, panel_high) = metric.arms(panel);
    let low = difference - NINETY_OF_NINETY_FIVE * panel_low.hypot(sample_high);
    let high = difference + NINETY_OF_NINETY_FIVE * panel_high.hypot(sample_low);
    let back = |step| metric.step(sample.value, step);
    let real = difference.abs() > limit;
    // The studio gives a ratio as the share by which it may differ: 0.5 for half as many again.
    let allowance = match (own, metric.rule) {
        (Some(share), Rule::Ratio) => share.ln_1p(),
        (Some(own), Rule::Difference | Rule::Axial) => own,
        (None, _) => metric.allowance,
    };
    let verdict = if low >= -allowance && high <= allowance {
        Verdict::Within
    } else if real && (low > allowance || high < -allowance) {
        Verdict::Outside
    } else {
        Verdict::Unsure
    };
    Found {
        difference: back(difference),
        low: back(low),
        high: back(high),
        allowance: back(allowance.copysign(difference)).abs(),
        real,
        verdict,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingerprint::Scatter;
    use crate::fingerprint::metric::metric;

    fn sure(value: f64, half: f64) -> Measure {
        Ok(Estimate {
            value,
            low: value - half,
            high: value + half,
        })
    }

    fn verdict(key: &str, sample: Measure, panel: Measure) -> Found {
        let m = set_against(metric(key).unwrap(), sample, panel, 0.0, &Allowances::new());
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
    fn a_difference_under_the_repeatability_limit_is_never_outside() {
        let row = metric("coverage").unwrap();
        let own = Allowances::from([("coverage".to_owned(), 0.001)]);
        // So many photos that Student's t hardly widens: s_r 0.01, limit 0.028, and readings without a spread of their own.
        let scatter = Scatter {
            sd: 0.01,
            dof: 1000,
        };
        let read = |value| sure(value, 0.0).map(|e| scatter.widen(row, e));
        for thousandths in 0..60 {
            let panel = 0.8 + (f64::from(thousandths) + 0.5) / 1000.0;
            let found = set_against(row, read(0.8), read(panel), scatter.limit(), &own);
            let found = found.found.unwrap();
            let outside = found.verdict == Verdict::Outside;
            assert_eq!(outside, panel - 0.8 > 0.028, "{found:?}");
            assert_eq!(found.real, outside);
        }
    }

    #[test]
    fn the_studios_own_allowance_takes_the_place_of_the_start() {
        let own = Allowances::from([("coverage".to_owned(), 0.2)]);
        let m = set_against(
            metric("coverage").unwrap(),
            sure(0.8, 0.0),
            sure(0.7, 0.01),
            0.0,
            &own,
        );
        assert_eq!(m.found.unwrap().verdict, Verdict::Within);
    }
}
