//! What is said of a panel beside a sample: the answer, what differs, what can still be done.

use super::super::cautions::Work;
use super::reading::graded;
use crate::compare::verdict::Paint;
use crate::compare::{Lean, Match, MeasureMatch, Place, Remark, Verdict, WholeMatch};
use crate::fingerprint::metric::{Rule, Topic};
use crate::frame::placement::Stage;

/// Most differences that a line names.
const MOST_NAMED: usize = 5;

/// The verdict in one sentence.
#[must_use]
pub fn verdict(m: &Match, sample: &str) -> String {
    if m.has(Remark::CannotTellToday) {
        return format!(
            "Cannot tell today whether it is like `{sample}`: two photos of the sample itself differ by more."
        );
    }
    let place = m.place.map_or("", whereabouts);
    match (m.verdict, m.lean) {
        (Verdict::Within, _) => format!("Within: like `{sample}`."),
        (Verdict::Outside, Lean::Lighter) => format!("Outside: lighter than `{sample}`{place}."),
        (Verdict::Outside, Lean::Darker) => format!("Outside: darker than `{sample}`{place}."),
        (Verdict::Outside, Lean::Neither) => {
            format!("Outside: as light as `{sample}`, but not like it.")
        }
        (Verdict::Unsure, Lean::Lighter) => {
            format!("Too close to call; perhaps lighter than `{sample}`{place}.")
        }
        (Verdict::Unsure, Lean::Darker) => {
            format!("Too close to call; perhaps darker than `{sample}`{place}.")
        }
        (Verdict::Unsure, Lean::Neither) => format!("Too close to call against `{sample}`."),
    }
}

