//! Light at a sheet of glass silvered behind and painted black over it, seen straight on.
//!
//! The front throws back F = ((n − 1)/(n + 1))² (Fresnel) and lets the rest through to the silver and out again. A bare spot shows F
//! and a little of the paint; silver of reflectance R, of which the share s is there, shows F + (1 − F)² R s / (1 − F R s), for some of
//! its light runs to and fro between silver and front. What a bare spot shows against full silver, the bare ratio b, is 0 where
//! nothing comes back from it and 1 where it cannot be told from silver; it is worked out without the to and fro, which adds up to
//! F·R, 4 %, to silver as good as evaporated film. Slanting light raises it.

/// Refractive index of window glass (soda-lime float glass, 589 nm; handbooks).
pub const GLASS: f64 = 1.52;

/// What black paint behind the glass adds to its front, as a share of the light: between one with the index of the glass,
/// which adds next to nothing, and one that absorbs strongly (extinction 0.5), which adds 0.024.
pub const PAINT: f64 = 0.012;

/// Reflectance of hand-poured silver seen from within the glass; evaporated film reaches 0.97 to 0.99, and a bought mirror
/// of 2 to 6 mm shows 0.86 or more from the front (EN 1036-1:2007), about what this comes to there.
pub const SILVER: f64 = 0.90;

/// Share of light that a boundary of air and a clear material of refractive index `n` throws straight back.
#[must_use]
pub fn fresnel(n: f64) -> f64 {
    ((n - 1.0) / (n + 1.0)).powi(2)
}

/// Share of light that silver of reflectance `silver` shows from behind glass of index `n`.
#[must_use]
pub fn full_silver(n: f64, silver: f64) -> f64 {
    let front = fresnel(n);
    front + (1.0 - front).powi(2) * silver
}

/// What a bare spot shows against full silver: glass of index `n`, paint that adds the share `paint`, silver of
/// reflectance `silver`.
#[must_use]
pub fn ratio(n: f64, paint: f64, silver: f64) -> f64 {
    (fresnel(n) + paint) / full_silver(n, silver)
}

/// The ratio of [`GLASS`], [`PAINT`] and [`SILVER`], to the three decimals that these can bear.
#[must_use]
pub fn usual_ratio() -> f64 {
    (ratio(GLASS, PAINT, SILVER) * 1000.0).round() / 1000.0
}

/// Share of the silver's own light that comes back to it from the front, f = F·R.
pub const RETURNED: f64 = 0.0383;

/// The silver there is where the panel shows `shown`: 0 what a bare spot shows, 1 what full silver shows, and between them a
/// little less than in proportion, u = s (1 − f) / (1 − f s). The light that ran to and fro comes out 1 to 2 mm aside of where it went in
/// (2·t·tan of the angle in the glass), so this is true of veil and clouds; beside a speck of full silver it leaves a ghost of f, and
/// where nothing or all is left it changes nothing.
#[inline(always)]
#[must_use]
pub fn silver_behind(shown: f32) -> f32 {
    let f = RETURNED as f32;
    shown / (1.0 - f * (1.0 - shown))
}

/// What silver shows: the way back of [`silver_behind`].
#[inline(always)]
#[must_use]
pub fn shown_by(silver: f32) -> f32 {
    let f = RETURNED as f32;
    silver * (1.0 - f) / (1.0 - f * silver)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_ratio_is_that_of_its_three_figures() {
        // (0.04258 + 0.012) / (0.04258 + 0.95742² × 0.90) by hand.
        assert!((ratio(GLASS, PAINT, SILVER) - 0.062_911).abs() < 1e-6);
        assert_eq!(usual_ratio().to_bits(), 0.063_f64.to_bits());
    }

    #[test]
    fn without_glass_and_paint_nothing_comes_back_from_a_bare_spot() {
        assert!(ratio(1.0, 0.0, SILVER).abs() < 1e-12);
        assert!((full_silver(1.0, SILVER) - SILVER).abs() < 1e-12);
    }

    #[test]
    fn light_to_and_fro_is_the_geometric_series_it_is_made_of() {
        let front = fresnel(GLASS);
        assert!((RETURNED - front * SILVER).abs() < 5e-5);
        let whole = |s: f64| {
            let back = (0..40).map(|k| (front * SILVER * s).powi(k)).sum::<f64>();
            (1.0 - front).powi(2) * SILVER * s * back
        };
        for s in [0.0_f32, 0.1, 0.5, 0.86, 1.0] {
            let shown = (whole(f64::from(s)) / whole(1.0)) as f32;
            assert!((silver_behind(shown) - s).abs() < 2e-5, "{s}");
            assert!((shown_by(s) - shown).abs() < 2e-5, "{s}");
        }
    }
}
