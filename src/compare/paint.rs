//! What black paint behind a panel may still do to its silver level.
//!
//! Thick silver hides what lies behind it; thin silver does not. Painted, it looks darker where the paint's binder takes up
//! the light that came back from the free silver face, a little lighter where pigment touches the silver and shines itself.
//! `KNOTS` were computed for silver films on glass over those two paints (tmm 0.2.0, `scripts/paint-behind-silver.py`; the
//! paints' indices are assumed): real paint lies somewhere between.

use super::terms::{Sampled, Terms};
use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{COVERAGE, Metric};
use crate::frame::placement::Stage;
use crate::measure::Measurements;

/// Silver level with air and something black behind it; how much it falls, and how much it rises, with paint behind it.
const KNOTS: [[f64; 3]; 14] = [
    [0.000, 0.043, 0.000],
    [0.058, 0.048, 0.026],
    [0.118, 0.059, 0.038],
    [0.197, 0.070, 0.039],
    [0.327, 0.082, 0.031],
    [0.412, 0.086, 0.023],
    [0.528, 0.085, 0.013],
    [0.681, 0.073, 0.001],
    [0.787, 0.056, 0.000],
    [0.858, 0.040, 0.000],
    [0.906, 0.028, 0.000],
    [0.938, 0.019, 0.000],
    [0.974, 0.009, 0.000],
    [1.000, 0.000, 0.000],
];

/// What paint on the one that is still open may do to its coverage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paint {
    /// By how much it may darken it, silver level.
    pub darken: f64,
    /// By how much it may lighten it.
    pub lighten: f64,
    /// That alone is more than coverage may differ by, so that nothing can be called within before it is painted.
    pub decides: bool,
}

/// How far paint may move a measure of an open panel: down and up, both 0 or more, in the measure's own unit. Measures that do
/// not say how much silver is left are not moved.
#[must_use]
pub fn may_move(m: &Measurements, row: &Metric) -> (f64, f64) {
    let painted = [
        row.of_levels(m, |s| (s - at(s, 1)).max(0.0)),
        row.of_levels(m, |s| (s + at(s, 2)).min(1.0)),
    ];
    let (Some(open), [Some(darker), Some(lighter)]) = (row.of_levels(m, |s| s), painted) else {
        return (0.0, 0.0);
    };
    let painted = [darker - open, lighter - open];
    let down = painted.iter().fold(0.0_f64, |most, p| most.max(-p));
    let up = painted.iter().fold(0.0_f64, |most, p| most.max(*p));
    (down, up)
}

/// A column of the knots at a silver level.
fn at(s: f64, column: usize) -> f64 {
    let above = KNOTS.iter().position(|k| k[0] >= s);
    match above {
        None => 0.0,
        Some(0) => KNOTS[0][column],
        Some(i) => {
            let (a, b) = (KNOTS[i - 1], KNOTS[i]);
            a[column] + (s - a[0]) / (b[0] - a[0]) * (b[column] - a[column])
        }
    }
}

/// One was backed and the other not.
pub(super) fn stages_differ(a: &Fingerprint, b: &Fingerprint) -> bool {
    matches!((backed(a), backed(b)), (Some(a), Some(b)) if a != b)
}

fn backed(f: &Fingerprint) -> Option<bool> {
    f.provenance.placement.stage.map(|s| s == Stage::Backed)
}

/// What paint may still do to the coverage of the one that is open.
pub(super) fn paint_on(sample: &Fingerprint, panel: &Fingerprint, terms: &Terms<'_>) -> Paint {
    let open = if backed(panel) == Some(false) {
        panel
    } else {
        sample
    };
    let (darken, lighten) = may_move(&open.measurements, &COVERAGE);
    let allowed = sample
        .measurements
        .coverage
        .map(|e| terms.allowed(&COVERAGE, e, &Sampled::of(sample), 0.0));
    let (lower, raise) = paint_to_come(sample, panel, &COVERAGE);
    Paint {
        darken,
        lighten,
        decides: allowed.is_ok_and(|a| lower > a.less || raise > a.more),
    }
}

/// How far paint on the one that is still open may lower and raise the difference.
pub(super) fn paint_to_come(
    sample: &Fingerprint,
    panel: &Fingerprint,
    metric: &Metric,
) -> (f64, f64) {
    if backed(panel) == Some(false) {
        may_move(&panel.measurements, metric)
    } else {
        let (down, up) = may_move(&sample.measurements, metric);
        (up, down)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn knots_rise_and_are_met() {
        assert!(KNOTS.windows(2).all(|w| w[0][0] < w[1][0]));
        assert!((at(0.412, 1) - 0.086).abs() < 1e-12);
        assert!((at(0.7340, 1) - 0.0645).abs() < 1e-9);
        assert!(at(1.2, 1).abs() < 1e-12);
    }
}
