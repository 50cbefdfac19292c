//! What can lie on the front of the glass: dust, seen twice, and drops of water.

use serde::{Deserialize, Serialize};

/// Refractive index of float glass.
const GLASS_INDEX: f64 = 1.52;

/// Dust on the front glass. Each grain shows itself, and its mirror image nearer to the foot of the camera.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Dust {
    /// Grains per square centimetre.
    pub per_cm2: f64,
    /// Median diameter, mm.
    pub diameter_median_mm: f64,
    /// Standard deviation of the natural logarithm of the diameter.
    pub spread: f64,
    /// Silver level a grain shows, 0 to 1.
    pub floor: f64,
    /// Thickness of the glass, mm.
    pub glass_mm: f64,
}

/// Drops of water, round, a little dark within a bright rim that is brightest towards the lamp.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Drops {
    /// Drops per square decimetre.
    pub per_dm2: f64,
    /// Median diameter, mm.
    pub diameter_median_mm: f64,
    /// Standard deviation of the natural logarithm of the diameter.
    pub spread: f64,
    /// How much brighter than the silver about it the rim is, mean over the circle: 0.2 a fifth.
    pub rim: f64,
}

/// How far a grain's image lies from the grain, mm, on glass of a thickness seen at an angle: 2 t tan of the angle in
/// the glass (Snell).
#[must_use]
pub fn doubled_mm(glass_mm: f64, angle_deg: f64) -> f64 {
    let inside = angle_deg.to_radians().sin() / GLASS_INDEX;
    2.0 * glass_mm * inside / (1.0 - inside * inside).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dust_is_doubled_by_what_snell_says() {
        // Computed by hand: asin(sin 10° / 1.52) = 6.559°, 8 mm times its tangent; likewise the others.
        for (glass, angle, apart) in [
            (4.0, 0.0, 0.0),
            (4.0, 10.0, 0.920),
            (4.0, 20.0, 1.847),
            (6.0, 20.0, 2.771),
        ] {
            assert!((doubled_mm(glass, angle) - apart).abs() < 1e-3);
        }
    }
}
