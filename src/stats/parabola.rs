//! The parabola through three values that lie one apart.

/// Where its vertex lies, from the middle value on: `rise` is the third value less the first, `bend` twice the middle one less
/// both others. For a valley both are given with the other sign. 0 where it does not bend that way.
#[inline]
#[must_use]
pub fn vertex(rise: f64, bend: f64) -> f64 {
    if bend > 0.0 && bend.is_finite() {
        0.5 * rise / bend
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_top_of_a_parabola_is_found() {
        let value = |x: f64| 3.0 - (x - 0.3).powi(2);
        let [before, here, after] = [-1.0, 0.0, 1.0].map(value);
        let top = vertex(after - before, 2.0 * here - before - after);
        assert!((top - 0.3).abs() < 1e-12);
        assert!(vertex(1.0, 0.0).abs() < 1e-12 && vertex(1.0, f64::INFINITY).abs() < 1e-12);
    }
}
