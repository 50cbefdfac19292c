//! What a setting of the studio's did to a measure, from its own kept panels.
//!
//! Only panels that were read alike are set beside each other; the most of a kind are taken, and the rest are counted. One
//! change at a time: a setting that also changed from panel to panel is named, for then nobody can tell which of them did it.

use std::collections::BTreeMap;

use super::verdict::Side;
use crate::error::{Error, Result};
use crate::fingerprint::look::Look;
use crate::fingerprint::metric::{Metric, Rule};
use crate::stats::effect::{Effect, Setting, Unknown, Unreached};

/// Starts the dealing that tells an effect from chance.
const SEED: u64 = 1;

/// Settings that differ by less than this share of the larger are the same: a clock is not read more finely.
const SAME: f64 = 0.02;

/// A kept panel and the settings it was made with.
#[derive(Debug, Clone)]
pub struct Made<'a> {
    /// Its name and its reading.
    pub side: Side<'a>,
    /// The settings of its recipe by name.
    pub settings: BTreeMap<String, f64>,
}

/// A panel that counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Its name.
    pub name: String,
    /// The setting.
    pub setting: f64,
    /// The measure.
    pub measure: f64,
}

/// Another setting that changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Also {
    /// Its name.
    pub name: String,
    /// The least and the greatest of it.
    pub ends: [f64; 2],
    /// Only some of the panels have it.
    pub on_some: bool,
}

impl Also {
    /// It is not the same on all that have it.
    fn changed(&self) -> bool {
        let [least, greatest] = self.ends;
        greatest - least > SAME * greatest.abs().max(least.abs())
    }
}

/// What was found.
#[derive(Debug, Clone)]
pub struct Found {
    /// The measure.
    pub metric: &'static Metric,
    /// The panels that count, by setting.
    pub points: Vec<Point>,
    /// Panels with the setting that were read otherwise than these, or do not show the measure.
    pub left_out: usize,
    /// The effect, or why nothing can be said of it.
    pub effect: Result<Effect, Unknown>,
    /// Other settings that changed as well.
    pub also: Vec<Also>,
    /// The setting for a wanted measure, where one was asked for.
    pub near: Option<(f64, Result<Setting, Unreached>)>,
}

/// The effect of a setting on a measure.
///
/// # Errors
/// The measure is a direction, or no panel has the setting.
pub fn effect(
    metric: &'static Metric,
    setting: &str,
    made: &[Made<'_>],
    near: Option<f64>,
) -> Result<Found> {
    if metric.rule == Rule::Axial {
        return Err(Error::EffectOfDirection { key: metric.key });
    }
    let with: Vec<&Made<'_>> = made
        .iter()
        .filter(|m| m.settings.contains_key(setting))
        .collect();
    if with.is_empty() {
        let known = made.iter().flat_map(|m| m.settings.keys().cloned());
        return Err(Error::NoSuchSetting {
            setting: setting.to_owned(),
            known: known.collect::<std::collections::BTreeSet<String>>(),
        });
    }
    let kind = most(with.iter().map(|m| Look::kind_of(m.side.fingerprint)));
    let counts = |m: &&&Made<'_>| Look::kind_of(m.side.fingerprint) == kind;
    let alike: Vec<&Made<'_>> = with.iter().filter(counts).copied().collect();
    let point = |m: &&Made<'_>| {
        Some(Point {
            name: m.side.name.to_owned(),
            setting: *m.settings.get(setting)?,
            measure: (metric.of)(&m.side.fingerprint.measurements).ok()?.value,
        })
    };
    let mut points: Vec<Point> = alike.iter().filter_map(point).collect();
    points.sort_by(|a, b| a.setting.total_cmp(&b.setting).then(a.name.cmp(&b.name)));
    let figures: Vec<[f64; 2]> = points.iter().map(|p| [p.setting, p.measure]).collect();
    let effect = Effect::of(&figures, SEED);
    Ok(Found {
        metric,
        left_out: with.len() - points.len(),
        also: also_changed(setting, &alike),
        near: near
            .zip(effect.as_ref().ok())
            .map(|(wanted, effect)| (wanted, effect.setting_for(wanted))),
        points,
        effect,
    })
}

/// The value that occurs most often, the first of several.
fn most(values: impl Iterator<Item = String>) -> String {
    let mut counts: Vec<(String, usize)> = Vec::new();
    for value in values {
        match counts.iter_mut().find(|(known, _)| *known == value) {
            Some((_, count)) => *count += 1,
            None => counts.push((value, 1)),
        }
    }
    let most = counts.iter().map(|(_, count)| *count).max();
    counts
        .into_iter()
        .find(|(_, count)| Some(*count) == most)
        .map_or_else(String::new, |(value, _)| value)
}

/// Other settings that are not the same on all panels, or that only some of them have.
fn also_changed(setting: &str, alike: &[&Made<'_>]) -> Vec<Also> {
    let mut found: BTreeMap<&str, (usize, [f64; 2])> = BTreeMap::new();
    for (name, value) in alike.iter().flat_map(|m| &m.settings) {
        let (count, [least, greatest]) = found.entry(name).or_insert((0, [*value; 2]));
        *count += 1;
        *least = least.min(*value);
        *greatest = greatest.max(*value);
    }
    found
        .into_iter()
        .filter(|(name, _)| *name != setting)
        .map(|(name, (count, ends))| Also {
            name: name.to_owned(),
            ends,
            on_some: count < alike.len(),
        })
        .filter(|also| also.on_some || also.changed())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_commonest_kind_is_taken_and_of_equals_the_first() {
        let of = |all: &[&str]| most(all.iter().map(|s| (*s).to_owned()));
        assert_eq!(of(&["a", "b", "b"]), "b");
        assert_eq!(of(&["a", "b"]), "a");
    }
}
