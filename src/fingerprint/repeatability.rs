//! How far readings of one and the same panel in one rig lie apart, and what that does to an interval.
//!
//! s_r is the repeatability standard deviation (ISO 5725-2): the root of the variance within panels, from repeated photos.
//! It stands on the scale of the measure's rule (`scale.rs`), so of counts and sizes it is a relative one, and a study of a
//! lightly aged panel serves for a heavily aged one. A panel's interval of half-width h becomes one of √(h² + (t s_r)²),
//! with Student's t of the study's degrees of freedom, each side by itself.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::metric::Metric;
use crate::stats::student;
use crate::units::Estimate;

/// Limit over standard deviation: 1.96 √2, rounded as ISO 5725-6 rounds it.
const LIMIT_OVER_SD: f64 = 2.8;

/// The repeatability of one measure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Scatter {
    /// Repeatability standard deviation s_r, on the scale of the measure's rule.
    pub sd: f64,
    /// Degrees of freedom it was found with: photos less panels.
    pub dof: usize,
}

impl Scatter {
    /// Repeatability limit, on the same scale: two readings of one panel differ by less, 95 times in 100.
    #[must_use]
    pub fn limit(self) -> f64 {
        LIMIT_OVER_SD * self.sd
    }

    /// The limit of two readings, each with the scatter of its own rig where that is known; 0 where neither is.
    #[must_use]
    pub fn limit_of_two(a: Option<Scatter>, b: Option<Scatter>) -> f64 {
        let limit = |s: Option<Scatter>| s.map_or(0.0, Scatter::limit);
        limit(a).hypot(limit(b)) / std::f64::consts::SQRT_2
    }

    /// Half-width of the 95 % interval of a single reading, on the same scale: t s_r.
    #[must_use]
    pub fn half_width(self) -> f64 {
        let t = student::point(self.dof as f64, 0.975);
        t.map_or(f64::INFINITY, |t| t * self.sd)
    }

    /// An estimate with its interval widened by this scatter.
    #[must_use]
    pub fn widen(self, row: &Metric, e: Estimate) -> Estimate {
        let (below, above) = row.arms(e);
        let half = self.half_width();
        Estimate {
            value: e.value,
            low: e.value + row.step(e.value, -below.hypot(half)),
            high: e.value + row.step(e.value, above.hypot(half)),
        }
    }
}

/// The repeatability of a rig, measure by measure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Repeatability {
    /// Version of the measures it was found with.
    pub version: u32,
    /// Digest of the settings it was found with.
    pub settings_digest: String,
    /// Sessions it was found in: of one, how readings of one day scatter; of more, how those of any day do.
    #[serde(default = "one")]
    pub sessions: usize,
    /// Measure to scatter; measures that could not be studied are missing.
    pub measures: BTreeMap<String, Scatter>,
}

fn one() -> usize {
    1
}

impl Repeatability {
    /// The scatter of a measure, where it was studied.
    #[must_use]
    pub fn of(&self, row: &Metric) -> Option<Scatter> {
        self.measures.get(row.key).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingerprint::metric::{AGGRESSIVENESS, SPECKLE_DENSITY, SPECKLE_DIAMETER_MEDIAN};

    const SURE: Estimate = Estimate {
        value: 2.0,
        low: 1.7,
        high: 2.4,
    };

    #[test]
    fn half_widths_add_in_quadrature_side_by_side() {
        // t(4, 97.5 %) = 2.776445 (any table), so t s_r = 0.4.
        let scatter = Scatter {
            sd: 0.4 / 2.776_445,
            dof: 4,
        };
        let wide = scatter.widen(&AGGRESSIVENESS, SURE);
        assert!((wide.low - (2.0 - 0.5)).abs() < 1e-6, "{wide:?}");
        assert!((wide.high - (2.0 + 0.4 * 2_f64.sqrt())).abs() < 1e-6);
        assert!((scatter.limit() - 2.8 * scatter.sd).abs() < 1e-15);
    }

    #[test]
    fn of_a_ratio_the_scatter_is_a_share() {
        let scatter = Scatter {
            sd: 1.2_f64.ln() / 2.776_445,
            dof: 4,
        };
        let sharp = Estimate {
            value: 2.0,
            low: 2.0,
            high: 2.0,
        };
        let wide = scatter.widen(&SPECKLE_DIAMETER_MEDIAN, sharp);
        assert!((wide.high - 2.4).abs() < 1e-6 && (wide.low - 2.0 / 1.2).abs() < 1e-6);
    }

    #[test]
    fn no_scatter_widens_nothing_and_two_alike_have_the_limit_of_one() {
        let none = Scatter { sd: 0.0, dof: 9 };
        let row = &SPECKLE_DENSITY;
        let same = none.widen(row, SURE);
        assert!((same.low - 1.7).abs() < 1e-12 && (same.high - 2.4).abs() < 1e-12);
        let some = Some(Scatter { sd: 0.1, dof: 9 });
        assert!((Scatter::limit_of_two(some, some) - 0.28).abs() < 1e-12);
        assert!((Scatter::limit_of_two(None, some) - 0.198).abs() < 1e-3);
    }
}
