//! What is said of the effect of a setting.

use crate::compare::effect::{Also, SettingEffect, Spread, Told};
use crate::stats::effect::{Effect, Setting, Shape, Trial, Unknown, Unreached, Unseen};
use crate::stats::next::Next;
use crate::studio::effect::Effected;
use crate::words::headline::{Headline, ToDo};
use crate::words::list;

/// How the figures to be expected are read.
pub(super) const EXPECTED: &str =
    "One new panel falls from there to there 95 times in 100, if everything else stays the same.";

/// Where one new panel falls.
pub(super) fn one_panel(low: &str, high: &str) -> String {
    format!("one panel from {low} to {high}")
}

/// A setting as it is written: to three figures, for nobody sets more.
pub(super) fn setting(effected: &Effected, value: f64) -> String {
    let decimals = match value.abs() {
        v if v >= 20.0 => 0,
        v if v >= 2.0 => 1,
        _ => 2,
    };
    format!("{value:.decimals$} {}", effected.unit)
        .trim_end()
        .to_owned()
}

/// What to do: what to set for what is wanted, or what is needed to know it.
pub(super) fn headline(effected: &Effected) -> Headline {
    let (found, name) = (&effected.found, &effected.setting);
    let title = found.metric.title;
    let look = |says: String| Headline::new(ToDo::Look, says);
    let effect = match &found.effect {
        Ok(effect) => effect,
        Err(Unknown::TooFewPanels { found, needed }) => {
            let more = needed.saturating_sub(*found);
            let panels = if more == 1 {
                "one more panel"
            } else {
                "more panels"
            };
            return look(format!("Make {panels} first, and write down {name}."));
        }
        Err(Unknown::TooFewSettings { .. }) => {
            return look(format!("Try {name} at other settings first."));
        }
        Err(Unknown::AllEqual) => return look("Change something else.".to_owned()),
        Err(Unknown::NotFinite) => return look("Correct the recipes.".to_owned()),
    };
    let ends = effect.tried.map(|end| effect.at(end));
    let ([Some(first), Some(last)], true) = (ends, effect.is_real()) else {
        return look("Change something else.".to_owned());
    };
    let further = |says: String| Headline::new(ToDo::Further, says);
    match &found.near {
        Some((_, Ok(near))) if effected.unit == SECONDS => further(format!(
            "Aim at {}, and look at three quarters of it.",
            setting(effected, near.value)
        )),
        Some((_, Ok(near))) => further(format!(
            "Try {} on an offcut.",
            setting(effected, near.value)
        )),
        Some((_, Err(_))) => look("Stay inside what was tried, or try an offcut.".to_owned()),
        None if last.curve.value > first.curve.value => {
            further(format!("For more {title}: more {name}."))
        }
        None => further(format!("For less {title}: more {name}.")),
    }
}

/// The answer: what more of the setting does, how sure that is, and the setting for what is wanted; then what else changed, and
/// what does not count, as that which another version measured.
pub(super) fn sentences(effected: &Effected) -> Vec<String> {
    let found = &effected.found;
    let title = found.metric.title;
    let mut said = match &found.effect {
        Ok(effect) => known(effected, effect),
        Err(why) => vec![unknown(&effected.setting, title, *why)],
    };
    if let Some((wanted, answer)) = &found.near {
        said.push(near(effected, *wanted, answer));
    }
    said.extend(found.next.iter().flat_map(|next| to_try(effected, next)));
    said.extend(also(&effected.setting, found));
    said.extend(on_some(found));
    said.extend(not_counted(found.left_out, |panels, _| {
        format!("{panels} with that setting not counted: read otherwise than the rest, or without {title}.")
    }));
    said.extend(not_counted(found.same_photo, |panels, one| {
        let latest = if one {
            "the same photo; only the latest kept counts"
        } else {
            "the same photos; only the latest kept of each counts"
        };
        format!("{panels} with that setting not counted: kept again from {latest}.")
    }));
    let another = "measured by another version of the measures: paneprint remeasure --all.";
    said.extend(match effected.other_version {
        0 => None,
        1 => Some(format!("One more panel was {another}")),
        n => Some(format!("{n} more panels were {another}")),
    });
    said
}

