//! Photos and sessions of a study that stand apart from the others: a photo by Grubbs's test among those of its panel, a session
//! by Mandel's h and k.

use serde::Serialize;

use super::{Figures, Session};
use crate::fingerprint::metric::{self, Metric};
use crate::stats::outlier::{grubbs, grubbs_critical};
use crate::stats::precision::{Precision, h_critical, k_critical};

/// Chance of calling a sound photo or session odd, over all the measures and panels of a study.
const ODD_CHANCE: f64 = 0.01;

/// A photo or a session that stands apart from the others.
#[derive(Debug, Clone)]
pub struct OddOne {
    /// File name of the photo, or name of the session.
    pub name: String,
    /// What is odd about it.
    pub apart: Apart,
    /// The first measure in which it is.
    pub metric: &'static Metric,
}

/// How something stands apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Apart {
    /// A photo lies apart from the others of its panel.
    Photo,
    /// A session's panels lie elsewhere than in the others.
    Session,
    /// A session's photos scatter more, or less, than the others'.
    Scatter,
}

/// Notes what stands apart, each thing once.
pub(super) fn note(noted: &mut Vec<OddOne>, more: Vec<OddOne>) {
    for odd in more {
        if noted
            .iter()
            .all(|n| n.name != odd.name || n.apart != odd.apart)
        {
            noted.push(odd);
        }
    }
}

/// What stands apart in one measure.
pub(super) fn odd_ones(
    metric: &'static Metric,
    figures: &Figures,
    sessions: &[Session<'_>],
) -> Vec<OddOne> {
    let mut odd = Vec::new();
    let tests = (metric::figures().count() * figures.len()) as f64;
    for (panel, by_session) in figures.iter().enumerate() {
        // Each photo beside the others of its panel in its session, all sessions of the panel together.
        let about_own: Vec<f64> = by_session
            .iter()
            .flat_map(|photos| {
                let mean = photos.iter().sum::<f64>() / photos.len().max(1) as f64;
                photos.iter().map(move |v| v - mean)
            })
            .collect();
        let limit = grubbs_critical(about_own.len(), ODD_CHANCE / tests, true);
        let furthest = grubbs(&about_own).filter(|g| limit.is_some_and(|l| g.g > l));
        let photo =
            furthest.and_then(|g| sessions.iter().flat_map(|s| &s.panels[panel]).nth(g.index));
        odd.extend(photo.map(|side| OddOne {
            name: side.name.to_owned(),
            apart: Apart::Photo,
            metric,
        }));
        let Some(precision) = Precision::new(by_session) else {
            continue;
        };
        let repeats = by_session[0].len();
        let chance = ODD_CHANCE / (tests * sessions.len() as f64);
        let (h, k) = (
            h_critical(sessions.len(), chance),
            k_critical(sessions.len(), repeats, chance),
        );
        for (session, group) in sessions.iter().zip(&precision.groups) {
            let over = |found: Option<f64>, limit: Option<f64>| {
                found.zip(limit).is_some_and(|(f, l)| f.abs() > l)
            };
            let (elsewhere, scatters) = (over(group.h, h), over(group.k, k));
            let apart = match (elsewhere, scatters) {
                (true, _) => Apart::Session,
                (false, true) => Apart::Scatter,
                (false, false) => continue,
            };
            odd.push(OddOne {
                name: session.name.to_owned(),
                apart,
                metric,
            });
        }
    }
    odd
}
