//! What is said of the effect of a setting.

use super::list;
use crate::compare::effect::{Also, Found, Spread, Told};
use crate::stats::effect::{Effect, Setting, Shape, Unknown, Unreached, Unseen};

/// What is asked about: the setting and its unit.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// Its name in the recipes.
    pub setting: &'a str,
    /// Its unit; empty where it has none.
    pub unit: &'a str,
}

impl Asked<'_> {
    /// A setting as it is written: to three figures, for nobody sets more.
    #[must_use]
    pub fn write(&self, value: f64) -> String {
        let decimals = match value.abs() {
            v if v >= 20.0 => 0,
            v if v >= 2.0 => 1,
            _ => 2,
        };
        format!("{value:.decimals$} {}", self.unit)
            .trim_end()
            .to_owned()
    }
}

/// The answer: what more of the setting does, how sure that is, and the setting for what is wanted; then what else changed, and
/// what does not count, as that which another version measured.
#[must_use]
pub fn words(asked: &Asked<'_>, found: &Found, other_version: usize) -> Vec<String> {
    let title = found.metric.title;
    let mut said = match &found.effect {
        Ok(effect) => known(asked, found, effect),
        Err(why) => vec![unknown(asked, title, *why)],
    };
    if let Some((wanted, answer)) = found.near {
        said.push(near(asked, found, wanted, answer));
    }
    said.extend(also(asked, found));
    said.extend(on_some(found));
    if found.left_out > 0 {
        said.push(format!(
            "{} with that setting not counted: read otherwise than the rest, or without {title}.",
            panels(found.left_out)
        ));
    }
    said.extend(same_photo(found.same_photo));
    said.extend(by_another_version(other_version));
    said
}

fn same_photo(count: usize) -> Option<String> {
    match count {
        0 => None,
        1 => Some("One panel with that setting not counted: kept again from the same photo; only the latest kept counts.".to_owned()),
        n => Some(format!(
            "{n} panels with that setting not counted: kept again from the same photos; only the latest kept of each counts."
        )),
    }
}

fn by_another_version(count: usize) -> Option<String> {
    let panels = match count {
        0 => return None,
        1 => "One more panel was".to_owned(),
        n => format!("{n} more panels were"),
    };
    Some(format!(
        "{panels} measured by another version of the measures: paneprint remeasure --all."
    ))
}

/// What the columns of the curve's table hold, beside the setting's.
#[must_use]
pub fn expected(title: &str) -> [String; 3] {
    [
        format!("{title} expected"),
        "one panel, from".to_owned(),
        "to".to_owned(),
    ]
}

/// What the curve's table says.
pub const EXPECTED_KEY: &str =
    "One new panel falls from there to there 95 times in 100, if all else stays as it was.";

fn panels(count: usize) -> String {
    match count {
        1 => "One panel".to_owned(),
        n => format!("{n} panels"),
    }
}

fn known(asked: &Asked<'_>, found: &Found, effect: &Effect) -> Vec<String> {
    let row = found.metric;
    let [least, most] = effect.tried;
    let figure = |v: f64| row.format(v.clamp(row.range.0, row.range.1));
    let ends = effect.at(least).zip(effect.at(most));
    let Some((first, last)) = ends.filter(|_| effect.is_real()) else {
        return vec![format!(
            "In {} kept panels {} does not follow {}: what is seen could be chance ({}).",
            found.points.len(),
            row.title,
            asked.setting,
            chance(effect.chance)
        )];
    };
    let way = if last.curve.value > first.curve.value {
        "more"
    } else {
        "less"
    };
    vec![
        format!(
            "More {} makes {way} {}: about {} at {} and {} at {} ({}).",
            asked.setting,
            row.title,
            figure(first.curve.value),
            asked.write(least),
            figure(last.curve.value),
            asked.write(most),
            shape(effect.shape)
        ),
        format!(
            "Seen in {} kept panels; chance alone would show as much {}. Nothing is known under {} or over {}.",
            found.points.len(),
            chance(effect.chance),
            asked.write(least),
            asked.write(most)
        ),
    ]
}

fn shape(shape: Shape) -> &'static str {
    match shape {
        Shape::Line => "a straight line",
        Shape::Growth => "fast at first, then less and less",
        Shape::Logistic => "little at first, then much, then little again",
    }
}

/// A shape of a curve in a list.
fn shape_name(shape: Shape) -> &'static str {
    match shape {
        Shape::Line => "straight line",
        Shape::Growth => "levels off",
        Shape::Logistic => "levels off at both ends",
    }
}

/// The same in JSON.
#[must_use]
pub fn shape_key(shape: Shape) -> &'static str {
    match shape {
        Shape::Line => "line",
        Shape::Growth => "growth",
        Shape::Logistic => "logistic",
    }
}

/// How far a shape misses.
#[must_use]
pub fn misses(by: &str) -> String {
    format!("misses a panel it has not seen by {by}")
}

/// How a shape fared.
#[must_use]
pub fn fared(shape: Shape, how: &str, chosen: bool) -> String {
    let mark = if chosen { " (taken)" } else { "" };
    format!("{}{mark}: {how}.", shape_name(shape))
}

/// Why a shape could not be chosen.
#[must_use]
pub fn unseen(why: Unseen) -> String {
    match why {
        Unseen::TooFewSettings { found, needed } => {
            format!("takes {needed} different settings, {found} were tried")
        }
        Unseen::NoTurn { .. } => "where it turns does not show".to_owned(),
    }
}

