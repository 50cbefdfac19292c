//! What a bare spot over black paint shows against full silver, from physics.
//!
//! Light that meets glass straight on is thrown back by its front, F = ((n − 1)/(n + 1))² (Fresnel). Beside that a bare
//! spot shows a little of the paint, and full silver shows what passes the front twice, F + (1 − F)² R. What runs to and
//! fro between silver and front is left out: it adds up to F·R, 4 %, to silver as good as evaporated film. The ratio is 0
//! where nothing comes back from a bare spot and 1 where it cannot be told from silver. Slanting light raises it.

use std::path::PathBuf;

use super::patch::PatchReading;
use crate::error::{Error, Result};
use crate::frame::placement::PatchKind;
use crate::ops::transfer::LUMINANCE;

/// What a bare patch may show: under the least it would be a hole, over the most there is silver or glare on it.
pub const SENSIBLE: [f64; 2] = [0.01, 0.2];

/// What the bare patches show against full silver at their places: the luminance of the ratios, averaged; `None` where there
/// are none.
///
/// # Errors
/// It is outside [`SENSIBLE`].
pub(super) fn of_patches(
    patches: &[PatchReading],
    full: impl Fn(&PatchReading) -> [f64; 3],
) -> Result<Option<f64>> {
    let shown: Vec<f64> = patches
        .iter()
        .filter(|p| p.kind == PatchKind::Bare)
        .map(|p| {
            let full = full(p);
            (0..3)
                .map(|c| LUMINANCE[c] * p.level[c] / full[c].max(1e-6))
                .sum()
        })
        .collect();
    if shown.is_empty() {
        return Ok(None);
    }
    let ratio = shown.iter().sum::<f64>() / shown.len() as f64;
    if !(SENSIBLE[0]..=SENSIBLE[1]).contains(&ratio) {
        return Err(Error::BareUnfit {
            path: PathBuf::new(),
            found: ratio,
        });
    }
    Ok(Some(ratio))
}

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
}
