//! A measure of a reading as it would be at a higher speckle floor: the closer photo must not "have more speckles" only
//! because it shows smaller ones.

use crate::fingerprint::Fingerprint;
use crate::fingerprint::metric::Metric;
use crate::measure::SizeHistogram;
use crate::units::{Estimate, Measure, Unmeasured};

/// A measure before the rig widens it, from a floor up.
pub(super) fn at_floor(fingerprint: &Fingerprint, metric: &Metric, floor_mm: f64) -> Measure {
    let own = metric.of(&fingerprint.measurements);
    let m = &fingerprint.measurements;
    if floor_mm <= m.speckle_floor_mm {
        return own;
    }
    let Some(above) = metric.above_floor else {
        return own;
    };
    let raised = above(&m.speckle_sizes, floor_mm).ok_or(Unmeasured::TooFewSpeckles)?;
    own.map(|e| moved(e, raised, &m.speckle_sizes, floor_mm))
}

/// An estimate moved to another floor: its relative spread grows as the root of how many speckles are left.
fn moved(own: Estimate, value: f64, sizes: &SizeHistogram, floor_mm: f64) -> Estimate {
    let left = sizes.density_above(floor_mm) / sizes.density_above(0.0).max(1e-9);
    let widened = |arm: f64| arm / own.value.max(1e-9) * value / left.max(1e-3).sqrt();
    Estimate {
        value,
        low: value - widened(own.value - own.low),
        high: value + widened(own.high - own.value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_higher_floor_counts_fewer_and_larger_speckles() {
        let sizes = SizeHistogram {
            edges_mm: vec![0.5, 1.0, 2.0, 4.0],
            per_cm2: vec![2.0, 1.0, 1.0],
        };
        assert!((sizes.density_above(0.0) - 4.0).abs() < 1e-12);
        assert!((sizes.density_above(1.0) - 2.0).abs() < 1e-12);
        // Half of the second bin, on the logarithmic scale.
        assert!((sizes.density_above(2_f64.sqrt()) - 1.5).abs() < 1e-9);
        assert!((sizes.quantile_above(1.0, 0.5).unwrap() - 2.0).abs() < 1e-9);
        assert!(sizes.quantile_above(4.0, 0.5).is_none());
    }
}