fn chance(chance: f64) -> String {
    match (chance * 1000.0).round() {
        n if n < 1.0 => "less than once in 1000".to_owned(),
        n if n < 2.0 => "once in 1000".to_owned(),
        n => format!("{n} times in 1000"),
    }
}

fn unknown(asked: &Asked<'_>, title: &str, why: Unknown) -> String {
    match why {
        Unknown::TooFewPanels { found, needed } => format!(
            "Not enough panels yet: {found} kept with `{}` and {title}, and at least {needed} are needed.",
            asked.setting
        ),
        Unknown::TooFewSettings { found, needed } => format!(
            "Not enough panels yet: `{}` was only tried at {found} different settings, and at least {needed} are needed.",
            asked.setting
        ),
        Unknown::AllEqual => format!("No effect is seen: {title} is the same on all panels."),
        Unknown::NotFinite => {
            format!(
                "Nothing can be said: `{}` holds a figure that is none.",
                asked.setting
            )
        }
    }
}

/// The unit of a setting that can be stopped halfway.
const SECONDS: &str = "s";
/// How to come near by time.
const IN_STEPS: &str = "Stop at about three quarters of it, rinse, look, and go on in small steps.";
/// How to come near by what cannot be stopped halfway.
const ON_A_TRIAL: &str = "Try it on an offcut first, and change nothing else.";

fn near(
    asked: &Asked<'_>,
    found: &Found,
    wanted: f64,
    answer: Result<Setting, Unreached>,
) -> String {
    let row = found.metric;
    let wanted = row.format(wanted);
    let title = row.title;
    match answer {
        Ok(s) => {
            let open = match (s.less_untried, s.more_untried) {
                (false, false) => "",
                (true, false) => "; less was not tried",
                (false, true) => "; more was not tried",
                (true, true) => "; the panels do not tell it more closely",
            };
            format!(
                "To come near {wanted} in {title}: {}, somewhere from {} to {}{open}. {}",
                asked.write(s.value),
                asked.write(s.low),
                asked.write(s.high),
                if asked.unit == SECONDS {
                    IN_STEPS
                } else {
                    ON_A_TRIAL
                }
            )
        }
        Err(Unreached::NoEffect) => format!(
            "Which {} brings {wanted} in {title} cannot be told: it does not follow it.",
            asked.setting
        ),
        Err(Unreached::TooLow) => {
            format!(
                "No panel came down to {wanted} in {title} at any {} that was tried.",
                asked.setting
            )
        }
        Err(Unreached::TooHigh) => {
            format!(
                "No panel came up to {wanted} in {title} at any {} that was tried.",
                asked.setting
            )
        }
        Err(Unreached::NotFinite) => "What is wanted is no figure.".to_owned(),
    }
}

/// Parts of a unit to which the figures of other settings are told.
const PARTS: f64 = 1e4;

/// Most other things that a line names.
const MOST_NAMED: usize = 6;

/// Names one after the other, the last of many only counted.
fn named(mut names: Vec<String>) -> String {
    if names.len() > MOST_NAMED {
        let more = names.split_off(MOST_NAMED - 1).len();
        names.push(format!("{more} more"));
    }
    list(&names.iter().map(String::as_str).collect::<Vec<_>>())
}

/// What else changed: then nobody can tell which of them did it.
fn also(asked: &Asked<'_>, found: &Found) -> Option<String> {
    let one = |also: &Also| match also {
        Also::Figure(spread) => {
            let some = if spread.on_some { ", on some only" } else { "" };
            format!("{} ({}{some})", spread.name, figures(spread))
        }
        Also::Units(name, units) => {
            let units: Vec<&str> = units.iter().map(|unit| unit_name(unit)).collect();
            format!("{name} (in {})", list(&units))
        }
        Also::Told(Told::Technique) => "the technique".to_owned(),
        Also::Told(Told::Backing) => "the backing".to_owned(),
        Also::Told(Told::Motion(step)) => format!("rocked or still ({step})"),
        Also::Told(Told::Dried(step)) => format!("how it was dried ({step})"),
    };
    let all: Vec<String> = found.also.iter().map(one).collect();
    (!all.is_empty()).then(|| {
        format!(
            "Not only {} changed from panel to panel, but {} as well, and any of them may have done it: change one thing at a time.",
            asked.setting,
            named(all)
        )
    })
}

fn unit_name(unit: &str) -> &str {
    if unit.is_empty() { "no unit" } else { unit }
}

/// What is the same wherever it is said: of the rest nothing is known.
fn on_some(found: &Found) -> Option<String> {
    let one = |spread: &Spread| format!("{} ({})", spread.name, figures(spread));
    let all: Vec<String> = found.on_some.iter().map(one).collect();
    (!all.is_empty()).then(|| {
        format!(
            "Only some of these recipes say {}: on the other panels it may have been otherwise.",
            named(all)
        )
    })
}

/// From the least to the greatest, or the one figure.
fn figures(spread: &Spread) -> String {
    let [least, most] = spread.ends.map(|v| (v * PARTS).round() / PARTS);
    let figures = if least < most {
        format!("{least} to {most}")
    } else {
        least.to_string()
    };
    format!("{figures} {}", spread.unit).trim_end().to_owned()
}
