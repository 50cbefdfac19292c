//! What differs between a panel and a sample, and what agrees: which of all rows are named, in what order, and which way.
//!
//! The sure differences come first, each the weightiest of its topic. What follows from another thing that is named is left out,
//! and one that is not sure is named only where it fills a good part of its allowance.

use serde::Serialize;

use super::rules::MeasureMatch;
use super::verdict::Match;
use super::wholes::WholeMatch;
use crate::fingerprint::Verdict;
use crate::fingerprint::metric::{COVERAGE, Metric, STREAK_ANGLE, STREAK_STRENGTH, Topic};
use crate::units::Measure;

/// Most differences that are named.
const MOST_NAMED: usize = 5;

/// Share of its allowance that an unsure difference must fill to be named where none is sure.
const WORTH_ALONE: f64 = 0.6;

/// And beside sure ones.
const WORTH_BESIDE: f64 = 0.9;

/// Of all that tells of loss, people see the silver that is left: it weighs so many times as much.
const LEADS: f64 = 1.5;

/// Silver was lost evenly where the texture moved by less than this share of the loss.
const EVENLY: f64 = 0.25;

/// The sample has hardly any blots under this share of what they may differ by.
const HARDLY_ANY: f64 = 0.5;

/// What differs and what agrees.
#[derive(Debug, Clone, PartialEq)]
pub struct Differences {
    /// What differs, the weightiest first; nothing of a panel within.
    pub named: Vec<Difference>,
    /// Where nothing stands out: the rows that leave the answer open.
    pub open: Vec<&'static Metric>,
    /// What agrees wholly, and of which nothing was named.
    pub agree: Vec<Group>,
}

/// One thing that differs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// The row.
    pub metric: &'static Metric,
    /// The panel has more of it, or is of another form.
    pub more: bool,
    /// It is outside, and not only perhaps.
    pub sure: bool,
    /// In allowances.
    pub weight: f64,
    /// How it shows.
    pub how: How,
}

/// How a difference shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// As more or less of the same.
    Amount,
    /// As a veil all over.
    Veil,
    /// As something that one of the two has and the other has not, or hardly.
    New,
    /// As dark patches that are not bare: clouds.
    Patches,
}

/// What a maker looks at one by one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Group {
    /// The specks: how many, how large, how they lie.
    Specks,
    /// The way the streaks run.
    Streaks,
    /// The tones.
    Tones,
    /// The colour of the silver: how much, how strong, which, and where.
    Patina,
    /// The edges.
    Edges,
}

/// What each group is made of.
const GROUPS: [(Group, &[Topic]); 5] = [
    (
        Group::Specks,
        &[
            Topic::SpeckNumber,
            Topic::SpeckSize,
            Topic::SpeckPlaces,
            Topic::SpeckShape,
            Topic::SpeckEdges,
        ],
    ),
    (
        Group::Streaks,
        &[
            Topic::StreakAngle,
            Topic::StreakStrength,
            Topic::StreakSpacing,
        ],
    ),
    (Group::Tones, &[Topic::Pink, Topic::Warm]),
    (
        Group::Patina,
        &[
            Topic::Patina,
            Topic::PatinaStrength,
            Topic::PatinaHue,
            Topic::PatinaSize,
            Topic::Halo,
        ],
    ),
    (Group::Edges, &[Topic::Edges]),
];

impl Match {
    /// What differs, and what agrees.
    #[must_use]
    pub fn differences(&self) -> Differences {
        if self.verdict == Verdict::Within {
            return Differences {
                named: Vec::new(),
                open: Vec::new(),
                agree: Vec::new(),
            };
        }
        let named = named(self);
        let open = if named.is_empty() {
            open(self)
        } else {
            Vec::new()
        };
        Differences {
            agree: agreeing(self, &named),
            open,
            named,
        }
    }
}

/// The rows that leave the answer open.
fn open(m: &Match) -> Vec<&'static Metric> {
    let measures = m
        .measures
        .iter()
        .filter(|r| r.found.is_some_and(|f| f.verdict == Verdict::Unsure));
    let wholes = m.wholes.iter().filter(|w| w.verdict == Verdict::Unsure);
    measures
        .map(|r| r.metric)
        .chain(wholes.map(|w| w.whole))
        .take(MOST_NAMED)
        .collect()
}

