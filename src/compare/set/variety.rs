//! Where the variety of a set lies: between its panels, or within each of them.
//!
//! One-way analysis of variance with random effects, the panels being the groups and their windows the figures.

use crate::compare::side::Side;
use crate::fingerprint::metric::{COVERAGE, DARK_FRACTION, Metric, SPECKLE_DENSITY};
use crate::measure::WindowValues;
use crate::stats::anova::OneWay;

/// A measure, and where a window holds it.
type InWindow = (&'static Metric, fn(&WindowValues) -> f64);

/// What each window of a panel holds.
const IN_WINDOWS: [InWindow; 3] = [
    (&COVERAGE, |w| w.coverage),
    (&DARK_FRACTION, |w| w.dark_fraction),
    (&SPECKLE_DENSITY, |w| w.speckle_density),
];

/// The variety of one measure.
#[derive(Debug, Clone, Copy)]
pub struct Variance {
    /// The measure.
    pub metric: &'static Metric,
    /// Standard deviation between panels.
    pub between_sd: f64,
    /// Between the windows of one panel.
    pub within_sd: f64,
    /// Share of the variance that lies between panels, 0 to 1.
    pub between_share: f64,
}

/// The variety of each measure that windows hold.
pub(super) fn variance(panels: &[Side<'_>]) -> Vec<Variance> {
    let found = |(metric, of): &InWindow| {
        let windows = |side: &Side<'_>| {
            side.fingerprint
                .measurements
                .window_values
                .iter()
                .map(of)
                .collect()
        };
        let groups: Vec<Vec<f64>> = panels.iter().map(windows).collect();
        let found = OneWay::new(&groups)?;
        let between = found.between_variance()?;
        let whole = between + found.within;
        Some(Variance {
            metric,
            between_sd: between.sqrt(),
            within_sd: found.within.sqrt(),
            between_share: if whole > 0.0 { between / whole } else { 0.0 },
        })
    };
    IN_WINDOWS.iter().filter_map(found).collect()
}
