//! Which way a panel lies from its sample, and where on it the difference sits.

use serde::Serialize;

use super::rules::{Found, MeasureMatch};
use super::whereabouts::{Place, whereabouts};
use crate::fingerprint::Verdict;
use crate::fingerprint::metric::{EDGE_LOSS, Metric, SPECKLE_DENSITY};
use crate::measure::Measurements;

/// A difference in coverage under this share of its allowance is no lean.
const LEAST_LEAN: f64 = 0.25;

/// Which way a panel lies from the sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Lean {
    /// More silver left than on the sample.
    Lighter,
    /// Less silver left.
    Darker,
    /// As much.
    Neither,
}

fn coverage(measures: &[MeasureMatch]) -> Option<Found> {
    measures.iter().find(|m| m.metric.leads)?.found
}

/// Which way a panel lies whose silver is beyond what it may differ by.
pub(super) fn lean(measures: &[MeasureMatch], toward: Lean) -> Lean {
    match coverage(measures) {
        Some(f) if f.weight > 1.0 => toward,
        _ => Lean::Neither,
    }
}

/// Which way a panel lies at all, be it little.
pub(super) fn toward(measures: &[MeasureMatch]) -> Lean {
    match coverage(measures) {
        Some(f) if !f.real || f.weight < LEAST_LEAN => Lean::Neither,
        Some(f) if f.low > 0.0 => Lean::Lighter,
        Some(f) if f.high < 0.0 => Lean::Darker,
        _ => Lean::Neither,
    }
}

/// Where the loss sits of a panel that leans, else where its specks do.
pub(super) fn place(
    toward: Lean,
    measures: &[MeasureMatch],
    sample: &Measurements,
    panel: &Measurements,
) -> Option<Place> {
    let found = |row: &Metric| measures.iter().find(|m| m.metric == row)?.found;
    let worn_edges =
        found(&EDGE_LOSS).is_some_and(|f| f.verdict == Verdict::Outside && f.difference > 0.0);
    match toward {
        Lean::Darker if worn_edges => Some(Place::Edges),
        Lean::Lighter => whereabouts(sample, panel, |w| w.coverage, true),
        Lean::Darker => whereabouts(sample, panel, |w| w.coverage, false),
        Lean::Neither => {
            let specks = found(&SPECKLE_DENSITY).filter(|f| f.verdict != Verdict::Within)?;
            whereabouts(
                sample,
                panel,
                |w| w.speckle_density,
                specks.difference > 0.0,
            )
        }
    }
}
