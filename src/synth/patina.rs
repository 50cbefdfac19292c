//! Colour that the attack leaves on the remaining silver.

use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, Normal};

use super::area::Area;
use super::distance::distances;
use super::smooth::{Noise, by_rows};
use super::stream::{Part, stream};
use super::tone::rgb_of_full;
use crate::frame::Plane;

/// Colour on the remaining silver, coming and going over the panel. Luminance stays as painted; where the patina is
/// full, it takes the place of the finish's warmth.
///
/// The chroma that can be shown is bounded: no channel of silver as bright as the veil leaves it is painted brighter than
/// 1.3 times full silver or darker than a fiftieth of it, so that a photo at 0 EV under even light clips nowhere. A chroma
/// beyond that is brought down to it; see [`Patina::shown_chroma`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Patina {
    /// CIELAB hue angle h_ab, degrees: 0 red, 90 yellow, 180 green, 270 blue.
    pub hue_deg: f64,
    /// CIELAB chroma C*ab of full silver under full patina. Of silver at level s it is the cube root of s times that.
    pub chroma: f64,
    /// Where it is.
    pub place: PatinaPlace,
}

/// Where patina lies.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PatinaPlace {
    /// In soft patches.
    Patches {
        /// Share of the area under at least half of the full patina, 0 to 1.
        share: f64,
        /// Distance at which the autocorrelation of the field they are cut from falls to 1/e, mm; from 0.5 up.
        scale_mm: f64,
    },
    /// About every speckle and blot.
    Haloes {
        /// Distance outwards at which it has fallen to 1/e, as a Gaussian falls, mm.
        width_mm: f64,
    },
}

/// Brightest and darkest channel of shown silver.
const BRIGHTEST: f64 = 1.3;
const DARKEST: f64 = 0.02;

/// Width over which patches fade, standard deviations of the field they are cut from.
const FADE: f64 = 0.7;

impl Patina {
    /// The chroma as painted on silver that loses this much to an even veil: that asked for, or the most that can be shown.
    #[must_use]
    pub fn shown_chroma(&self, veil: f64) -> f64 {
        let fits = |chroma: f64| {
            rgb_of_full(self.hue_deg, chroma)
                .iter()
                .all(|v| *v >= DARKEST && v * (1.0 - veil) <= BRIGHTEST)
        };
        if fits(self.chroma) {
            return self.chroma;
        }
        let (mut low, mut high) = (0.0, self.chroma);
        for _ in 0..40 {
            let middle = f64::midpoint(low, high);
            if fits(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }

    /// Red, green and blue of fully patinated silver for each unit of its luminance.
    pub(super) fn colour(&self, veil: f64) -> [f64; 3] {
        rgb_of_full(self.hue_deg, self.shown_chroma(veil))
    }

    /// How strong it is at each pixel, 0 to 1. `spot` tells the pixels of speckles and blots.
    pub(super) fn strength(
        &self,
        seed: u64,
        area: Area,
        (rows, cols): (usize, usize),
        mm: impl Fn(usize) -> f64 + Sync + Send,
        px_per_mm: f64,
        spots: impl FnOnce() -> ndarray::Array2<bool>,
    ) -> Plane {
        match self.place {
            PatinaPlace::Patches { share, .. } if share >= 1.0 => Plane::ones((rows, cols)),
            PatinaPlace::Patches { share, .. } if share <= 0.0 => Plane::zeros((rows, cols)),
            PatinaPlace::Patches { share, scale_mm } => {
                let mut rng = stream(seed, Part::Patina, 0);
                let noise = Noise::new(&mut rng, scale_mm / 2.0, area.from_mm, area.extent_mm);
                let columns = noise.columns(&(0..cols).map(&mm).collect::<Vec<_>>());
                let middle = Normal::standard().inverse_cdf(1.0 - share) as f32;
                by_rows(rows, cols, |r, row| {
                    for (p, n) in row.iter_mut().zip(noise.row(mm(r), &columns)) {
                        *p = (0.5 + (n - middle) / FADE as f32).clamp(0.0, 1.0);
                    }
                })
            }
            PatinaPlace::Haloes { width_mm } => {
                let away = distances(&spots().mapv(|spot| !spot));
                let per = 1.0 / (width_mm * px_per_mm);
                // Pixel centres lie half a pixel beyond the outline.
                away.mapv(|d| (-((f64::from(d) - 0.5).max(0.0) * per).powi(2)).exp() as f32)
            }
        }
    }
}
