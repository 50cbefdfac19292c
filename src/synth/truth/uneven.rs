//! How places of a panel differ.

use ndarray::ArrayView2;

use crate::synth::smooth::{mean_of, window};

/// Places along a side, and parts of a place along a side.
const PLACES: usize = 4;

/// Standard deviation of the loss among places a quarter of the panel wide and high, beyond what the parts of a place (a
/// quarter of it wide and high) give by chance: the root of the variance component between places of a one-way random
/// effects model, (MSB − MSW) / 16, and 0 where that is below 0.
pub(super) fn unevenness(silver: ArrayView2<'_, f32>) -> f64 {
    let parts = PLACES * PLACES;
    let (rows, cols) = silver.dim();
    let cut = |k: usize, n: usize| k * n / parts..(k + 1) * n / parts;
    let loss =
        |r: usize, c: usize| mean_of(window(silver, cut(r, rows), cut(c, cols)), |s| 1.0 - s);
    let places: Vec<Vec<f64>> = (0..parts)
        .map(|place| {
            let (r, c) = (place / PLACES * PLACES, place % PLACES * PLACES);
            (0..parts)
                .map(|part| loss(r + part / PLACES, c + part % PLACES))
                .collect()
        })
        .collect();
    let n = parts as f64;
    let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len() as f64;
    let squares = |values: &[f64]| {
        let middle = mean(values);
        values.iter().map(|v| (v - middle).powi(2)).sum::<f64>()
    };
    let means: Vec<f64> = places.iter().map(|place| mean(place)).collect();
    let between = n * squares(&means) / (n - 1.0);
    let within = places.iter().map(|place| squares(place)).sum::<f64>() / (n * (n - 1.0));
    ((between - within) / n).max(0.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Plane;

    #[test]
    fn a_slope_is_as_uneven_as_worked_out_by_hand() {
        // Loss rising by h from part to part across, 16 parts: place means −6h, −2h, 2h, 6h, so MSB = 16 · 4 · 80 h² / 15;
        // within, ±1.5h and ±0.5h, so MSW = 16 · 20 h² / 240. (MSB − MSW) / 16 = 21.25 h².
        let ramp = Plane::from_shape_fn((160, 320), |(_, c)| 1.0 - (c as f32 + 0.5) / 640.0);
        let h = 0.5 / 16.0;
        let found = unevenness(ramp.view());
        assert!((found - 21.25f64.sqrt() * h).abs() < 1e-5, "{found}");
        assert!(unevenness(Plane::from_elem((64, 64), 0.6).view()) < 1e-9);
    }

    #[test]
    fn what_differs_within_places_only_is_even() {
        let checks = Plane::from_shape_fn((160, 160), |(r, c)| ((r / 10 + c / 10) % 2) as f32);
        assert!(unevenness(checks.view()) < 1e-9);
    }
}
