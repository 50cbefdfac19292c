//! Which way a panel lies from its sample, and where on it the difference sits.

use serde::Serialize;

use super::rules::{Comparison, MeasureMatch};
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

fn coverage(measures: &[MeasureMatch]) -> Option<Comparison> {
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

#[cfg(test)]
mod tests {
    use super::super::drawn::{even, row};
    use super::*;
    use crate::fingerprint::metric::COVERAGE;
    use Verdict::{Outside, Unsure, Within};

    #[test]
    fn it_heads_the_answer_beyond_what_coverage_may_differ_by() {
        let at = |weight| lean(&[row(&COVERAGE, Outside, weight)], Lean::Darker);
        assert_eq!([at(1.0), at(-1.0)], [Lean::Neither; 2]);
        assert_eq!([at(1.01), at(-1.01)], [Lean::Darker; 2]);
        assert_eq!(
            lean(&[row(&SPECKLE_DENSITY, Outside, 9.0)], Lean::Darker),
            Lean::Neither
        );
        assert_eq!(lean(&[], Lean::Darker), Lean::Neither);
    }

    #[test]
    fn it_lies_where_coverage_surely_does_and_by_a_quarter() {
        let at = |weight| toward(&[row(&COVERAGE, Within, weight)]);
        assert_eq!([at(0.25), at(-0.25)], [Lean::Lighter, Lean::Darker]);
        assert_eq!([at(0.24), at(-0.24), at(0.0)], [Lean::Neither; 3]);
        // The interval holds none.
        assert_eq!(toward(&[row(&COVERAGE, Unsure, 2.0)]), Lean::Neither);
        let mut unreal = row(&COVERAGE, Outside, 2.0);
        if let Some(found) = &mut unreal.found {
            found.real = false;
        }
        assert_eq!(toward(&[unreal]), Lean::Neither);
        assert_eq!(toward(&[]), Lean::Neither);
    }

    #[test]
    fn worn_edges_are_the_place_of_a_darker_panel() {
        let (sample, panel) = (even(1.0).measurements, even(0.8).measurements);
        let of = |toward, rows: &[MeasureMatch]| place(toward, rows, &sample, &panel);
        let worn = [row(&EDGE_LOSS, Outside, 2.0)];
        assert_eq!(of(Lean::Darker, &worn), Some(Place::Edges));
        // Less worn, or not surely: by the windows, which differ all over.
        for rows in [
            [row(&EDGE_LOSS, Outside, -2.0)],
            [row(&EDGE_LOSS, Unsure, 2.0)],
        ] {
            assert_eq!(of(Lean::Darker, &rows), Some(Place::AllOver));
        }
        assert_eq!(of(Lean::Lighter, &worn), None);
        // Where it leans to neither, by its specks, unless they agree.
        assert_eq!(
            of(Lean::Neither, &[row(&SPECKLE_DENSITY, Within, 0.1)]),
            None
        );
        assert_eq!(
            of(Lean::Neither, &[row(&SPECKLE_DENSITY, Outside, 2.0)]),
            None
        );
        let mut specked = panel.clone();
        specked
            .window_values
            .iter_mut()
            .for_each(|w| w.speckle_density = 3.0);
        let found = place(
            Lean::Neither,
            &[row(&SPECKLE_DENSITY, Outside, 2.0)],
            &sample,
            &specked,
        );
        assert_eq!(found, Some(Place::AllOver));
    }
}
