//! What differs between a panel and a sample, in one sentence.

use super::colour;
use super::reading::graded;
use crate::compare::differences::{Difference, Group, How};
use crate::compare::{Match, MeasureMatch, Verdict};
use crate::fingerprint::metric::{COVERAGE, Rule, Topic};
use crate::units::Measure;

/// What differs, the weightiest first, in one sentence, and what agrees.
#[must_use]
pub fn differences(m: &Match) -> String {
    if m.verdict == Verdict::Within {
        return "Nothing differs by more than is allowed.".to_owned();
    }
    let found = m.differences();
    let mut phrases: Vec<String> = found.named.iter().filter_map(|d| phrase(m, d)).collect();
    if phrases.is_empty() {
        let open: Vec<&str> = found.open.iter().map(|row| row.title).collect();
        phrases.push(format!(
            "nothing stands out, but these are not sure enough: {}",
            open.join(", ")
        ));
    }
    let agree: Vec<&str> = found.agree.iter().map(|group| named(*group)).collect();
    match agree.as_slice() {
        [] => {}
        [one] => phrases.push(format!("{one} agree")),
        [all @ .., last] => phrases.push(format!("{} and {last} agree", all.join(", "))),
    }
    let mut sentence = phrases.join("; ");
    if let Some(first) = sentence.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    sentence + "."
}

fn phrase(m: &Match, d: &Difference) -> Option<String> {
    let doubt = if d.sure { "" } else { "perhaps " };
    let said = match m.measure(d.metric) {
        Some(row) => said(m, row, d)?,
        None if d.more => d.metric.more.to_owned(),
        None => d.metric.less.to_owned(),
    };
    Some(format!("{doubt}{said}"))
}

fn named(group: Group) -> &'static str {
    match group {
        Group::Specks => "specks",
        Group::Streaks => "the way the streaks run",
        Group::Tones => "tones",
        Group::Patina => "patina",
        Group::Edges => "edges",
    }
}

/// A difference of a measure as a phrase.
fn said(m: &Match, row: &MeasureMatch, d: &Difference) -> Option<String> {
    let (found, sample, panel) = (row.found?, row.sample.ok()?.value, row.panel.ok()?.value);
    let metric = row.metric;
    let phrase = match d.how {
        How::Veil => return Some(veil(m)),
        How::New if metric.topic == Topic::Blots => {
            return Some("blots where the other has hardly any".to_owned());
        }
        How::New if metric.topic == Topic::Lines => {
            return Some("lines or scratches where the other has hardly any".to_owned());
        }
        How::New if metric.topic == Topic::Rings => {
            return Some("specks with a light middle where the other has hardly any".to_owned());
        }
        How::New if metric.topic == Topic::Patina => "patina where the other has hardly any:",
        How::New if d.more => return Some("streaks where the other has none".to_owned()),
        How::New => return Some("no streaks where the other has some".to_owned()),
        How::Patches => "cloudier, with dark patches",
        How::Amount
            if metric.topic == Topic::PatinaHue && colour::hue(panel) != colour::hue(sample) =>
        {
            "patina of another colour"
        }
        How::Amount if metric.topic == Topic::Halo => return Some(colour::halo(m, d.more)),
        How::Amount if d.more => metric.more,
        How::Amount => metric.less,
    };
    let amount = match (metric.rule, metric.topic) {
        (Rule::Ratio, Topic::SpeckSize | Topic::Clouds) => times_as_large(panel / sample.max(1e-9)),
        (Rule::Ratio, Topic::StreakSpacing) => format!("({panel:.0} mm against {sample:.0} mm)"),
        (Rule::Ratio, Topic::PatinaSize) => format!("({panel:.1} mm against {sample:.1} mm)"),
        (Rule::Ratio, _) => times_as_many(panel / sample.max(1e-9)),
        (Rule::Axial, _) => format!("by {:.0}°", found.difference.abs()),
        (Rule::Circular, _) => match [panel, sample].map(colour::hue) {
            [panel, sample] if panel != sample => format!("({panel}, not {sample})"),
            _ => format!("by {:.0}°", found.difference.abs()),
        },
        // The aggressiveness runs to 100 but is no share of the area.
        (Rule::Difference, Topic::Loss | Topic::Blots) if metric.range.1 > 1.0 => {
            let [panel, sample] = apart(panel, sample);
            format!("({panel} against {sample})")
        }
        (Rule::Difference, Topic::Loss | Topic::Blots | Topic::Patina) => {
            let [panel, sample] = apart(panel * 100.0, sample * 100.0);
            format!("({panel} % against {sample} %)")
        }
        (Rule::Difference, topic) if topic.is_tone() && weightier_tone(m, row) => {
            m.tone_difference.map_or("", seen).to_owned()
        }
        (Rule::Difference, _) => String::new(),
    };
    Some(format!("{phrase} {amount}").trim_end().to_owned())
}

