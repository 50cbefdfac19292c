//! One measure of a panel against the same measure of the sample: within, outside or unsure.
//!
//! Equivalence testing (two one-sided tests; Schuirmann 1987): *within* where the 90 % interval of the difference lies
//! inside the allowance, *outside* where it lies clear of it, *unsure* between. Each test then errs once in twenty.

use super::terms::Allowed;
use crate::fingerprint::Verdict;
use crate::fingerprint::metric::Metric;
use crate::stats::NINETY_OF_NINETY_FIVE;
use crate::units::{Estimate, Measure};

/// One measure of two readings.
#[derive(Debug, Clone, Copy)]
pub struct MeasureMatch {
    /// The measure.
    pub metric: &'static Metric,
    /// The sample's figure.
    pub sample: Measure,
    /// The panel's figure.
    pub panel: Measure,
    /// What can be said of the two; `None` where one of them has no figure, or the two are not compared.
    pub found: Option<Comparison>,
    /// How far it may differ, on the scale of its rule.
    pub allowed: Allowed,
}

/// The difference between two readings of a measure, in the measure's own unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
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
    /// The difference over the allowance: 1 at its edge.
    pub weight: f64,
    /// It lies inside, but what the sample does today, or paint that is still to come, could carry it out.
    pub stays_open: bool,
}

/// What makes two readings differ beside the two finishes, on the scale of the measure's rule.
#[derive(Debug, Clone, Copy, Default)]
pub struct Doubt {
    /// Repeatability limit: a difference up to it is never called real.
    pub limit: f64,
    /// How far two photos of the sample lie apart today.
    pub today: f64,
    /// How far paint that is still to come may lower the difference.
    pub lower: f64,
    /// And raise it.
    pub raise: f64,
}

/// Sets a measure of the panel against the sample's.
#[must_use]
pub fn set_against(
    metric: &'static Metric,
    sample: Measure,
    panel: Measure,
    doubt: Doubt,
    allowed: Allowed,
) -> MeasureMatch {
    let found = match (sample, panel) {
        (Ok(sample), Ok(panel)) => Some(judge(metric, sample, panel, doubt, allowed)),
        _ => None,
    };
    MeasureMatch {
        metric,
        sample,
        panel,
        found,
        allowed,
    }
}

