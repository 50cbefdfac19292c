//! What changes from panel to panel in the order of making: a mix getting weak, a room warming up.
//!
//! A chart of exponentially weighted means (NIST/SEMATECH e-Handbook 6.3.2.4) about the mean of all panels, its limits three
//! standard deviations out, which the moving ranges of neighbours give (6.3.2.2): a drift makes neighbours differ little and
//! the ends much. It is named where the ends also differ by half of what is allowed.

use crate::compare::verdict::Side;
use crate::fingerprint::metric::{Metric, metric};
use crate::stats::chart::{Ewma, Individuals, USUAL_LAMBDA};

/// Measures that a mix or a room may shift.
const WATCHED: [&str; 5] = [
    "coverage",
    "aggressiveness",
    "speckle_density",
    "speckle_diameter_median",
    "tone_b",
];

/// Fewest panels that show a drift.
const FEWEST: usize = 5;

/// The ends differ by at least this share of the starting allowance.
const SEEN: f64 = 0.5;

/// Standard deviation over the mean moving range of two: 1/d2, d2 = 2/√π.
const OF_RANGE: f64 = 0.886_227;

/// A drift of one measure.
#[derive(Debug, Clone)]
pub struct Drift {
    /// The measure.
    pub metric: &'static Metric,
    /// It grows.
    pub more: bool,
    /// The last third against the first, in the measure's own unit.
    pub by: f64,
}

/// One measure in the order of making, in its own unit: its figures, their mean, and where the moving ranges of neighbours
/// would keep each.
#[derive(Debug, Clone)]
pub struct Run {
    /// The measure.
    pub metric: &'static Metric,
    /// Panel by panel.
    pub values: Vec<f64>,
    /// Their mean.
    pub mean: f64,
    /// Lower and upper limit of a figure; `None` of too few panels to tell them.
    pub limits: Option<(f64, f64)>,
}

/// The runs of the measures that are watched, those that every panel shows; none of fewer than two panels.
pub(super) fn runs(panels: &[Side<'_>]) -> Vec<Run> {
    let watched = WATCHED.iter();
    watched
        .filter_map(|key| run(metric(key)?, panels))
        .collect()
}

fn run(metric: &'static Metric, panels: &[Side<'_>]) -> Option<Run> {
    let values = figures(metric, panels)?;
    let chart = Individuals::of(&values)?;
    let own = |v: f64| metric.off_scale(v);
    Some(Run {
        metric,
        mean: own(chart.centre),
        limits: (values.len() >= FEWEST).then(|| {
            let (least, most) = metric.range;
            (own(chart.low).max(least), own(chart.high).min(most))
        }),
        values: values.into_iter().map(own).collect(),
    })
}

/// The figures of a measure on the scale of its rule; `None` where a panel has none.
fn figures(metric: &Metric, panels: &[Side<'_>]) -> Option<Vec<f64>> {
    let read = |side: &Side<'_>| {
        Some(metric.on_scale((metric.of)(&side.fingerprint.measurements).ok()?.value))
    };
    panels.iter().map(read).collect()
}

/// What drifts among panels in the order of making; `None` of too few of them.
pub(super) fn drift(panels: &[Side<'_>]) -> Option<Vec<Drift>> {
    let watched = WATCHED.iter();
    (panels.len() >= FEWEST).then(|| {
        watched
            .filter_map(|key| of_measure(metric(key)?, panels))
            .collect()
    })
}

fn of_measure(metric: &'static Metric, panels: &[Side<'_>]) -> Option<Drift> {
    let values = figures(metric, panels)?;
    let step = drifts(&values, metric.allowance)?;
    let start = metric.off_scale(values[0]);
    Some(Drift {
        metric,
        more: step > 0.0,
        by: metric.step(start, step),
    })
}

/// By how much figures drift, from their first third to their last.
fn drifts(values: &[f64], allowance: f64) -> Option<f64> {
    if values.len() < FEWEST {
        return None;
    }
    let chart = Individuals::of(values)?;
    let ewma = Ewma::of(
        values,
        chart.centre,
        chart.mean_range * OF_RANGE,
        USUAL_LAMBDA,
    )?;
    let third = values.len().div_ceil(3);
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
    let step = mean(&values[values.len() - third..]) - mean(&values[..third]);
    (!ewma.outside.is_empty() && step.abs() >= SEEN * allowance).then_some(step)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slow_slide_is_seen_and_scatter_is_not() {
        let slide: Vec<f64> = (0..10).map(|i| 0.8 - 0.012 * f64::from(i)).collect();
        let by = drifts(&slide, 0.06).unwrap();
        assert!(by < -0.06, "{by}");
        let scatter = [0.80, 0.83, 0.78, 0.81, 0.79, 0.82, 0.80, 0.78, 0.83, 0.80];
        assert!(drifts(&scatter, 0.06).is_none());
        assert!(drifts(&slide[..4], 0.06).is_none());
    }

    #[test]
    fn a_slide_that_nobody_sees_is_not_named() {
        let slide: Vec<f64> = (0..10).map(|i| 0.8 - 0.002 * f64::from(i)).collect();
        assert!(drifts(&slide, 0.06).is_none());
    }
}
