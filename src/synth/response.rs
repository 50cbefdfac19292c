//! How a camera makes codes of light. Each curve is of our own making, rises strictly, and gives full scale for full scale.

use serde::{Deserialize, Serialize};

/// A tone curve.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Response {
    /// IEC 61966-2-1, as the file says.
    #[default]
    Srgb,
    /// A contrasty phone: a logistic curve in the logarithm of the exposure. Shadows deep, middle lifted, a long shoulder.
    Contrasty,
    /// A flat, pale look: a power of 1/1.8 over shadows lifted to a twentieth of the code range.
    Flat,
    /// Highlights pressed together as by a picture put together from several: light x becomes 3x / (1 + 2x), then sRGB.
    Shoulder,
}

impl Response {
    /// It is what the file says.
    #[must_use]
    pub fn is_srgb(&self) -> bool {
        *self == Response::Srgb
    }

    /// Code of linear light, both 0 to 1.
    #[must_use]
    pub fn code(self, light: f64) -> f64 {
        match self {
            Response::Srgb => srgb(light),
            Response::Contrasty => {
                // Half of the curve's reach lies at a fifth of full scale.
                let logistic = |x: f64| x.powf(1.15) / (x.powf(1.15) + 0.2_f64.powf(1.15));
                logistic(light) / logistic(1.0)
            }
            Response::Flat => 0.05 + 0.95 * light.powf(1.0 / 1.8),
            Response::Shoulder => srgb(3.0 * light / (1.0 + 2.0 * light)),
        }
    }

    /// The 8-bit code of each of `steps` even steps of light, and of none.
    pub(super) fn codes(self, steps: usize) -> Vec<u8> {
        (0..=steps)
            .map(|step| (self.code(step as f64 / steps as f64) * 255.0).round() as u8)
            .collect()
    }
}

fn srgb(light: f64) -> f64 {
    if light <= 0.003_130_8 {
        12.92 * light
    } else {
        1.055 * light.powf(1.0 / 2.4) - 0.055
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_curve_rises_from_black_to_white() {
        for curve in [
            Response::Srgb,
            Response::Contrasty,
            Response::Flat,
            Response::Shoulder,
        ] {
            let codes: Vec<f64> = (0..=1000)
                .map(|i| curve.code(f64::from(i) / 1000.0))
                .collect();
            assert!(codes.windows(2).all(|c| c[0] < c[1]), "{curve:?}");
            assert!((0.0..=0.05).contains(&codes[0]) && (codes[1000] - 1.0).abs() < 1e-9);
        }
    }
}