/// Every difference that is worth naming.
fn named(m: &Match) -> Vec<Difference> {
    let of_measures = m.measures.iter().filter_map(|row| of_measure(m, row));
    let of_wholes = m
        .wholes
        .iter()
        .filter(|w| w.verdict != Verdict::Within)
        .map(|w| of_whole(m, w));
    let mut all: Vec<Difference> = of_measures.chain(of_wholes).collect();
    all.sort_by(|a, b| b.sure.cmp(&a.sure).then(b.weight.total_cmp(&a.weight)));
    let mut kept: Vec<Difference> = Vec::new();
    for d in all {
        if kept.iter().all(|k| k.metric.topic != d.metric.topic) {
            kept.push(d);
        }
    }
    let sure = kept.iter().filter(|d| d.sure);
    let sure: Vec<Topic> = sure.map(|d| d.metric.topic).collect();
    let least = if sure.is_empty() {
        WORTH_ALONE
    } else {
        WORTH_BESIDE
    };
    kept.retain(|d| !explained(m, d.metric.topic, &sure) && (d.sure || d.weight >= least));
    let blots = kept.iter().any(|d| d.metric.topic == Topic::Blots);
    let patches = blots && !m.new_dark_is_bare;
    // Dark patches already say that it is cloudier.
    kept.retain(|d| d.metric.topic != Topic::Clouds || d.sure || !patches);
    kept.truncate(MOST_NAMED);
    kept
}

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
        // What names a difference says more than that there is one.
        Topic::Levels | Topic::Look => sure
            .iter()
            .any(|t| !matches!(t, Topic::Levels | Topic::Look)),
        Topic::SpeckUnevenness => any(&[Topic::Crowding, Topic::SpeckPlaces, Topic::SpeckNumber]),
        Topic::Unevenness => any(&[Topic::Clouds, Topic::Blots, Topic::Edges]),
        Topic::PatinaStrength => any(&[Topic::Patina]),
        Topic::StreakSpacing => any(&[Topic::StreakStrength]),
        _ => false,
    }
}

/// One whole as a difference.
fn of_whole(m: &Match, w: &WholeMatch) -> Difference {
    let more = match w.whole.topic {
        // Another form of the rose says no more than that; the strength says which way.
        Topic::StreakStrength => {
            let strength = m.found(&STREAK_STRENGTH);
            strength.is_none_or(|f| f.difference >= 0.0)
        }
        _ => w.difference > 0.0,
    };
    Difference {
        metric: w.whole,
        more,
        sure: w.verdict == Verdict::Outside,
        weight: w.weight(),
        how: How::Amount,
    }
}

/// One measure as a difference, where it is one.
fn of_measure(m: &Match, row: &MeasureMatch) -> Option<Difference> {
    let found = row.found.filter(|f| f.verdict != Verdict::Within)?;
    let leads = if row.metric.leads { LEADS } else { 1.0 };
    Some(Difference {
        metric: row.metric,
        more: found.difference > 0.0,
        sure: found.verdict == Verdict::Outside,
        weight: leads * found.weight,
        how: how(m, row, found.difference > 0.0)?,
    })
}

fn how(m: &Match, row: &MeasureMatch, more: bool) -> Option<How> {
    let sample = row.sample.ok()?.value;
    Some(match row.metric.topic {
        Topic::Loss if veiled(m) => How::Veil,
        Topic::StreakStrength if more && !has_streaks(m, |r| r.sample) => How::New,
        Topic::StreakStrength if !more && !has_streaks(m, |r| r.panel) => How::New,
        Topic::Blots if more && !m.new_dark_is_bare => How::Patches,
        Topic::Blots | Topic::Lines | Topic::Rings | Topic::Patina
            if more && sample < HARDLY_ANY * row.metric.allowance =>
        {
            How::New
        }
        _ => How::Amount,
    })
}

fn has_streaks(m: &Match, of: fn(&MeasureMatch) -> Measure) -> bool {
    m.measure(&STREAK_ANGLE).is_some_and(|r| of(r).is_ok())
}

/// Silver was lost evenly: the level moved, the texture hardly did.
fn veiled(m: &Match) -> bool {
    let textures = m.wholes.iter().filter(|w| w.whole.blurs_mm().is_some());
    let moved = textures.map(|w| w.difference.abs()).fold(0.0, f64::max);
    let even = m.found(&COVERAGE).filter(|f| f.verdict == Verdict::Outside);
    even.is_some_and(|f| moved < EVENLY * 100.0 * f.difference.abs())
}

/// Groups of measures that all agree, and of which nothing else was said.
fn agreeing(m: &Match, named: &[Difference]) -> Vec<Group> {
    let agrees = |row: &MeasureMatch| row.found.is_some_and(|f| f.verdict == Verdict::Within);
    let whole = |topics: &[Topic]| {
        let mut rows = m
            .measures
            .iter()
            .filter(|r| topics.contains(&r.metric.topic));
        let unsaid = named.iter().all(|d| !topics.contains(&d.metric.topic));
        unsaid && rows.clone().any(agrees) && rows.all(|r| r.found.is_none() || agrees(r))
    };
    let groups = GROUPS.iter().filter(|(_, topics)| whole(topics));
    groups.map(|(group, _)| *group).collect()
}

#[cfg(test)]
mod tests;
