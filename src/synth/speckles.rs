//! The speckles and blots of a painted area.

use super::area::Area;
use super::arranged::Places;
use super::finish::{Blots, Speckles};
use super::form::SpeckShape;
use super::spots::{Spot, lognormal, outline};
use super::stream::{Part, stream};

/// Nothing larger is a speckle; a draw above is brought down to this, well clear of the 6 mm where blots begin.
const LARGEST_SPECKLE_MM: f64 = 5.0;
/// Nothing smaller is surely a blot, once its outline has been painted.
const SMALLEST_BLOT_MM: f64 = 6.6;

/// The speckles of a painted area.
pub(super) fn speckles(of: &Speckles, form: &SpeckShape, seed: u64, places: &Places) -> Vec<Spot> {
    let mut rng = stream(seed, Part::Speckles, 0);
    let centres = places.drawn(&mut rng, of.per_cm2 / 100.0, of.arrangement);
    let mut shape = stream(seed, Part::SpeckleShape, 0);
    let mut turn = stream(seed, Part::SpeckleTurn, 0);
    centres
        .into_iter()
        .map(|centre_mm| Spot {
            centre_mm,
            diameter_mm: lognormal(&mut shape, of.diameter_median_mm, of.spread)
                .min(LARGEST_SPECKLE_MM),
            floor: of.floor as f32,
            outline: outline(&mut shape, 4, 0.07),
            form: form.drawn(&mut turn),
        })
        .collect()
}

/// The blots of a painted area.
pub(super) fn blots(of: &Blots, seed: u64, area: Area) -> Vec<Spot> {
    let mut rng = stream(seed, Part::Blots, 0);
    let count = (of.per_dm2 / 10_000.0 * area.mm2()).round() as usize;
    (0..count)
        .map(|_| Spot {
            centre_mm: area.anywhere(&mut rng),
            diameter_mm: lognormal(&mut rng, of.diameter_mm, 0.2).max(SMALLEST_BLOT_MM),
            floor: of.floor as f32,
            outline: outline(&mut rng, 14, 0.14),
            form: None,
        })
        .collect()
}