/// Where a difference sits, to go on with after a comma.
fn whereabouts(place: Place) -> &'static str {
    match place {
        Place::Left => ", mostly near the left edge",
        Place::Right => ", mostly near the right edge",
        Place::Top => ", mostly near the top",
        Place::Bottom => ", mostly near the bottom",
        Place::TopLeft => ", mostly in the top left corner",
        Place::TopRight => ", mostly in the top right corner",
        Place::BottomLeft => ", mostly in the bottom left corner",
        Place::BottomRight => ", mostly in the bottom right corner",
        Place::Edges => ", mostly along the edges",
        Place::Middle => ", mostly in the middle",
        Place::AllOver => "",
    }
}

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
    let first = if row.metric.key == "coverage" {
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
            return Some("streaks where the sample has none".to_owned());
        }
        Topic::StreakStrength if !more && !has_streaks(m, |r| r.panel) => {
            return Some("no streaks where the sample has some".to_owned());
        }
        Topic::Blots if more && !m.new_dark_is_bare => "cloudier, with dark patches",
        Topic::Blots if more && sample < 0.5 * metric.allowance => {
            return Some("blots where the sample has hardly any".to_owned());
        }
        _ if more => metric.more,
        _ => metric.less,
    };
    let amount = match (metric.rule, metric.topic) {
        (Rule::Ratio, Topic::SpeckSize | Topic::Clouds) => times_as_large(panel / sample.max(1e-9)),
        (Rule::Ratio, Topic::StreakSpacing) => format!("({panel:.0} mm against {sample:.0} mm)"),
        (Rule::Ratio, _) => times_as_many(panel / sample.max(1e-9)),
        (Rule::Axial, _) => format!("by {:.0}°", found.difference.abs()),
        // The aggressiveness runs to 100 but is no share of the area.
        (Rule::Difference, Topic::Loss | Topic::Blots) if metric.range.1 > 1.0 => {
            format!("({panel:.0} against {sample:.0})")
        }
        (Rule::Difference, Topic::Loss | Topic::Blots) => {
            format!("({:.0} % against {:.0} %)", panel * 100.0, sample * 100.0)
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

fn has_streaks(m: &Match, of: fn(&MeasureMatch) -> crate::units::Measure) -> bool {
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
        .found("coverage")
        .filter(|f| f.verdict == Verdict::Outside);
    even.is_some_and(|f| texture.fold(0.0, f64::max) < EVENLY * 100.0 * f.difference.abs())
}

/// Texture moved by less than this share of the even loss.
const EVENLY: f64 = 0.25;

fn veil(m: &Match) -> String {
    let coverage = m.measures.iter().find(|r| r.metric.key == "coverage");
    let per_cent = |v: crate::units::Measure| v.map_or(0.0, |e| e.value * 100.0);
    let (sample, panel) = coverage.map_or((0.0, 0.0), |r| (per_cent(r.sample), per_cent(r.panel)));
    let veil = if panel < sample {
        "more veil"
    } else {
        "less veil"
    };
    format!("{veil} all over ({panel:.0} % of the silver left against {sample:.0} %)")
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
const GROUPS: [(&str, &[Topic]); 4] = [
    (
        "specks",
        &[Topic::SpeckNumber, Topic::SpeckSize, Topic::SpeckPlaces],
    ),
    (
        "streaks",
        &[
            Topic::StreakAngle,
            Topic::StreakStrength,
            Topic::StreakSpacing,
        ],
    ),
    ("tones", &[Topic::Pink, Topic::Warm]),
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

/// What can still be done, and the work it may lead to.
#[must_use]
pub fn next_step(m: &Match) -> (&'static str, Option<Work>) {
    if m.has(Remark::CannotTellToday) {
        return (
            "Look at lamps, board and stand, then photograph the sample and the panel again.",
            None,
        );
    }
    match (m.verdict, m.lean, m.stage) {
        (Verdict::Within, ..) => ("Leave it as it is.", None),
        (Verdict::Unsure, ..) if m.has(Remark::SampleTooSmall) => (
            "The sample alone cannot settle it: look at both side by side; a larger sample, or more pieces of it, would tell more.",
            None,
        ),
        (Verdict::Unsure, ..) => (
            "Look at both side by side in the same light; wipe the glass and take the photo again.",
            None,
        ),
        (_, Lean::Lighter, Some(Stage::Backed)) => (
            "It could go further only by stripping the paint off the back, which can scratch the silver.",
            Some(Work::StripPaint),
        ),
        (_, Lean::Lighter, Some(Stage::Wet | Stage::Dry)) => (
            "It can go a little further before the back is painted: stop at about three quarters of the change, rinse, look again.",
            Some(Work::GoFurther),
        ),
        (_, Lean::Lighter, None) => (
            "If its back is not painted yet it can go a little further: stop at about three quarters of the change, rinse, look again. Once painted, only by stripping the paint.",
            Some(Work::StripPaint),
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
pub fn remarks(m: &Match) -> Vec<String> {
    let remark = |r: &Remark| -> Option<String> {
        let said = match r {
            Remark::OnlyStartingAllowances => {
                "The allowances are only a start, not the studio's own: set them with approve --light, --dark or --allow."
            }
            Remark::NotUsable => {
                "One of the two photos could not be judged by: take it again before you act on this."
            }
            Remark::StagesDiffer => return m.paint.map(|p| paint(&p)),
            Remark::RigsDiffer => {
                "The two were not photographed in the same rig: part of the difference may be the light."
            }
            // The answer itself says these.
            Remark::CannotTellToday | Remark::SampleTooSmall => return None,
        };
        Some(said.to_owned())
    };
    m.remarks.iter().filter_map(remark).collect()
}

/// What paint may still do.
fn paint(p: &Paint) -> String {
    let points = (p.darken * 100.0).ceil();
    let then = if p.decides {
        "that is more than is allowed, so nothing can be promised before: paint an offcut of the same work first"
    } else {
        "where it is a close thing, paint an offcut of the same work first"
    };
    format!(
        "One of the two is backed and the other not: paint can darken the open one by up to {points:.0} points; {then}."
    )
}
