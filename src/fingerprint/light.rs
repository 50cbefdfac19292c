//! What a doubt of full silver's light does to a measure.
//!
//! Were full silver brighter by a share, every silver level would be lower by it. Figures that follow from the silver level alone
//! are worked out once more from its histogram, two deviations up and down; the others hang on contrasts, not on the level.

use super::metric::Metric;
use crate::measure::Measurements;
use crate::units::{Estimate, Measure};

/// Deviations to either side of a 95 % interval.
const DEVIATIONS: f64 = 1.96;

/// A measure with its interval widened by a doubt of the light, a standard deviation as a share.
pub(super) fn widened(row: &Metric, m: &Measurements, doubt: f64, found: Measure) -> Measure {
    let under = |light: f64| row.of_levels(m, |s| (s / light).min(1.0));
    let by = (DEVIATIONS * doubt).exp();
    let moved = (doubt > 0.0).then(|| Some([under(by)?, under(1.0)?, under(1.0 / by)?]));
    let Some([bright, as_read, dim]) = moved.flatten() else {
        return found;
    };
    let arms = [bright - as_read, dim - as_read];
    found.map(|e| {
        let (below, above) = row.arms(e);
        // On the scale of the row's rule.
        let reach = arms.map(|arm| row.difference(e.value, e.value + arm));
        let down = reach.into_iter().fold(0.0, |most: f64, r| most.max(-r));
        let up = reach.into_iter().fold(0.0, f64::max);
        Estimate {
            value: e.value,
            low: e.value + row.step(e.value, -below.hypot(down)),
            high: e.value + row.step(e.value, above.hypot(up)),
        }
    })
}
