//! Over what distance a field keeps its level.

/// Distance at which a correlation falls to 1/e, mm: the mean over eight directions, distance by distance in cells, up to
/// half of the shorter side. `None` where it does not fall so far.
pub(super) fn falls_at(
    (rows, cols): (usize, usize),
    cell_mm: f64,
    correlation: impl Fn([isize; 2]) -> f64,
) -> Option<f64> {
    let mut last = 1.0;
    for lag in 1..rows.min(cols) / 2 {
        let products = (0..8).map(|turn| {
            let (sin, cos) = (f64::from(turn) * std::f64::consts::PI / 8.0).sin_cos();
            correlation([sin, cos].map(|part| (part * lag as f64).round() as isize))
        });
        let now = products.sum::<f64>() / 8.0;
        let wanted = (-1.0f64).exp();
        if now < wanted {
            let part = (last - wanted) / (last - now);
            return Some((lag as f64 - 1.0 + part) * cell_mm);
        }
        last = now;
    }
    None
}