fn judge(
    metric: &Metric,
    sample: Estimate,
    panel: Estimate,
    doubt: Doubt,
    may: Allowed,
) -> Comparison {
    let difference = metric.difference(sample.value, panel.value);
    let (sample_low, sample_high) = metric.arms(sample);
    let (panel_low, panel_high) = metric.arms(panel);
    let low = difference - NINETY_OF_NINETY_FIVE * panel_low.hypot(sample_high) - doubt.lower;
    let high = difference + NINETY_OF_NINETY_FIVE * panel_high.hypot(sample_low) + doubt.raise;
    let real = difference.abs() > doubt.limit.max(doubt.today);
    let allowance = may.towards(difference);
    let verdict = if low >= -may.less && high <= may.more && doubt.today <= allowance {
        Verdict::Within
    } else if real && (low > may.more || high < -may.less) {
        Verdict::Outside
    } else {
        Verdict::Unsure
    };
    let back = |step| metric.step(sample.value, step);
    Comparison {
        difference: back(difference),
        low: back(low),
        high: back(high),
        allowance: back(allowance.copysign(difference)).abs(),
        real,
        verdict,
        weight: difference.abs() / allowance.max(1e-9),
        stays_open: doubt.today > allowance
            || difference - doubt.lower < -may.less.max(-difference)
            || difference + doubt.raise > may.more.max(difference),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::terms::AllowanceSource;
    use crate::fingerprint::Scatter;
    use crate::fingerprint::metric::{COVERAGE, SPECKLE_DENSITY, STREAK_ANGLE};

    fn sure(value: f64, half: f64) -> Measure {
        Ok(Estimate {
            value,
            low: value - half,
            high: value + half,
        })
    }

    fn verdict(row: &'static Metric, sample: Measure, panel: Measure) -> Comparison {
        let start = Allowed::start(row, sample.unwrap().value);
        let found = set_against(row, sample, panel, Doubt::default(), start).found;
        found.unwrap()
    }

    #[test]
    fn the_interval_decides_not_the_figure() {
        // Allowance 0.06.
        let found = verdict(&COVERAGE, sure(0.80, 0.0), sure(0.83, 0.01));
        assert_eq!(found.verdict, Verdict::Within);
        assert!((found.difference - 0.03).abs() < 1e-12);
        assert_eq!(
            verdict(&COVERAGE, sure(0.80, 0.0), sure(0.83, 0.04)).verdict,
            Verdict::Unsure
        );
        assert_eq!(
            verdict(&COVERAGE, sure(0.80, 0.0), sure(0.70, 0.01)).verdict,
            Verdict::Outside
        );
    }

    #[test]
    fn axes_are_compared_round_the_half_turn() {
        let found = verdict(&STREAK_ANGLE, sure(178.0, 1.0), sure(3.0, 1.0));
        assert!((found.difference - 5.0).abs() < 1e-9);
        assert_eq!(found.verdict, Verdict::Within);
    }

    #[test]
    fn twice_the_speckles_is_outside_and_none_against_none_is_within() {
        assert_eq!(
            verdict(&SPECKLE_DENSITY, sure(2.0, 0.1), sure(4.0, 0.2)).verdict,
            Verdict::Outside
        );
        assert_eq!(
            verdict(&SPECKLE_DENSITY, sure(0.0, 0.0), sure(0.0, 0.0)).verdict,
            Verdict::Within
        );
    }

    #[test]
    fn a_difference_under_the_repeatability_limit_is_never_outside() {
        let row = &COVERAGE;
        let own = Allowed::even(0.001, AllowanceSource::Own);
        // So many photos that Student's t hardly widens: s_r 0.01, limit 0.028, and readings without a spread of their own.
        let scatter = Scatter {
            sd: 0.01,
            dof: 1000,
        };
        let read = |value| sure(value, 0.0).map(|e| scatter.widen(row, e));
        for thousandths in 0..60 {
            let panel = 0.8 + (f64::from(thousandths) + 0.5) / 1000.0;
            let doubt = Doubt {
                limit: scatter.limit(),
                ..Doubt::default()
            };
            let found = set_against(row, read(0.8), read(panel), doubt, own);
            let found = found.found.unwrap();
            let outside = found.verdict == Verdict::Outside;
            assert_eq!(outside, panel - 0.8 > 0.028, "{found:?}");
            assert_eq!(found.real, outside);
        }
    }

    #[test]
    fn the_two_sides_may_be_allowed_unlike_much() {
        let row = &COVERAGE;
        let may = Allowed {
            less: 0.2,
            more: 0.02,
            source: AllowanceSource::Limits,
        };
        let verdict = |panel| {
            let found = set_against(
                row,
                sure(0.8, 0.0),
                sure(panel, 0.01),
                Doubt::default(),
                may,
            );
            found.found.unwrap().verdict
        };
        assert_eq!(verdict(0.7), Verdict::Within);
        assert_eq!(verdict(0.85), Verdict::Outside);
    }

    #[test]
    fn what_the_sample_itself_does_today_no_panel_is_blamed_for() {
        let row = &COVERAGE;
        let may = Allowed::even(0.05, AllowanceSource::Own);
        let verdict = |panel, today| {
            let doubt = Doubt {
                today,
                ..Doubt::default()
            };
            let found = set_against(row, sure(0.8, 0.0), sure(panel, 0.0), doubt, may);
            found.found.unwrap().verdict
        };
        assert_eq!(verdict(0.7, 0.08), Verdict::Outside);
        assert_eq!(verdict(0.7, 0.12), Verdict::Unsure);
        assert_eq!(verdict(0.8, 0.02), Verdict::Within);
        assert_eq!(verdict(0.8, 0.06), Verdict::Unsure);
    }

    #[test]
    fn paint_that_is_still_to_come_leaves_a_doubt() {
        let row = &COVERAGE;
        let may = Allowed::even(0.05, AllowanceSource::Own);
        let doubt = Doubt {
            lower: 0.06,
            raise: 0.01,
            ..Doubt::default()
        };
        let verdict = |panel| {
            let found = set_against(row, sure(0.8, 0.0), sure(panel, 0.0), doubt, may);
            found.found.unwrap().verdict
        };
        // It may end within; too dark stays too dark.
        assert_eq!(verdict(0.86), Verdict::Unsure);
        assert_eq!(verdict(0.8), Verdict::Unsure);
        assert_eq!(verdict(0.7), Verdict::Outside);
    }
}
