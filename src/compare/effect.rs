//! What a setting of the studio's did to a measure, from its own kept panels.
//!
//! Only panels that were read alike are set beside each other; the most of a kind are taken, and the rest are counted. What was
//! kept several times from one photo is one panel, and the latest kept of them counts. One change at a time: what else was not
//! the same on these panels is named, for then nobody can tell which of them did it. A text that some recipes leave out is not
//! taken for another; a figure that some leave out is named apart, for nobody knows what it was there.

use std::collections::{BTreeMap, BTreeSet};

use super::side::Side;
use crate::error::{Error, Result};
use crate::fingerprint::look::Look;
use crate::fingerprint::metric::{Metric, Rule};
use crate::stats::NINETY_FIVE;
use crate::stats::effect::{Effect, Setting, Unknown, Unreached};
use crate::stats::next::{Next, Piece, Step};
use crate::stats::order::quantile;
use crate::units::SizeMm;

/// Starts the dealing that tells an effect from chance.
const SEED: u64 = 1;

/// Settings that differ by less than this share of the larger are the same: a clock is not read more finely.
const SAME: f64 = 0.02;

/// A kept panel and what its recipe says.
#[derive(Debug, Clone)]
pub struct Made<'a> {
    /// Its name and its reading.
    pub side: Side<'a>,
    /// The figures by name.
    pub settings: BTreeMap<String, Figure>,
    /// What is said in words.
    pub told: BTreeMap<Told, String>,
}

/// A figure of a recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// How much.
    pub value: f64,
    /// Of what; empty where it has no unit.
    pub unit: String,
}

/// What a recipe says in words that may change the look.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Told {
    /// The technique.
    Technique,
    /// What is behind the silver.
    Backing,
    /// Whether the sheet was rocked or lay still in a step.
    Motion(String),
    /// How a step was dried.
    Dried(String),
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
    /// Its standard error, from the reading's own interval.
    pub error: f64,
    /// The panel's area, cm².
    pub area_cm2: f64,
}

/// What is asked of a setting.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// Its name in the recipes.
    pub setting: &'a str,
    /// How far beyond what was tried a next piece may go.
    pub step: Step,
    /// What the measure is wanted to be.
    pub near: Option<f64>,
    /// The size of the pieces at hand; none is as large as the panels so far.
    pub offcut: Option<SizeMm>,
}

/// Something else that was not the same on the panels that count.
#[derive(Debug, Clone, PartialEq)]
pub enum Also {
    /// A figure.
    Figure(Spread),
    /// An amount that was counted in several units.
    Units(String, BTreeSet<String>),
    /// What was said of it in words.
    Told(Told),
}

impl Also {
    /// What it is called in the recipes.
    #[must_use]
    pub fn key(&self) -> String {
        match self {
            Also::Figure(spread) => spread.name.clone(),
            Also::Units(name, _) => name.clone(),
            Also::Told(Told::Technique) => "technique".to_owned(),
            Also::Told(Told::Backing) => "backing".to_owned(),
            Also::Told(Told::Motion(step)) => format!("{step} motion"),
            Also::Told(Told::Dried(step)) => format!("{step} dried"),
        }
    }
}

/// The figures that several recipes say for one setting.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    /// Its name.
    pub name: String,
    /// The least and the greatest of it.
    pub ends: [f64; 2],
    /// Of what.
    pub unit: String,
    /// Only some of the panels have it.
    pub on_some: bool,
}

/// What was found.
#[derive(Debug, Clone)]
pub struct SettingEffect {
    /// The measure.
    pub metric: &'static Metric,
    /// The panels that count, by setting.
    pub points: Vec<Point>,
    /// Panels with the setting that were read otherwise than these, or do not show the measure.
    pub left_out: usize,
    /// Those that were kept from the same photo as a later one that counts.
    pub same_photo: usize,
    /// The effect, or why nothing can be said of it.
    pub effect: Result<Effect, Unknown>,
    /// What else changed.
    pub also: Vec<Also>,
    /// Other settings that are the same wherever they are said, but are said on some of the panels only.
    pub on_some: Vec<Spread>,
    /// The setting for a wanted measure, where one was asked for.
    pub near: Option<(f64, Result<Setting, Unreached>)>,
    /// What to try next; none where no panel counts yet.
    pub next: Option<Next>,
}

