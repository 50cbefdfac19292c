//! The setting for a wanted measure, read off the curve backwards.
//!
//! Of the settings tried, the one where the curve comes nearest; and from the least to the greatest at which one new panel may
//! well come out so, those whose 95 % band holds the wanted measure (inverse prediction; Draper & Smith 1998, "Applied
//! Regression Analysis", 3.2).

use super::Effect;

/// Steps in which the settings are gone through; an end is then closed in on beside one of them.
const STEPS: u32 = 256;
/// Halvings that close in on a place: as many as a double has digits.
const HALVINGS: usize = 52;

/// A setting, and how sure it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setting {
    /// The setting at which the curve comes nearest.
    pub value: f64,
    /// The measure that the curve shows there.
    pub measure: f64,
    /// Least setting at which one panel may well have the wanted measure.
    pub low: f64,
    /// Greatest such setting.
    pub high: f64,
    /// `low` is only the least setting tried: less may do as well.
    pub less_untried: bool,
    /// `high` is only the greatest setting tried: more may do as well.
    pub more_untried: bool,
}

/// Why there is no setting for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unreached {
    /// The measure does not follow the setting.
    NoEffect,
    /// No setting tried brings a panel down to it.
    TooLow,
    /// No setting tried brings a panel up to it.
    TooHigh,
    /// It is not a figure.
    NotFinite,
}

impl Effect {
    /// The setting at which the curve comes nearest to a wanted measure, and those at which one panel may well have it.
    pub fn setting_for(&self, wanted: f64) -> Result<Setting, Unreached> {
        if !wanted.is_finite() {
            return Err(Unreached::NotFinite);
        }
        if !self.is_real() {
            return Err(Unreached::NoEffect);
        }
        let curve = |share: f64| self.at_share(share).curve.value;
        let rises = curve(1.0) > curve(0.0);
        let reaches = |share: f64| (curve(share) < wanted) != rises;
        // A curve never turns back.
        let nearest = if reaches(0.0) {
            0.0
        } else {
            close_in(0.0, 1.0, reaches)
        };
        let holds = |share: f64| {
            let panel = self.at_share(share).panel;
            (panel.low..=panel.high).contains(&wanted)
        };
        let steps = (0..=STEPS).map(|step| f64::from(step) / f64::from(STEPS));
        let held: Vec<f64> = steps
            .chain([nearest])
            .filter(|share| holds(*share))
            .collect();
        if held.is_empty() {
            return Err(if wanted < curve(nearest) {
                Unreached::TooLow
            } else {
                Unreached::TooHigh
            });
        }
        let step = 1.0 / f64::from(STEPS);
        let least = held.iter().copied().fold(nearest, f64::min);
        let greatest = held.iter().copied().fold(nearest, f64::max);
        let low = close_in((least - step).max(0.0), least, holds);
        let high = close_in((greatest + step).min(1.0), greatest, holds);
        Ok(Setting {
            value: self.setting(nearest),
            measure: curve(nearest),
            low: self.setting(low),
            high: self.setting(high),
            less_untried: low <= 0.0,
            more_untried: high >= 1.0,
        })
    }
}

/// The place nearest to `outside` at which `holds`, which it does at `inside`.
fn close_in(mut outside: f64, mut inside: f64, holds: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(outside, inside);
        if holds(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    inside
}