/// What is said of so many panels, where there are any; the number is told with whether it is one.
fn not_counted(count: usize, says: impl Fn(&str, bool) -> String) -> Option<String> {
    match count {
        0 => None,
        1 => Some(says("One panel", true)),
        n => Some(says(&format!("{n} panels"), false)),
    }
}

fn known(effected: &Effected, effect: &Effect) -> Vec<String> {
    let (setting_name, panels) = (&effected.setting, effected.found.points.len());
    let row = effected.found.metric;
    let title = row.title;
    let chance = chance(effect.chance);
    let ends = effect.tried.map(|end| effect.at(end));
    let ([Some(first), Some(last)], true) = (ends, effect.is_real()) else {
        return vec![format!(
            "In {panels} kept panels {title} does not follow {setting_name}: what is seen could be chance ({chance})."
        )];
    };
    let way = if last.curve.value > first.curve.value {
        "more"
    } else {
        "less"
    };
    let figure = |v: f64| row.format(v.clamp(row.range.0, row.range.1));
    let [from, to] = [first, last].map(|at| figure(at.curve.value));
    let [least, most] = effect.tried.map(|end| setting(effected, end));
    let shape = match effect.shape {
        Shape::Line => "a straight line",
        Shape::Growth => "fast at first, then less and less",
        Shape::Logistic => "little at first, then much, then little again",
    };
    vec![
        format!(
            "More {setting_name} makes {way} {title}: about {from} at {least} and {to} at {most} ({shape})."
        ),
        format!(
            "Seen in {panels} kept panels; chance alone would show as much {chance}. Nothing is known under {least} or over {most}."
        ),
    ]
}

/// A shape of a curve in JSON.
pub(super) fn shape_key(shape: Shape) -> &'static str {
    match shape {
        Shape::Line => "line",
        Shape::Growth => "growth",
        Shape::Logistic => "logistic",
    }
}

/// How a shape fared; what it misses by to so many decimals.
pub(super) fn fared(trial: &Trial, chosen: Shape, decimals: usize) -> String {
    let shape = match trial.shape {
        Shape::Line => "straight line",
        Shape::Growth => "levels off",
        Shape::Logistic => "levels off at both ends",
    };
    let mark = if trial.shape == chosen {
        " (taken)"
    } else {
        ""
    };
    let how = match trial.miss {
        Ok(miss) => format!("misses a panel it has not seen by {miss:.decimals$}"),
        Err(Unseen::TooFewSettings { found, needed }) => {
            format!("takes {needed} different settings, {found} were tried")
        }
        Err(Unseen::NoTurn { .. }) => "where it turns does not show".to_owned(),
    };
    format!("{shape}{mark}: {how}.")
}

fn chance(chance: f64) -> String {
    match (chance * 1000.0).round() {
        n if n < 1.0 => "less than once in 1000".to_owned(),
        n if n < 2.0 => "once in 1000".to_owned(),
        n => format!("{n} times in 1000"),
    }
}

fn unknown(setting: &str, title: &str, why: Unknown) -> String {
    match why {
        Unknown::TooFewPanels { found, needed } => format!(
            "Not enough panels yet: {found} kept with `{setting}` and {title}, and at least {needed} are needed."
        ),
        Unknown::TooFewSettings { found, needed } => format!(
            "Not enough panels yet: `{setting}` was only tried at {found} different settings, and at least {needed} are needed."
        ),
        Unknown::AllEqual => format!("No effect is seen: {title} is the same on all panels."),
        Unknown::NotFinite => {
            format!("Nothing can be said: a figure written for `{setting}` cannot be used.")
        }
    }
}

/// The unit of a setting that can be stopped halfway.
const SECONDS: &str = "s";

fn near(effected: &Effected, wanted: f64, answer: &Result<Setting, Unreached>) -> String {
    let (name, row) = (&effected.setting, effected.found.metric);
    let (wanted, title) = (row.format(wanted), row.title);
    match answer {
        Ok(s) => {
            let open = match (s.less_untried, s.more_untried) {
                (false, false) => "",
                (true, false) => "; less was not tried",
                (false, true) => "; more was not tried",
                (true, true) => "; the panels do not tell it more closely",
            };
            let how = if effected.unit == SECONDS {
                "Stop at about three quarters of it, rinse, look, and go on in small steps."
            } else {
                "Try it on an offcut first, and change nothing else."
            };
            let [value, low, high] = [s.value, s.low, s.high].map(|v| setting(effected, v));
            format!(
                "To come near {wanted} in {title}: {value}, somewhere from {low} to {high}{open}. {how}"
            )
        }
        Err(Unreached::NoEffect) => format!(
            "Which {name} brings {wanted} in {title} cannot be told: it does not follow it."
        ),
        Err(Unreached::TooLow) => {
            format!("No panel came down to {wanted} in {title} at any {name} that was tried.")
        }
        Err(Unreached::TooHigh) => {
            format!("No panel came up to {wanted} in {title} at any {name} that was tried.")
        }
        Err(Unreached::NotFinite) => "What is wanted is no figure.".to_owned(),
    }
}

