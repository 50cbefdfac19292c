//! Every sentence the program says about a panel, in one place: plain words, no blame, no false certainty.

use super::cautions::Work;
use crate::compare::{Lean, Match, MeasureMatch, Verdict};
use crate::fingerprint::metric::{Rule, Topic, metric};
use crate::frame::placement::{FoundBy, PatchKind, SURE, Sighting, Stage};
use crate::measure::Measurements;
use crate::quality::FlagSet;
use crate::units::Measure;

/// A reading in three sentences.
#[must_use]
pub fn reading(m: &Measurements) -> Vec<String> {
    let per_cent = |v: Measure| v.map_or(0.0, |e| (e.value * 100.0).round());
    let silver = format!(
        "{} % of the silver is left; {} % of the area is clear, {} % veiled, {} % dark.",
        per_cent(m.coverage),
        per_cent(m.clear_fraction),
        per_cent(m.veil_fraction),
        per_cent(m.dark_fraction),
    );
    let specks = match (m.speckle_density, m.speckle_diameter_median) {
        (Ok(density), Ok(median)) => format!(
            "{} dark specks on each square centimetre, half of them over {} mm across.",
            shown("speckle_density", density.value),
            shown("speckle_diameter_median", median.value),
        ),
        (Ok(density), Err(_)) if density.value > 0.0 => {
            format!(
                "{} dark specks on each square centimetre, too few to speak of their size.",
                shown("speckle_density", density.value)
            )
        }
        _ => format!("No dark specks of {:.1} mm or more.", m.speckle_floor_mm),
    };
    let streaks = match (m.streak_angle, m.streak_strength) {
        (Ok(angle), Ok(strength)) => format!(
            "{} streaks at {}°, {}.",
            graded(
                strength.value,
                &[(0.7, "Strong"), (0.3, "Clear"), (0.0, "Faint")]
            ),
            shown("streak_angle", angle.value),
            leaning(angle.value),
        ),
        _ => "No streak direction.".to_owned(),
    };
    vec![silver, specks, streaks]
}

fn shown(key: &str, value: f64) -> String {
    metric(key).map_or_else(|| value.to_string(), |m| m.format(value))
}

