//! The scale on which two readings of a measure are set apart: that of its rule.
//!
//! Readings of counts and sizes differ by shares of themselves, so there the scale is the natural logarithm, and a spread
//! on it is a relative one. Everywhere else it is the measure's own unit; axes and directions differ by the smallest turn.

use super::metric::{Metric, Rule};
use crate::units::{Estimate, axial_difference, circular_difference};

/// The scale of a rule, on the measures it is the rule of.
impl Metric {
    /// A figure on the scale.
    #[must_use]
    pub fn on_scale(&self, value: f64) -> f64 {
        match self.rule {
            Rule::Ratio => (value + self.offset).max(1e-6).ln(),
            Rule::Difference | Rule::Axial | Rule::Circular => value,
        }
    }

    /// The figure that lies there on the scale.
    #[must_use]
    pub fn off_scale(&self, at: f64) -> f64 {
        match self.rule {
            Rule::Ratio => at.exp() - self.offset,
            Rule::Difference | Rule::Axial | Rule::Circular => at,
        }
    }

    /// What a step on the scale is in the measure's own unit, taken from a figure.
    #[must_use]
    pub fn step(&self, from: f64, step: f64) -> f64 {
        match self.rule {
            Rule::Ratio => (from + self.offset) * step.exp_m1(),
            Rule::Difference | Rule::Axial | Rule::Circular => step,
        }
    }

    /// The step on the scale from one figure to another.
    #[must_use]
    pub fn difference(&self, from: f64, to: f64) -> f64 {
        match self.rule {
            Rule::Axial => axial_difference(from, to),
            Rule::Circular => circular_difference(from, to),
            Rule::Difference | Rule::Ratio => self.on_scale(to) - self.on_scale(from),
        }
    }

    /// Arms of an interval below and above its figure, on the scale.
    #[must_use]
    pub fn arms(&self, e: Estimate) -> (f64, f64) {
        let arm = |a: f64, b: f64| (self.on_scale(b.max(a)) - self.on_scale(a)).max(0.0);
        (arm(e.low.min(e.value), e.value), arm(e.value, e.high))
    }

    /// An estimate with its interval cut to the measure's range; axes and directions go round and are not cut.
    #[must_use]
    pub fn possible(&self, e: Estimate) -> Estimate {
        match self.rule {
            Rule::Axial | Rule::Circular => e,
            Rule::Difference | Rule::Ratio => Estimate {
                value: e.value,
                low: e.low.max(self.range.0),
                high: e.high.min(self.range.1),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::metric::{COVERAGE, PATINA_HUE, STREAK_ANGLE, figures};
    use super::*;

    #[test]
    fn a_step_leads_where_the_difference_says() {
        for row in figures() {
            let (from, to) = (0.7, 0.9);
            let step = row.difference(from, to);
            assert!(
                (from + row.step(from, step) - to).abs() < 1e-12,
                "{}",
                row.key
            );
        }
    }

    #[test]
    fn an_interval_shown_leaves_the_range_only_round_the_half_turn() {
        let shown = |row: &Metric, value| {
            let wide = Estimate {
                value,
                low: value - 5.0,
                high: value + 5.0,
            };
            let shown = row.possible(wide);
            [shown.low, shown.high]
        };
        let near = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]) < 1e-12;
        assert!(near(shown(&COVERAGE, 0.8), [0.0, 1.0]));
        assert!(near(shown(&STREAK_ANGLE, 178.0), [173.0, 183.0]));
        assert!(near(shown(&PATINA_HUE, 2.0), [-3.0, 7.0]));
    }
}
