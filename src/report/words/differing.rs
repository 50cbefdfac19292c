//! What differs between a panel and a sample, in one sentence.

use super::colour;
use super::reading::graded;
use crate::compare::{Match, MeasureMatch, Verdict, WholeMatch};
use crate::fingerprint::metric::{COVERAGE, Rule, Topic};
use crate::units::Measure;

/// Most differences that a line names.
const MOST_NAMED: usize = 5;

/// One thing that differs.
struct Difference {
    topic: Topic,
    weight: f64,
    unsure: bool,
    said: String,
}

/// What differs, the weightiest first, in one sentence, and what agrees. Of what speaks of the same thing only the weightiest
/// speaks, and what follows from another thing that was said is left unsaid.
#[must_use]
pub fn differences(m: &Match) -> String {
    if m.verdict == Verdict::Within {
        return "Nothing differs by more than is allowed.".to_owned();
    }
    let named = named(m);
    let mut phrases: Vec<String> = named.iter().map(phrase).collect();
    if phrases.is_empty() {
        phrases.push(format!(
            "nothing stands out, but not sure enough of: {}",
            unsure_of(m).join(", ")
        ));
    }
    let agree = agreeing(m, &named);
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

fn phrase(d: &Difference) -> String {
    let doubt = if d.unsure { "perhaps " } else { "" };
    format!("{doubt}{}", d.said)
}

/// The measures that leave the answer open.
fn unsure_of(m: &Match) -> Vec<&'static str> {
    let open = m
        .measures
        .iter()
        .filter(|r| r.found.is_some_and(|f| f.verdict == Verdict::Unsure));
    let wholes = m.wholes.iter().filter(|w| w.verdict == Verdict::Unsure);
    open.map(|r| r.metric.title)
        .chain(wholes.map(|w| w.whole.title))
        .take(MOST_NAMED)
        .collect()
}

/// Every difference that is worth naming: the sure ones first, each the weightiest of its topic. One that is not sure must fill
/// a good part of its allowance.
fn named(m: &Match) -> Vec<Difference> {
    let of_measures = m.measures.iter().filter_map(|row| difference(m, row));
    let of_wholes = m
        .wholes
        .iter()
        .filter(|w| w.verdict != Verdict::Within)
        .map(|w| Difference {
            topic: w.whole.topic,
            weight: w.weight(),
            unsure: w.verdict == Verdict::Unsure,
            said: whole_said(m, w).to_owned(),
        });
    let mut all: Vec<Difference> = of_measures.chain(of_wholes).collect();
    all.sort_by(|a, b| a.unsure.cmp(&b.unsure).then(b.weight.total_cmp(&a.weight)));
    let mut kept: Vec<Difference> = Vec::new();
    for d in all {
        if kept.iter().all(|k| k.topic != d.topic) {
            kept.push(d);
        }
    }
    let sure: Vec<Topic> = kept.iter().filter(|d| !d.unsure).map(|d| d.topic).collect();
    let least = if sure.is_empty() {
        WORTH_ALONE
    } else {
        WORTH_BESIDE
    };
    kept.retain(|d| !explained(m, d.topic, &sure) && (!d.unsure || d.weight >= least));
    let patches = kept.iter().any(|d| d.topic == Topic::Blots) && !m.new_dark_is_bare;
    // Dark patches already say that it is cloudier.
    kept.retain(|d| d.topic != Topic::Clouds || !d.unsure || !patches);
    kept.truncate(MOST_NAMED);
    kept
}

/// Shares of its allowance that an unsure difference must fill to be named, alone and beside sure ones.
const WORTH_ALONE: f64 = 0.6;
/// Beside sure ones.
const WORTH_BESIDE: f64 = 0.9;

/// It follows from something else that is said.
fn explained(m: &Match, topic: Topic, sure: &[Topic]) -> bool {
    let any = |topics: &[Topic]| topics.iter().any(|t| sure.contains(t));
    match topic {
        Topic::FineTexture | Topic::MiddleTexture => any(&[
            Topic::SpeckNumber,
            Topic::SpeckSize,
            Topic::Blots,
            Topic::StreakStrength,
            Topic::Clouds,
        ]),
        Topic::Blots => any(&[Topic::Edges]) || (any(&[Topic::Clouds]) && !m.new_dark_is_bare),
        Topic::Clouds => any(&[Topic::Edges]) || (any(&[Topic::Blots]) && m.new_dark_is_bare),
        Topic::Levels => sure.iter().any(|t| *t != Topic::Levels),
        Topic::StreakSpacing => any(&[Topic::StreakStrength]),
        _ => false,
    }
}

fn whole_said(m: &Match, w: &WholeMatch) -> &'static str {
    match w.whole.topic {
        // Another form of the rose says no more than that; the strength says which way.
        Topic::StreakStrength => {
            let weaker = m
                .found("streak_strength")
                .is_some_and(|f| f.difference < 0.0);
            if weaker { w.whole.less } else { w.whole.more }
        }
        _ if w.difference > 0.0 => w.whole.more,
        _ => w.whole.less,
    }
}

/// One measure as a difference, where it is one.
fn difference(m: &Match, row: &MeasureMatch) -> Option<Difference> {
    let found = row.found.filter(|f| f.verdict != Verdict::Within)?;
    // Of all that tells of loss, people see the silver that is left.
    let first = if row.metric.key == COVERAGE.key {
        1.5
    } else {
        1.0
    };
    Some(Difference {
        topic: row.metric.topic,
        weight: first * found.weight,
        unsure: found.verdict == Verdict::Unsure,
        said: said(m, row)?,
    })
}