/// Both tones are one colour to the eye: how easily it is seen is said once, of the weightier.
fn weightier_tone(m: &Match, row: &MeasureMatch) -> bool {
    let weight = |r: &MeasureMatch| r.found.map_or(0.0, |f| f.weight);
    let tones = m.measures.iter().filter(|r| r.metric.topic.is_tone());
    tones.map(weight).fold(0.0, f64::max) <= weight(row)
}

fn veil(m: &Match) -> String {
    let coverage = m.measure(&COVERAGE);
    let per_cent = |v: Measure| v.map_or(0.0, |e| e.value * 100.0);
    let (sample, panel) = coverage.map_or((0.0, 0.0), |r| (per_cent(r.sample), per_cent(r.panel)));
    let veil = if panel < sample {
        "more veil"
    } else {
        "less veil"
    };
    let [panel, sample] = apart(panel, sample);
    format!("{veil} all over ({panel} % of the silver left against {sample} %)")
}

/// Most decimals that two figures of a sentence are told apart with.
const MOST_DECIMALS: usize = 2;

/// Two figures with no more decimals than it takes to tell them apart.
fn apart(a: f64, b: f64) -> [String; 2] {
    let with = |decimals: usize| [a, b].map(|v| format!("{v:.decimals$}"));
    let mut all = (0..MOST_DECIMALS).map(with);
    all.find(|[a, b]| a != b)
        .unwrap_or_else(|| with(MOST_DECIMALS))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::Lean;
    use crate::compare::rules::{Doubt, set_against};
    use crate::compare::terms::Allowed;
    use crate::fingerprint::metric::{
        BLOT_FRACTION, EDGE_LOSS, Metric, SPECKLE_DENSITY, STREAK_ANGLE, STREAK_STRENGTH, TONE_A,
        TONE_B,
    };
    use crate::units::Estimate;

    fn sure(value: f64) -> Measure {
        Ok(Estimate {
            value,
            low: value,
            high: value,
        })
    }

    fn row(metric: &'static Metric, sample: f64, panel: f64) -> MeasureMatch {
        let may = Allowed::start(metric, sample);
        set_against(metric, sure(sample), sure(panel), Doubt::default(), may)
    }

    fn outside(measures: Vec<MeasureMatch>) -> Match {
        Match {
            verdict: Verdict::Outside,
            unsure: None,
            lean: Lean::Neither,
            toward: Lean::Neither,
            measures,
            wholes: Vec::new(),
            place: None,
            stage: None,
            floor_mm: 0.4,
            tone_difference: Some(9.0),
            new_dark_is_bare: true,
            paint: None,
            remarks: Vec::new(),
        }
    }

    #[test]
    fn two_figures_never_read_alike() {
        assert_eq!(apart(82.4, 93.0), ["82", "93"]);
        assert_eq!(apart(81.5, 82.4), ["81.5", "82.4"]);
        assert_eq!(apart(81.52, 81.54), ["81.52", "81.54"]);
    }

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
        let m = outside(vec![row(&TONE_A, 0.0, 8.0), row(&TONE_B, 0.0, 8.0)]);
        assert_eq!(differences(&m), "Pinker (seen at a glance); warmer.");
    }

    #[test]
    fn what_follows_from_worn_edges_is_left_unsaid_and_what_agrees_is_said() {
        let m = outside(vec![
            row(&BLOT_FRACTION, 0.0, 0.1),
            row(&EDGE_LOSS, 0.0, 0.3),
            row(&SPECKLE_DENSITY, 2.0, 2.0),
            row(&STREAK_ANGLE, 40.0, 41.0),
        ]);
        assert_eq!(
            differences(&m),
            "Edges more worn; specks and the way the streaks run agree."
        );
    }

    #[test]
    fn dark_patches_that_are_not_bare_are_clouds() {
        let mut m = outside(vec![row(&BLOT_FRACTION, 0.0, 0.1)]);
        assert!(differences(&m).starts_with("Blots where the other has hardly any"));
        m.new_dark_is_bare = false;
        assert!(differences(&m).starts_with("Cloudier, with dark patches"));
    }

    #[test]
    fn streaks_that_are_gone_are_said_to_be_gone() {
        let mut angle = row(&STREAK_ANGLE, 40.0, 40.0);
        angle.panel = Err(crate::units::Unmeasured::NoDirection);
        angle.found = None;
        let m = outside(vec![angle, row(&STREAK_STRENGTH, 0.9, 0.02)]);
        assert_eq!(differences(&m), "No streaks where the other has some.");
    }
}
