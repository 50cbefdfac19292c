//! What changes from panel to panel in the order of making: a mix getting weak, a room warming up.
//!
//! A chart of exponentially weighted means (NIST/SEMATECH e-Handbook 6.3.2.4) about the mean of all panels, its limits three
//! standard deviations out, which the moving ranges of neighbours give (6.3.2.2): a drift makes neighbours differ little and
//! the ends much. It is named where the ends also differ by half of what is allowed.

use crate::compare::side::Side;
use crate::fingerprint::metric::{
    AGGRESSIVENESS, COVERAGE, Metric, SPECKLE_DENSITY, SPECKLE_DIAMETER_MEDIAN, TONE_B,
};
use crate::stats::chart::{Ewma, Individuals, USUAL_LAMBDA};

/// Measures that a mix or a room may shift.
const WATCHED: [&Metric; 5] = [
    &COVERAGE,
    &AGGRESSIVENESS,
    &SPECKLE_DENSITY,
    &SPECKLE_DIAMETER_MEDIAN,
    &TONE_B,
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

/// One measure in the order of making, in its own unit. Panels that stand apart have their places and figures, but neither the
/// mean nor the limits count them.
#[derive(Debug, Clone)]
pub struct Run {
    /// The measure.
    pub metric: &'static Metric,
    /// Panel by panel, those left out that stand apart and show no figure.
    pub points: Vec<Point>,
    /// Mean of those that go with the rest.
    pub mean: f64,
    /// Where the moving ranges of neighbours would keep each; `None` of too few panels to tell.
    pub limits: Option<(f64, f64)>,
}

/// One panel of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Its place in the order given.
    pub panel: usize,
    /// Its figure.
    pub value: f64,
    /// It stands apart from the rest.
    pub odd: bool,
}

/// The runs of the measures that are watched, those that every panel shows which goes with the rest; none of fewer than two
/// such panels.
pub(super) fn runs(panels: &[Side<'_>], odd: &[bool]) -> Vec<Run> {
    let watched = WATCHED.into_iter();
    watched
        .filter_map(|metric| {
            let figures: Vec<Option<f64>> = panels.iter().map(|p| figure(metric, p)).collect();
            run(metric, &figures, odd)
        })
        .collect()
}

fn run(metric: &'static Metric, figures: &[Option<f64>], odd: &[bool]) -> Option<Run> {
    let counted = figures.iter().zip(odd).filter(|(_, odd)| !**odd);
    let counted: Vec<f64> = counted.map(|(figure, _)| *figure).collect::<Option<_>>()?;
    let chart = Individuals::new(&counted)?;
    let own = |v: f64| metric.off_scale(v);
    let of_panels = figures.iter().zip(odd).enumerate();
    Some(Run {
        metric,
        mean: own(chart.centre),
        limits: (counted.len() >= FEWEST).then(|| {
            let (least, most) = metric.range;
            (own(chart.low).max(least), own(chart.high).min(most))
        }),
        points: of_panels
            .filter_map(|(panel, (figure, odd))| {
                Some(Point {
                    panel,
                    value: own((*figure)?),
                    odd: *odd,
                })
            })
            .collect(),
    })
}

/// The figure of a measure on the scale of its rule; `None` where the panel has none.
fn figure(metric: &Metric, panel: &Side<'_>) -> Option<f64> {
    let found = metric.of(&panel.fingerprint.measurements).ok()?;
    Some(metric.on_scale(found.value))
}

/// What drifts among panels in the order of making; `None` of too few of them.
pub(super) fn drift(panels: &[Side<'_>]) -> Option<Vec<Drift>> {
    let watched = WATCHED.into_iter();
    (panels.len() >= FEWEST).then(|| {
        watched
            .filter_map(|metric| of_measure(metric, panels))
            .collect()
    })
}

fn of_measure(metric: &'static Metric, panels: &[Side<'_>]) -> Option<Drift> {
    let values: Vec<f64> = panels
        .iter()
        .map(|panel| figure(metric, panel))
        .collect::<Option<_>>()?;
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
    let chart = Individuals::new(values)?;
    let ewma = Ewma::new(
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
    fn one_that_stands_apart_keeps_its_place_and_moves_neither_mean_nor_limits() {
        let odd = [false, false, true, false, false, false];
        let all = [0.80, 0.81, 0.40, 0.79, 0.80, 0.82].map(Some);
        let run_of = |figures: &[Option<f64>]| run(&COVERAGE, figures, &odd).unwrap();
        let with = run_of(&all);
        let places: Vec<usize> = with.points.iter().map(|p| p.panel).collect();
        assert_eq!(places, [0, 1, 2, 3, 4, 5]);
        assert!(with.points.iter().all(|p| p.odd == (p.panel == 2)));
        assert!((with.mean - 0.804).abs() < 1e-12, "{}", with.mean);
        // 3 d2 of a mean step of 0.015, and neighbours are those on either side of the odd one.
        let (low, high) = with.limits.unwrap();
        assert!((high - low - 6.0 * 0.015 * OF_RANGE).abs() < 1e-6);
        // One that shows no figure is left out where it stands apart; of the others each must show it.
        let missing = |panel: usize| {
            let mut figures = all;
            figures[panel] = None;
            figures
        };
        let without = run_of(&missing(2));
        assert_eq!(without.points.len(), 5);
        assert_eq!(without.points[2].panel, 3);
        assert!((without.mean - with.mean).abs() < 1e-12);
        assert!(run(&COVERAGE, &missing(1), &odd).is_none());
    }

    #[test]
    fn a_slide_that_nobody_sees_is_not_named() {
        let slide: Vec<f64> = (0..10).map(|i| 0.8 - 0.002 * f64::from(i)).collect();
        assert!(drifts(&slide, 0.06).is_none());
    }
}
