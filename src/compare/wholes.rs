//! Two readings set against each other as wholes: what a single figure would miss.

use super::today::Today;
use super::verdict::Side;
use crate::fingerprint::metric::{self, Metric};
use crate::fingerprint::{Fingerprint, Verdict};

/// One whole of two readings.
#[derive(Debug, Clone, Copy)]
pub struct WholeMatch {
    /// Which.
    pub whole: &'static Metric,
    /// Panel less sample; of forms how far apart they are, 0 or more. In the whole's unit.
    pub difference: f64,
    /// Lower end of its 90 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// How far it may go.
    pub allowance: f64,
    /// What follows.
    pub verdict: Verdict,
}

impl WholeMatch {
    /// The difference over the allowance: 1 at its edge.
    #[must_use]
    pub fn weight(&self) -> f64 {
        self.difference.abs() / self.allowance.max(1e-9)
    }
}

/// All that can be said of two readings as wholes, speckles from a floor up. By as much as the sample differs from itself today
/// the panel may do so by chance.
#[must_use]
pub fn wholes(
    sample: &Fingerprint,
    panel: &Fingerprint,
    floor_mm: f64,
    today: Option<&Today<'_>>,
) -> Vec<WholeMatch> {
    let found = |whole: &'static Metric| {
        let mut apart = whole.apart(sample, panel, floor_mm)?;
        let itself =
            |(a, b): (Side<'_>, Side<'_>)| whole.apart(a.fingerprint, b.fingerprint, floor_mm);
        let pairs = today.map(Today::pairs).into_iter().flatten();
        apart.chance += pairs
            .filter_map(itself)
            .map(|a| a.difference.abs())
            .fold(0.0, f64::max);
        let allowance = whole.start(apart.sample);
        let (low, high) = (
            apart.difference - apart.chance,
            apart.difference + apart.chance,
        );
        let verdict = if low >= -allowance && high <= allowance {
            Verdict::Within
        } else if low > allowance || high < -allowance {
            Verdict::Outside
        } else {
            Verdict::Unsure
        };
        Some(WholeMatch {
            whole,
            difference: apart.difference,
            low,
            high,
            allowance,
            verdict,
        })
    };
    metric::wholes().filter_map(found).collect()
}
