//! Two readings set against each other as wholes: what a single figure would miss.

use super::side::Side;
use super::terms::Terms;
use super::today::Today;
use crate::fingerprint::Verdict;
use crate::fingerprint::metric::{self, Metric};

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
    sample: Side<'_>,
    panel: Side<'_>,
    terms: &Terms<'_>,
    floor_mm: f64,
    today: Option<&Today<'_>>,
) -> Vec<WholeMatch> {
    let found = |whole: &'static Metric| {
        let itself =
            |(a, b): (Side<'_>, Side<'_>)| whole.apart(a.fingerprint, b.fingerprint, floor_mm);
        let apart = itself((sample, panel))?;
        let pairs = today.map(Today::pairs).into_iter().flatten();
        let today = pairs
            .filter_map(itself)
            .map(|a| a.difference.abs())
            .fold(0.0, f64::max);
        // The signed pieces may differ from the sample as they do, and panels as much.
        let signed = terms.light.into_iter().chain(terms.dark);
        let signed = signed.filter_map(|piece| itself((sample, piece)));
        let allowance = signed
            .flat_map(|apart| apart.ends.map(f64::abs))
            .fold(terms.may_differ(whole, apart.sample), f64::max);
        let [low, high] = [apart.ends[0] - today, apart.ends[1] + today];
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