/// A difference as a phrase.
fn said(m: &Match, row: &MeasureMatch) -> Option<String> {
    let (found, sample, panel) = (row.found?, row.sample.ok()?.value, row.panel.ok()?.value);
    let more = found.difference > 0.0;
    let metric = row.metric;
    let phrase = match metric.topic {
        Topic::Loss if veiled(m) => return Some(veil(m)),
        Topic::StreakStrength if more && !has_streaks(m, |r| r.sample) => {
            return Some("streaks where the other has none".to_owned());
        }
        Topic::StreakStrength if !more && !has_streaks(m, |r| r.panel) => {
            return Some("no streaks where the other has some".to_owned());
        }
        Topic::Blots if more && !m.new_dark_is_bare => "cloudier, with dark patches",
        Topic::Blots if more && sample < 0.5 * metric.allowance => {
            return Some("blots where the other has hardly any".to_owned());
        }
        Topic::Patina if more && sample < 0.01 => "patina where the other has hardly any:",
        Topic::PatinaHue if colour::hue(panel) != colour::hue(sample) => "patina of another colour",
        Topic::Halo => return Some(colour::halo(m, more)),
        _ if more => metric.more,
        _ => metric.less,
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

fn has_streaks(m: &Match, of: fn(&MeasureMatch) -> Measure) -> bool {
    let angle = m.measures.iter().find(|r| r.metric.key == "streak_angle");
    angle.is_some_and(|r| of(r).is_ok())
}

/// Silver was lost evenly: the level moved, the texture hardly did.
fn veiled(m: &Match) -> bool {
    let moved = |w: &WholeMatch| w.difference.abs();
    let texture = m
        .wholes
        .iter()
        .filter(|w| w.whole.key.ends_with("_texture"))
        .map(moved);
    let even = m
        .found(COVERAGE.key)
        .filter(|f| f.verdict == Verdict::Outside);
    even.is_some_and(|f| texture.fold(0.0, f64::max) < EVENLY * 100.0 * f.difference.abs())
}

/// Texture moved by less than this share of the even loss.
const EVENLY: f64 = 0.25;

fn veil(m: &Match) -> String {
    let coverage = m.measures.iter().find(|r| r.metric.key == COVERAGE.key);
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

/// Groups of measures that all agree, and of which nothing else was said.
fn agreeing(m: &Match, named: &[Difference]) -> Vec<&'static str> {
    let agrees = |row: &MeasureMatch| row.found.is_some_and(|f| f.verdict == Verdict::Within);
    let whole = |topics: &[Topic]| {
        let mut rows = m
            .measures
            .iter()
            .filter(|r| topics.contains(&r.metric.topic));
        let unsaid = named.iter().all(|d| !topics.contains(&d.topic));
        unsaid && rows.clone().any(agrees) && rows.all(|r| r.found.is_none() || agrees(r))
    };
    let groups = GROUPS.iter().filter(|(_, topics)| whole(topics));
    groups.map(|(name, _)| *name).collect()
}

/// What a maker looks at one by one.
const GROUPS: [(&str, &[Topic]); 5] = [
    (
        "specks",
        &[Topic::SpeckNumber, Topic::SpeckSize, Topic::SpeckPlaces],
    ),
    (
        "the way the streaks run",
        &[
            Topic::StreakAngle,
            Topic::StreakStrength,
            Topic::StreakSpacing,
        ],
    ),
    ("tones", &[Topic::Pink, Topic::Warm]),
    (
        "patina",
        &[
            Topic::Patina,
            Topic::PatinaStrength,
            Topic::PatinaHue,
            Topic::PatinaSize,
            Topic::Halo,
        ],
    ),
    ("edges", &[Topic::Edges]),
];

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
    use crate::fingerprint::metric::metric;
    use crate::units::Estimate;

    fn sure(value: f64) -> Measure {
        Ok(Estimate {
            value,
            low: value,
            high: value,
        })
    }

    fn row(key: &str, sample: f64, panel: f64) -> MeasureMatch {
        let metric = metric(key).unwrap();
        let may = Allowed::start(metric, sample);
        set_against(metric, sure(sample), sure(panel), Doubt::default(), may)
    }

    fn outside(measures: Vec<MeasureMatch>) -> Match {
        Match {
            verdict: Verdict::Outside,
            lean: Lean::Neither,
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
        let m = outside(vec![row("tone_a", 0.0, 8.0), row("tone_b", 0.0, 8.0)]);
        assert_eq!(differences(&m), "Pinker (seen at a glance); warmer.");
    }

    #[test]
    fn what_follows_from_worn_edges_is_left_unsaid_and_what_agrees_is_said() {
        let m = outside(vec![
            row("blot_fraction", 0.0, 0.1),
            row("edge_loss", 0.0, 0.3),
            row("speckle_density", 2.0, 2.0),
            row("streak_angle", 40.0, 41.0),
        ]);
        assert_eq!(
            differences(&m),
            "Edges more worn; specks and the way the streaks run agree."
        );
    }

    #[test]
    fn dark_patches_that_are_not_bare_are_clouds() {
        let mut m = outside(vec![row("blot_fraction", 0.0, 0.1)]);
        assert!(differences(&m).starts_with("Blots where the other has hardly any"));
        m.new_dark_is_bare = false;
        assert!(differences(&m).starts_with("Cloudier, with dark patches"));
    }

    #[test]
    fn streaks_that_are_gone_are_said_to_be_gone() {
        let mut angle = row("streak_angle", 40.0, 40.0);
        angle.panel = Err(crate::units::Unmeasured::NoDirection);
        angle.found = None;
        let m = outside(vec![angle, row("streak_strength", 0.9, 0.02)]);
        assert_eq!(differences(&m), "No streaks where the other has some.");
    }
}