/// The effect of a setting on a measure, from panels in the order in which they were kept.
///
/// # Errors
/// The measure is a direction.
pub fn effect(
    metric: &'static Metric,
    asked: &Asked<'_>,
    made: &[Made<'_>],
) -> Result<SettingEffect> {
    let Asked { setting, near, .. } = *asked;
    if matches!(metric.rule, Rule::Axial | Rule::Circular) {
        return Err(Error::EffectOfDirection { key: metric.key });
    }
    let kind = |m: &Made<'_>| Look::kind_of(m.side.fingerprint);
    let point = |m: &Made<'_>| {
        let measure = metric.of(&m.side.fingerprint.measurements).ok()?;
        Some(Point {
            name: m.side.name.to_owned(),
            setting: m.settings.get(setting)?.value,
            measure: measure.value,
            error: (measure.high - measure.low) / (2.0 * NINETY_FIVE),
            area_cm2: m.side.fingerprint.provenance.placement.size.area_cm2(),
        })
    };
    let with = || made.iter().filter(|m| m.settings.contains_key(setting));
    let mut counted = BTreeSet::new();
    let kinds = with().map(|m| (photo(m), kind(m)));
    let kinds = kinds.filter(|one| counted.insert(one.clone()));
    let commonest = most(kinds.map(|(_, kind)| kind).collect());
    let alike = with().filter(|m| Some(kind(m)) == commonest);
    let shown: Vec<(&Made<'_>, Point)> = alike.filter_map(|m| Some((m, point(m)?))).collect();
    let (left_out, all) = (with().count() - shown.len(), shown.len());
    // The latest of those from one photo.
    let mut photos = BTreeSet::new();
    let latest = shown
        .into_iter()
        .rev()
        .filter(|(m, _)| photos.insert(photo(m)));
    let (alike, mut points): (Vec<&Made<'_>>, Vec<Point>) = latest.unzip();
    points.sort_by(|a, b| a.setting.total_cmp(&b.setting).then(a.name.cmp(&b.name)));
    let figures: Vec<[f64; 2]> = points.iter().map(|p| [p.setting, p.measure]).collect();
    let effect = Effect::from_panels(&figures, SEED);
    let (also, on_some) = also_changed(setting, &alike);
    Ok(SettingEffect {
        metric,
        left_out,
        same_photo: all - points.len(),
        also,
        on_some,
        near: near
            .zip(effect.as_ref().ok())
            .map(|(wanted, effect)| (wanted, effect.setting_for(wanted))),
        next: next(&points, asked),
        points,
        effect,
    })
}

/// What to try next after these panels. A smaller piece shows less of the finish: the variance of what its reading says grows as its
/// area shrinks.
fn next(points: &[Point], asked: &Asked<'_>) -> Option<Next> {
    let pieces: Vec<Piece> = points.iter().map(Piece::from).collect();
    let of_piece = |p: &Point| {
        let area = asked.offcut.map_or(p.area_cm2, SizeMm::area_cm2);
        p.error * (p.area_cm2 / area).sqrt()
    };
    let mut errors: Vec<f64> = points.iter().map(of_piece).collect();
    let error = quantile(&mut errors, 0.5)?;
    Next::after(&pieces, asked.step, asked.near, error)
}

impl From<&Point> for Piece {
    fn from(point: &Point) -> Self {
        Piece {
            setting: point.setting,
            measure: point.measure,
            error: point.error,
        }
    }
}

/// Digest of the photo that a panel was read from.
fn photo<'a>(made: &Made<'a>) -> &'a str {
    &made.side.fingerprint.provenance.photo_digest
}

/// The value that occurs most often, the first of several.
fn most(values: Vec<String>) -> Option<String> {
    let mut counts = BTreeMap::new();
    for value in &values {
        *counts.entry(value.clone()).or_insert(0) += 1;
    }
    // Of equals the last would be taken.
    values.into_iter().rev().max_by_key(|value| counts[value])
}

/// What else is not the same on all panels, and the settings that only some of them have.
fn also_changed(setting: &str, alike: &[&Made<'_>]) -> (Vec<Also>, Vec<Spread>) {
    let mut figures: BTreeMap<&str, Vec<&Figure>> = BTreeMap::new();
    for (name, figure) in alike.iter().flat_map(|m| &m.settings) {
        figures.entry(name).or_default().push(figure);
    }
    figures.remove(setting);
    let (mut also, mut on_some) = (Vec::new(), Vec::new());
    for (name, all) in figures {
        let units: BTreeSet<String> = all.iter().map(|f| f.unit.clone()).collect();
        if units.len() > 1 {
            also.push(Also::Units(name.to_owned(), units));
            continue;
        }
        let values = all.iter().map(|f| f.value);
        let least = values.clone().fold(f64::INFINITY, f64::min);
        let greatest = values.fold(f64::NEG_INFINITY, f64::max);
        let spread = Spread {
            name: name.to_owned(),
            ends: [least, greatest],
            unit: units.into_iter().next().unwrap_or_default(),
            on_some: all.len() < alike.len(),
        };
        if greatest - least > SAME * greatest.abs().max(least.abs()) {
            also.push(Also::Figure(spread));
        } else if spread.on_some {
            on_some.push(spread);
        }
    }
    let mut told: BTreeMap<&Told, BTreeSet<String>> = BTreeMap::new();
    for (what, says) in alike.iter().flat_map(|m| &m.told) {
        told.entry(what).or_default().insert(says.to_lowercase());
    }
    let differing = told.into_iter().filter(|(_, all)| all.len() > 1);
    also.extend(differing.map(|(what, _)| Also::Told(what.clone())));
    (also, on_some)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_commonest_kind_is_taken_and_of_equals_the_first() {
        let of = |all: &[&str]| most(all.iter().map(|s| (*s).to_owned()).collect()).unwrap();
        assert_eq!(of(&["a", "b", "b"]), "b");
        assert_eq!(of(&["a", "b"]), "a");
        assert_eq!(most(Vec::new()), None);
    }
}