/// Figures to which a setting to try is told: nobody sets more.
const FIGURES: i32 = 2;

/// A setting as it can be set.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a power of ten of a figure is small"
)]
pub(super) fn set(setting: f64) -> f64 {
    if setting <= 0.0 {
        return setting;
    }
    let part = 10.0_f64.powi(FIGURES - 1 - setting.log10().floor() as i32);
    (setting * part).round() / part
}

/// What to try next, and how far that is from knowing enough.
fn to_try(effected: &Effected, next: &Next) -> Vec<String> {
    let found = &effected.found;
    let (name, row) = (&effected.setting, found.metric);
    let text = |v: f64| setting(effected, set(v));
    let wanted = effected
        .wanted
        .map(|wanted| format!("{} in {}", row.format(wanted), row.title));
    let mut said = Vec::new();
    if let (Some(wanted), Some(reach), true) = (&wanted, next.reach, next.closed_in)
        && !matches!(found.near, Some((_, Ok(_))))
    {
        said.extend(match [reach.low, reach.high].map(|end| end.map(text)) {
            [Some(low), Some(high)] => Some(format!(
                "So far, {wanted} lies somewhere from {low} to {high}."
            )),
            [Some(low), None] => Some(format!("So far, {wanted} lies at {low} or more.")),
            [None, Some(high)] => Some(format!("So far, {wanted} lies at {high} or less.")),
            [None, None] => None,
        });
    }
    let settings: Vec<String> = next.settings.iter().map(|s| text(*s)).collect();
    said.push(match (&settings[..], &wanted) {
        _ if next.is_enough() => format!(
            "Enough pieces for now: another would make {name} known only {:.0} % more closely.",
            100.0 * next.gain
        ),
        ([first, ..], Some(wanted)) if !next.closed_in => format!(
            "No pieces lie on both sides of {wanted} yet. Try {first} next, one step beyond what was tried, and change nothing else."
        ),
        ([first, then @ ..], _) => {
            let then: Vec<&str> = then.iter().map(String::as_str).collect();
            let after = match &then[..] {
                [] => String::new(),
                then => format!(" After that, as it looks now, {}.", list(then)),
            };
            format!("Try {first} next, on an offcut, and change nothing else.{after}")
        }
        ([], _) => return said,
    });
    said
}

/// Parts of a unit to which the figures of other settings are told.
const PARTS: f64 = 1e4;

/// Most other things that a line names.
const MOST_NAMED: usize = 6;

/// Names one after the other, the last of many only counted; nothing where there are none.
fn named(mut names: Vec<String>) -> Option<String> {
    if names.len() > MOST_NAMED {
        let more = names.split_off(MOST_NAMED - 1).len();
        names.push(format!("{more} more"));
    }
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    (!names.is_empty()).then(|| list(&names))
}

/// What else changed: then nobody can tell which of them did it.
fn also(setting: &str, found: &SettingEffect) -> Option<String> {
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
    let all = named(found.also.iter().map(one).collect())?;
    Some(format!(
        "Not only {setting} changed from panel to panel, but {all} as well, and any of them may have done it: change one thing at a time."
    ))
}

fn unit_name(unit: &str) -> &str {
    if unit.is_empty() { "no unit" } else { unit }
}

/// What is the same wherever it is said: of the rest nothing is known.
fn on_some(found: &SettingEffect) -> Option<String> {
    let one = |spread: &Spread| format!("{} ({})", spread.name, figures(spread));
    let all = named(found.on_some.iter().map(one).collect())?;
    Some(format!(
        "Only some of these recipes say {all}: on the other panels it may have been otherwise."
    ))
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
