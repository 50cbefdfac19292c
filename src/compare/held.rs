//! What a panel may read beside a sample, measure by measure: what the studio's terms come to.

use super::terms::{Allowed, Sampled, Terms};
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{Metric, Rule, Topic, figures};
use crate::units::Estimate;

/// How far a measure of a panel may differ from the sample's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// The measure.
    pub metric: &'static Metric,
    /// The sample's figure.
    pub sample: Estimate,
    /// How far it may differ.
    pub allowed: Allowed,
}

impl Held {
    /// The least and the most that a panel may read, in the measure's own unit and as far as it goes.
    #[must_use]
    pub fn may_read(&self) -> [f64; 2] {
        let Allowed { less, more, .. } = self.allowed;
        let value = self.sample.value;
        let [least, most] = match self.metric.rule {
            Rule::Ratio => [value * (-less).exp(), value * more.exp()],
            Rule::Difference => [value - less, value + more],
            // An angle may go past where it comes round again.
            Rule::Axial | Rule::Circular => return [value - less, value + more],
        };
        let (lowest, highest) = self.metric.range;
        [least, most].map(|v| v.clamp(lowest, highest))
    }
}

impl Terms<'_> {
    /// How far each measure of a panel may differ from a sample that is read as this one; without those that the sample has no
    /// figure of. The size of clouds is left out: it decides nothing where the textures agree.
    #[must_use]
    pub fn held(&self, sample: &Fingerprint) -> Vec<Held> {
        let m = &sample.measurements;
        let held = |metric: &'static Metric| {
            let own = metric.of(m).ok()?;
            Some(Held {
                metric,
                sample: own,
                allowed: self.allowed(metric, own, &Sampled::of(sample), m.speckle_floor_mm),
            })
        };
        let compared = figures().filter(|metric| metric.topic != Topic::Clouds);
        compared.filter_map(held).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::drawn::even;
    use super::super::terms::AllowanceSource;
    use super::*;
    use crate::fingerprint::metric::COVERAGE;

    #[test]
    fn a_panel_may_read_as_far_as_the_allowance_goes_and_no_further_than_the_measure() {
        let held = |metric: &'static Metric, value: f64, less: f64, more: f64| {
            let sample = Estimate {
                value,
                low: value,
                high: value,
            };
            let source = AllowanceSource::Own;
            let allowed = Allowed { less, more, source };
            Held {
                metric,
                sample,
                allowed,
            }
            .may_read()
        };
        let near = |found: [f64; 2], wanted: [f64; 2]| {
            found.iter().zip(wanted).all(|(f, w)| (f - w).abs() < 1e-9)
        };
        assert!(near(held(&COVERAGE, 0.8, 0.04, 0.02), [0.76, 0.82]));
        assert!(near(held(&COVERAGE, 0.99, 0.04, 0.04), [0.95, 1.0]));
        let number = figures().find(|metric| metric.rule == Rule::Ratio).unwrap();
        let half_as_many_again = 1.5_f64.ln();
        let found = held(number, 3.0, half_as_many_again, half_as_many_again);
        assert!(near(found, [2.0, 4.5]), "{found:?}");
    }

    #[test]
    fn every_figure_of_the_sample_that_decides_is_held() {
        let sample = even(0.8);
        let held = Terms::default().held(&sample);
        assert!(held.iter().any(|held| *held.metric == COVERAGE));
        for one in held {
            let [least, most] = one.may_read();
            assert!(least <= one.sample.value && one.sample.value <= most);
        }
    }
}
