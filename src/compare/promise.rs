//! What a sample can promise for a panel of another size: how far it may stray by chance alone.
//!
//! A panel of area A differs from the finish's long-run value as a window of that area would: the sample's own interval, times
//! √(A_sample/A). The sample itself is as far off as its interval says. Both together are how far the two may lie apart though
//! they are of one finish. Counts of specks stray as a random count does (Garwood 1936), wider by as much as the sample's
//! specks lie in clumps.

use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::{Metric, Topic, figures};
use crate::stats::count::poisson_limits;
use crate::stats::{NINETY_FIVE, NINETY_OF_NINETY_FIVE};
use crate::units::{Estimate, SizeMm, Unmeasured};

use super::terms::{Sampled, Terms};

/// Half of an allowance is left to the panel's own difference, so that like panels are called within.
const HALF: f64 = 0.5;

/// Side of the largest sample that is proposed, mm.
const LARGEST_MM: f64 = 3000.0;

/// What a sample promises.
#[derive(Debug, Clone)]
pub struct Promise {
    /// Measure by measure, those the sample shows.
    pub strays: Vec<Stray>,
    /// Those that nothing can be said of; why, where the sample has no figure.
    pub left_out: Vec<(&'static Metric, Option<Unmeasured>)>,
    /// Side of a square sample that would pin every measure, mm, and the measure that asks for it; `None` where no sample of
    /// any size would, because the panel itself strays too far.
    pub pinned_by: Option<(f64, &'static Metric)>,
    /// The measures that no sample pins.
    pub never_pinned: Vec<&'static Metric>,
}

/// How far one measure may stray.
#[derive(Debug, Clone, Copy)]
pub struct Stray {
    /// The measure.
    pub metric: &'static Metric,
    /// The sample's figure, and between what a panel of the size may lie, 95 times in 100.
    pub panel: Estimate,
    /// How far it may differ and still be alike, in the measure's own unit: less and more.
    pub allowance: (f64, f64),
    /// Between what a panel may lie to be alike, as far as figures can go.
    pub may_be: (f64, f64),
    /// Side of a square sample that would pin it, mm; `None` where none would.
    pub pinned_by_mm: Option<f64>,
}

impl Stray {
    /// Chance alone may take a panel past what is allowed.
    #[must_use]
    pub fn may_stray(&self) -> bool {
        let (less, more) = self.allowance;
        self.panel.low < self.panel.value - less || self.panel.high > self.panel.value + more
    }
}

/// What a sample promises for a panel of a size, by the studio's terms.
#[must_use]
pub fn promise(sample: &Fingerprint, size: SizeMm, terms: &Terms<'_>) -> Promise {
    let m = &sample.measurements;
    let (mut strays, mut left_out) = (Vec::new(), Vec::new());
    for row in figures() {
        match row.of(m) {
            Err(why) => left_out.push((row, Some(why))),
            // The size of clouds decides nothing where the textures agree.
            Ok(_) if row.topic == Topic::Clouds => left_out.push((row, None)),
            Ok(own) => {
                let may = terms.allowed(row, own, &Sampled::of(sample), m.speckle_floor_mm);
                let may = (may.less, may.more);
                strays.push(stray(row, own, m.area_cm2, size.area_cm2(), may));
            }
        }
    }
    let pinned = strays
        .iter()
        .filter_map(|s| Some((s.pinned_by_mm?, s.metric)));
    let never = strays.iter().filter(|s| s.pinned_by_mm.is_none());
    let never_pinned: Vec<&'static Metric> = never.map(|s| s.metric).collect();
    Promise {
        pinned_by: pinned
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .filter(|_| never_pinned.is_empty()),
        never_pinned,
        strays,
        left_out,
    }
}

fn stray(
    row: &'static Metric,
    own: Estimate,
    area_cm2: f64,
    panel_cm2: f64,
    may: (f64, f64),
) -> Stray {
    let (below, above) = row.arms(own);
    let ratio = (area_cm2 / panel_cm2).sqrt();
    // The panel strays up as far as the finish may lie above the sample's figure, and then some of its own.
    let (down, up) = (below.hypot(below * ratio), above.hypot(above * ratio));
    let panel = row.possible(Estimate {
        value: own.value,
        low: own.value + row.step(own.value, -down),
        high: own.value + row.step(own.value, up),
    });
    let allowance = (-row.step(own.value, -may.0), row.step(own.value, may.1));
    let may_be = row.possible(Estimate {
        value: own.value,
        low: own.value - allowance.0,
        high: own.value + allowance.1,
    });
    Stray {
        metric: row,
        panel,
        allowance,
        may_be: (may_be.low, may_be.high),
        pinned_by_mm: pinned_by_mm(below.max(above), area_cm2, panel_cm2, may.0.min(may.1)),
    }
}

/// Side of the square sample from which on a like panel is called within: 0.84·√(h²(A) + h_panel²) is half the allowance.
fn pinned_by_mm(half: f64, area_cm2: f64, panel_cm2: f64, allowed: f64) -> Option<f64> {
    let room = (HALF * allowed / NINETY_OF_NINETY_FIVE).powi(2);
    let of_panel = half * half * area_cm2 / panel_cm2;
    let left = room - of_panel;
    if left <= 0.0 {
        return None;
    }
    let side_mm = (area_cm2 * half * half / left * 100.0).sqrt();
    (side_mm <= LARGEST_MM).then_some(side_mm)
}

/// Between what counts of specks a place that holds `count` of them on average may lie, 95 times in 100, on a finish like the
/// sample's.
#[must_use]
pub fn speckles(sample: &Fingerprint, count: usize) -> (f64, f64) {
    let (low, high) = poisson_limits(count, 0.95);
    let clumped = clumping(sample);
    let n = count as f64;
    ((n - (n - low) * clumped).max(0.0), n + (high - n) * clumped)
}

/// How many times as wide as those of a random count the sample's own limits are; never narrower.
fn clumping(sample: &Fingerprint) -> f64 {
    let m = &sample.measurements;
    let Ok(density) = m.speckle_density else {
        return 1.0;
    };
    let found = density.value * m.area_cm2;
    let own = (density.high - density.low) / (2.0 * NINETY_FIVE) * m.area_cm2;
    (own / found.max(1.0).sqrt()).max(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingerprint::metric::COVERAGE;

    fn sure(value: f64, half: f64) -> Estimate {
        Estimate {
            value,
            low: value - half,
            high: value + half,
        }
    }

    #[test]
    fn a_panel_four_times_as_large_adds_half_of_the_samples_own_doubt() {
        let row = &COVERAGE;
        let found = stray(row, sure(0.8, 0.02), 100.0, 400.0, (0.06, 0.06));
        let wanted = 0.02 * 1.25_f64.sqrt();
        assert!((found.panel.high - 0.8 - wanted).abs() < 1e-12);
    }

    #[test]
    fn the_sample_that_pins_a_measure_leaves_half_its_allowance() {
        let side = pinned_by_mm(0.02, 100.0, 1e9, 0.06).unwrap();
        // 0.84 × half on that sample is 0.03.
        let half = 0.02 * (100.0 / (side * side / 100.0)).sqrt();
        assert!((NINETY_OF_NINETY_FIVE * half - 0.03).abs() < 1e-6);
        // A small panel of a varied finish strays by itself.
        assert!(pinned_by_mm(0.2, 100.0, 100.0, 0.06).is_none());
    }
}
