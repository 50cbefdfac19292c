//! The setting for a wanted measure, read off the curve backwards.
//!
//! Of the settings tried, the one where the curve comes nearest; and from the least to the greatest at which one new panel may
//! well come out so, those whose 95 % band holds the wanted measure (inverse prediction; Draper & Smith 1998, "Applied
//! Regression Analysis", 3.2).

use super::Effect;

/// Steps in which the settings are gone through; an end is then closed in on between two of them.
const STEPS: usize = 256;
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

pub(super) fn setting(effect: &Effect, wanted: f64) -> Result<Setting, Unreached> {
    if !wanted.is_finite() {
        return Err(Unreached::NotFinite);
    }
    if !effect.is_real() {
        return Err(Unreached::NoEffect);
    }
    let curve = |share: f64| effect.at_share(share).curve.value;
    let holds = |share: f64| {
        let panel = effect.at_share(share).panel;
        (panel.low..=panel.high).contains(&wanted)
    };
    let nearest = nearest(curve, wanted);
    let [low, high] = if let Some(held) = held(holds) {
        [held[0].min(nearest), held[1].max(nearest)]
    } else if holds(nearest) {
        [nearest; 2]
    } else if wanted < curve(nearest) {
        return Err(Unreached::TooLow);
    } else {
        return Err(Unreached::TooHigh);
    };
    Ok(Setting {
        value: effect.setting(nearest),
        measure: curve(nearest),
        low: effect.setting(low),
        high: effect.setting(high),
        less_untried: low <= 0.0,
        more_untried: high >= 1.0,
    })
}

/// The least and the greatest share at which `holds`; `None` where it does at no step.
fn held(holds: impl Fn(f64) -> bool) -> Option<[f64; 2]> {
    let share = |step: usize| step as f64 / STEPS as f64;
    let steps: Vec<usize> = (0..=STEPS).filter(|step| holds(share(*step))).collect();
    let (first, last) = (*steps.first()?, *steps.last()?);
    let low = match first.checked_sub(1) {
        Some(before) => close_in(share(before), share(first), &holds),
        None => 0.0,
    };
    let high = if last < STEPS {
        close_in(share(last + 1), share(last), &holds)
    } else {
        1.0
    };
    Some([low, high])
}

/// Where a curve that never turns back comes nearest to `wanted`, 0 to 1.
fn nearest(curve: impl Fn(f64) -> f64, wanted: f64) -> f64 {
    let up = curve(1.0) > curve(0.0);
    let short = |u: f64| (curve(u) < wanted) == up;
    if !short(0.0) {
        0.0
    } else if short(1.0) {
        1.0
    } else {
        close_in(0.0, 1.0, |u| !short(u))
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