fn graded(value: f64, grades: &[(f64, &'static str)]) -> &'static str {
    grades
        .iter()
        .find(|(from, _)| value >= *from)
        .map_or("", |(_, word)| word)
}

/// What is said of a picture of a panel whose size is not known, and what to do.
pub const UNMEASURED: [&str; 2] = [
    "Not judged: the panel's size is not known.",
    "Give --size as well to have sharpness, light and the silver judged.",
];

/// What is said of a picture that cannot be judged by.
pub const NOT_FIT: &str = "Not fit to judge by.";

/// Whether a picture with these flags can be judged by.
#[must_use]
pub fn fit(flags: &FlagSet) -> &'static str {
    match (flags.blocks(), flags.to_mend().next()) {
        (true, _) => NOT_FIT,
        (false, Some(_)) => "Fit to judge by. It could be better:",
        (false, None) => "Fit to judge by.",
    }
}

/// What was found in a photo that nobody had marked, in one sentence.
#[must_use]
pub fn found(seen: &Sighting) -> Option<String> {
    let finding = seen.found?;
    let by = match finding.by {
        FoundBy::Marks => "its corner marks",
        FoundBy::Edges => "its edges",
    };
    let sure = graded(
        finding.confidence,
        &[(0.8, "surely"), (SURE, "quite surely"), (0.0, "not surely")],
    );
    let patches: Vec<String> = [
        (PatchKind::Grey, "grey card"),
        (PatchKind::Mirror, "mirror offcut"),
        (PatchKind::Bare, "bare offcut"),
    ]
    .into_iter()
    .filter_map(|(kind, name)| match seen.patches_of(kind).count() {
        0 => None,
        1 => Some(format!("one {name}")),
        n => Some(format!("{n} {name}s")),
    })
    .collect();
    let beside = match patches.as_slice() {
        [] => "no patch beside it".to_owned(),
        some => format!("{} beside it", some.join(", ")),
    };
    Some(format!("The panel was found by {by}, {sure}; {beside}."))
}

/// An axis in words.
fn leaning(angle: f64) -> &'static str {
    match angle {
        a if !(15.0..165.0).contains(&a) => "along the bottom edge",
        a if (75.0..105.0).contains(&a) => "upright",
        a if a < 90.0 => "rising to the right",
        _ => "rising to the left",
    }
}

/// The verdict in one sentence.
#[must_use]
pub fn verdict(m: &Match, sample: &str) -> String {
    match (m.verdict, m.lean) {
        (Verdict::Within, _) => format!("Within: like `{sample}`."),
        (Verdict::Outside, Lean::Lighter) => format!("Outside: lighter than `{sample}`."),
        (Verdict::Outside, Lean::Darker) => format!("Outside: darker than `{sample}`."),
        (Verdict::Outside, Lean::Neither) => {
            format!("Outside: as light as `{sample}`, but not like it.")
        }
        (Verdict::Unsure, Lean::Lighter) => {
            format!("Too close to call; perhaps lighter than `{sample}`.")
        }
        (Verdict::Unsure, Lean::Darker) => {
            format!("Too close to call; perhaps darker than `{sample}`.")
        }
        (Verdict::Unsure, Lean::Neither) => format!("Too close to call against `{sample}`."),
    }
}

/// What differs, the weightiest first, in one sentence. Of measures that say the same thing only the weightiest speaks.
#[must_use]
pub fn differences(m: &Match) -> String {
    let weight = |m: &MeasureMatch| {
        m.found
            .map_or(0.0, |f| f.difference.abs() / f.allowance.max(1e-9))
    };
    let mut differing: Vec<&MeasureMatch> = m
        .measures
        .iter()
        .filter(|m| m.found.is_some_and(|f| f.verdict != Verdict::Within))
        .collect();
    differing.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    let mut said: Vec<Topic> = Vec::new();
    let mut phrases: Vec<String> = Vec::new();
    for measure in differing {
        let topic = measure.metric.topic;
        if !said.contains(&topic) {
            // Both tones are one colour to the eye: how easily it is seen is said once.
            let tone_said = said.iter().any(|t| t.is_tone());
            let seen = m.tone_difference.filter(|_| !tone_said).map(seen);
            said.push(topic);
            phrases.extend(difference(measure, seen));
        }
    }
    if phrases.is_empty() {
        return "Nothing differs by more than is allowed.".to_owned();
    }
    let mut sentence = phrases.join("; ");
    if let Some(first) = sentence.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    sentence + "."
}

/// One difference as a phrase; `seen` says how easily the eye sees a difference of tone.
fn difference(m: &MeasureMatch, seen: Option<&str>) -> Option<String> {
    let (found, sample, panel) = (m.found?, m.sample.ok()?.value, m.panel.ok()?.value);
    let phrase = if found.difference > 0.0 {
        m.metric.more
    } else {
        m.metric.less
    };
    let doubt = if found.verdict == Verdict::Unsure {
        "perhaps "
    } else {
        ""
    };
    let amount = match (m.metric.rule, m.metric.topic) {
        (Rule::Ratio, Topic::SpeckSize | Topic::Clouds) => times_as_large(panel / sample.max(1e-9)),
        (Rule::Ratio, Topic::StreakSpacing) => format!("({panel:.0} mm against {sample:.0} mm)"),
        (Rule::Ratio, _) => times_as_many(panel / sample.max(1e-9)),
        (Rule::Axial, _) => format!("by {:.0}°", found.difference.abs()),
        // The aggressiveness runs to 100 but is no share of the area.
        (Rule::Difference, Topic::Loss | Topic::Blots) if m.metric.range.1 > 1.0 => {
            format!("({panel:.0} against {sample:.0})")
        }
        (Rule::Difference, Topic::Loss | Topic::Blots) => {
            format!("({:.0} % against {:.0} %)", panel * 100.0, sample * 100.0)
        }
        (Rule::Difference, topic) if topic.is_tone() => seen.unwrap_or_default().to_owned(),
        (Rule::Difference, _) => String::new(),
    };
    Some(format!("{doubt}{phrase} {amount}").trim_end().to_owned())
}

/// How easily the eye sees a CIEDE2000 difference (the grades of Mokrzycki & Tatol, Machine Graphics and Vision 20 (2011)
/// 383–411).
fn seen(difference: f64) -> &'static str {
    graded(
        difference,
        &[
            (5.0, "(seen at a glance)"),
            (2.0, "(seen side by side)"),
            (1.0, "(seen only by a practised eye)"),
            (0.0, "(less than the eye sees)"),
        ],
    )
}

