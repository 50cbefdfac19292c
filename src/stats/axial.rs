//! Directions without an arrow: the doubled-angle sums of orientation tensors, and whether they stand out from chance.

use statrs::distribution::{ContinuousCDF, FisherSnedecor};

use crate::units::axial;

/// A symmetric 2 × 2 tensor Σ g gᵀ of gradients, in doubled-angle form.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Tensor {
    /// Σ (gx² − gy²).
    pub cos: f64,
    /// Σ 2 gx gy.
    pub sin: f64,
    /// Σ (gx² + gy²).
    pub trace: f64,
    /// Σ of the weights.
    pub weight: f64,
}

impl Tensor {
    /// Adds one gradient with a weight.
    pub fn add(&mut self, gx: f64, gy: f64, weight: f64) {
        self.cos += weight * (gx * gx - gy * gy);
        self.sin += weight * 2.0 * gx * gy;
        self.trace += weight * (gx * gx + gy * gy);
        self.weight += weight;
    }

    /// Coherence (λ₁ − λ₂)/(λ₁ + λ₂): 0 no direction, 1 one direction only (Bigün & Granlund 1987).
    #[must_use]
    pub fn coherence(&self) -> f64 {
        if self.trace > 0.0 {
            (self.cos.hypot(self.sin) / self.trace).min(1.0)
        } else {
            0.0
        }
    }

    /// Axis along the lines (across the gradient), degrees in [0, 180), x right and y as the gradients' y.
    #[must_use]
    pub fn line_axis(&self) -> f64 {
        axial(self.sin.atan2(self.cos).to_degrees() / 2.0 + 90.0)
    }

    /// Weighted sum of tensors.
    #[must_use]
    pub fn sum(tensors: &[Tensor], weights: &[f64]) -> Tensor {
        let mut total = Tensor::default();
        for (t, w) in tensors.iter().zip(weights) {
            total.cos += w * t.cos;
            total.sin += w * t.sin;
            total.trace += w * t.trace;
            total.weight += w * t.weight;
        }
        total
    }
}

/// Mean of axes, degrees in [0, 180): half the direction of the sum of their doubled angles (Fisher 1993, 2.3). Axes that
/// cancel have none, and any is given.
#[must_use]
pub fn mean_axis(degrees: &[f64]) -> f64 {
    let (cos, sin) = degrees.iter().fold((0.0, 0.0), |(cos, sin), d| {
        let doubled = (2.0 * d).to_radians();
        (cos + doubled.cos(), sin + doubled.sin())
    });
    axial(sin.atan2(cos).to_degrees() / 2.0)
}

/// Chance that windows with no common direction would show one at least this strong: Hotelling's T² on the windows'
/// doubled-angle components, which are zero on average where no axis is preferred. 1 for fewer than four windows.
#[must_use]
pub fn chance_of_direction(windows: &[Tensor]) -> f64 {
    let n = windows.len() as f64;
    if windows.len() < 4 {
        return 1.0;
    }
    let (mx, my) = windows
        .iter()
        .fold((0.0, 0.0), |(x, y), t| (x + t.cos / n, y + t.sin / n));
    let (mut sxx, mut sxy, mut syy) = (0.0, 0.0, 0.0);
    for t in windows {
        let (dx, dy) = (t.cos - mx, t.sin - my);
        sxx += dx * dx / (n - 1.0);
        sxy += dx * dy / (n - 1.0);
        syy += dy * dy / (n - 1.0);
    }
    let det = sxx * syy - sxy * sxy;
    if mx.hypot(my) <= 0.0 {
        return 1.0;
    }
    if det <= 1e-12 * (sxx + syy).powi(2) {
        // All windows agree exactly.
        return 0.0;
    }
    let t2 = n * (mx * mx * syy - 2.0 * mx * my * sxy + my * my * sxx) / det;
    let f = t2 * (n - 2.0) / (2.0 * (n - 1.0));
    FisherSnedecor::new(2.0, n - 2.0).map_or(1.0, |d| d.sf(f))
}

#[cfg(test)]
mod tests {
    use super::*;
    use rand::{RngExt, SeedableRng};

    #[test]
    fn crossed_waves_have_the_closed_form_coherence() {
        // Waves of amplitude 1 and 0.5 at right angles: (1 − 0.25)/(1 + 0.25) = 0.6.
        let mut t = Tensor::default();
        t.add(1.0, 0.0, 1.0);
        t.add(0.0, 0.5, 1.0);
        assert!((t.coherence() - 0.6).abs() < 1e-12);
        assert!((t.line_axis() - 90.0).abs() < 1e-9);
    }

    #[test]
    fn axes_either_side_of_the_bottom_edge_have_it_as_their_mean() {
        let mean = mean_axis(&[170.0, 10.0, 178.0, 2.0]);
        assert!(mean.min(180.0 - mean) < 1e-9, "{mean}");
        assert!((mean_axis(&[30.0, 50.0]) - 40.0).abs() < 1e-9);
    }

    #[test]
    fn chance_keeps_its_promise_on_windows_without_direction() {
        let mut rng = rand_pcg::Pcg64::seed_from_u64(11);
        let trials = 2000;
        let called = (0..trials)
            .filter(|_| {
                let windows: Vec<Tensor> = (0..25)
                    .map(|_| {
                        let angle = rng.random::<f64>() * std::f64::consts::TAU;
                        let strength = rng.random::<f64>();
                        Tensor {
                            cos: strength * angle.cos(),
                            sin: strength * angle.sin(),
                            trace: 1.0,
                            weight: 1.0,
                        }
                    })
                    .collect();
                chance_of_direction(&windows) < 0.05
            })
            .count();
        // Binomial(2000, 0.05): 100 ± 4 × 9.7.
        assert!((60..=140).contains(&called), "{called}");
    }
}
