//! What the JSON objects of all answers share. Figures keep three decimals more than are shown, so that a reader may round
//! them once.

use crate::fingerprint::metric::Metric;

/// Version of the JSON's form.
pub const SCHEMA: u32 = 1;

/// Decimals kept beyond those shown.
const MORE_DECIMALS: usize = 3;

/// Rounds a figure to three decimals more than its row shows.
#[must_use]
pub fn figure(metric: &Metric, value: f64) -> f64 {
    beyond(metric.decimals, value)
}

/// Rounds a figure to three decimals more than these.
#[must_use]
pub fn beyond(decimals: usize, value: f64) -> f64 {
    rounded(value, i32::try_from(decimals + MORE_DECIMALS).unwrap_or(0))
}

/// Rounds to so many decimals; never to a negative nought.
#[must_use]
pub fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale).round() / scale + 0.0
}