/// A ratio of sizes as people say it.
fn times_as_large(ratio: f64) -> String {
    if ratio >= 1.0 {
        format!("(about {ratio:.1} times as large)")
    } else {
        format!("(about {ratio:.1} of the size)")
    }
}

/// A ratio of numbers as people say it.
fn times_as_many(ratio: f64) -> String {
    match ratio {
        r if r > 10.0 => "(many times as many)".to_owned(),
        r if r >= 1.0 => format!("(about {r:.1} times as many)"),
        r if r > 0.1 => format!("(about {:.0} for every 10)", r * 10.0),
        _ => "(hardly any left)".to_owned(),
    }
}

/// What can still be done, and the work it may lead to.
#[must_use]
pub fn next_step(m: &Match) -> (&'static str, Option<Work>) {
    match (m.verdict, m.lean, m.stage) {
        (Verdict::Within, ..) => ("Leave it as it is.", None),
        (Verdict::Unsure, ..) => (
            "Look at both side by side in the same light; wipe the glass and take the photo again.",
            None,
        ),
        (_, Lean::Lighter, Some(Stage::Backed)) => (
            "It could go further only by stripping the paint off the back, which can scratch the silver.",
            Some(Work::StripPaint),
        ),
        (_, Lean::Lighter, _) => (
            "It can go a little further before the back is painted: stop at about three quarters of the change, rinse, look again.",
            Some(Work::GoFurther),
        ),
        (_, Lean::Darker, _) => (
            "Lost silver does not come back: strip and re-silver the same glass, or use it elsewhere.",
            Some(Work::StripAndSilver),
        ),
        (_, Lean::Neither, _) => (
            "More or less work will not make it alike: use it elsewhere, or strip and re-silver the same glass.",
            Some(Work::StripAndSilver),
        ),
    }
}

/// What else must be said of a match.
#[must_use]
pub fn remarks(m: &Match) -> Vec<&'static str> {
    let mut remarks = Vec::new();
    if m.only_starting_allowances {
        remarks.push(
            "The allowances are only a start, not the studio's own: set them with approve --allow.",
        );
    }
    if m.not_usable {
        remarks.push(
            "One of the two photos could not be judged by: take it again before you act on this.",
        );
    }
    if m.stages_differ {
        remarks.push("One of the two was backed and the other not: paint on the back darkens thin silver by up to 8 points.");
    }
    remarks
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::rules::{Allowances, set_against};
    use crate::units::Estimate;

    #[test]
    fn ratios_are_said_as_people_say_them() {
        assert_eq!(times_as_many(2.04), "(about 2.0 times as many)");
        assert_eq!(times_as_many(0.31), "(about 3 for every 10)");
        assert_eq!(times_as_large(0.71), "(about 0.7 of the size)");
    }

    #[test]
    fn a_difference_of_tone_is_said_as_the_eye_sees_it() {
        for (difference, word) in [
            (0.4, "(less than the eye sees)"),
            (1.0, "(seen only by a practised eye)"),
            (3.0, "(seen side by side)"),
            (9.0, "(seen at a glance)"),
        ] {
            assert_eq!(seen(difference), word);
        }
    }

    #[test]
    fn how_a_tone_is_seen_is_said_once() {
        let sure = |value| {
            Ok(Estimate {
                value,
                low: value,
                high: value,
            })
        };
        let tone = |key| {
            Some(set_against(
                metric(key)?,
                sure(0.0),
                sure(8.0),
                0.0,
                &Allowances::new(),
            ))
        };
        let m = Match {
            verdict: Verdict::Outside,
            lean: Lean::Neither,
            measures: ["tone_a", "tone_b"].into_iter().filter_map(tone).collect(),
            only_starting_allowances: true,
            stage: None,
            stages_differ: false,
            not_usable: false,
            floor_mm: 0.4,
            tone_difference: Some(9.0),
        };
        assert_eq!(differences(&m), "Pinker (seen at a glance); warmer.");
    }
}
