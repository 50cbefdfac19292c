//! Patina: where the silver that is left is coloured, how strongly, in which colour, in patches how large, and how much more
//! so about dark places.
//!
//! - `patina_fraction`: share of the remaining silver (s ≥ 0.25) whose chroma C*ab against full silver is over 6 at a blur of
//!   1 mm; 0 none, 1 all of it. Six is what a person sees beside plain silver without looking for it (no source: three to six
//!   times the least that eyes tell apart side by side).
//! - `patina_chroma`: the chroma that nine tenths of the remaining silver stay under; 0 grey, 20 a strong gold.
//! - `patina_hue`: mean direction of the remaining silver's colour about grey, h_ab in degrees [0, 360), each place weighing by
//!   its chroma: 0 pinkish red, 90 yellow, 180 green, 270 blue. None where the patina is under a hundredth of the silver.
//! - `patina_scale`: the distance at which the autocorrelation of chroma falls to 1/e, mm. None where it is even, or where
//!   patches come in several sizes.
//! - `halo`: mean chroma within 1.5 mm of dark places less that elsewhere; over 0 where colour gathers about the specks.
//!
//! CIELAB after CIE 15. What moves them and should not: a lamp whose colour differs between patch and panel, and the codes of
//! the card. A card is read to half a code at worst, on the rig's day and today: [`DOUBT`] in a* and in b*, the same over all
//! of the panel. The figures are worked out with the colour moved so far each way, and the intervals made wider by what that
//! does: in quadrature, for it has nothing to do with the windows. The photo's own noise is taken out in [`super::chroma`].

mod counted;
mod doubt;
mod near;
#[cfg(test)]
mod tests;

use rayon::prelude::*;

use super::Settings;
use super::chroma::Chroma;
use super::cloud::Cloud;
use super::quiet::Quiet;
use super::windows::Windows;
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::stats::bootstrap::Resamples;
use crate::units::{Estimate, Measure, Unmeasured, circular_difference};
use counted::Counted;
use doubt::{INEXACT, less_sure, means, to_grey};
use near::near_dark;

pub use doubt::DOUBT;

/// Ends of an interval further apart than so many times: colour that follows both ridges and clouds, say, has no one size.
const ONE_SIZE: f64 = 3.0;

/// Share of the panel that must have silver left.
const LEAST_SHARE: f64 = 0.01;

/// Rows of cells that are enough to tell what moving the colour does.
const MOVED_ROWS: usize = 100;

/// Chroma is handed to the clouds in hundredths, so that silver's limit of evenness (0.005) is half a step of chroma.
const OF_CLOUDS: f32 = 0.01;

pub(super) struct Patina {
    pub(super) fraction: Measure,
    pub(super) chroma: Measure,
    pub(super) hue: Measure,
    pub(super) scale: Measure,
    pub(super) halo: Measure,
}

impl Patina {
    fn none(why: Unmeasured) -> Self {
        Patina {
            fraction: Err(why),
            chroma: Err(why),
            hue: Err(why),
            scale: Err(why),
            halo: Err(why),
        }
    }
}

/// Measures the colour of a panel; `silver` is at standard sharpness.
pub(super) fn measure(
    panel: &Panel,
    colour: Option<&Chroma>,
    silver: &Plane,
    quiet: &Quiet,
    windows: &Windows,
    resamples: Option<&Resamples>,
    settings: &Settings,
) -> Patina {
    let Some(resamples) = resamples else {
        return Patina::none(Unmeasured::PanelTooSmall);
    };
    let Some(colour) = colour else {
        return Patina::none(Unmeasured::NoColourKept);
    };
    if f64::from(colour.remains.mean().unwrap_or(0.0)) < LEAST_SHARE {
        return Patina::none(Unmeasured::NoSilver);
    }
    let (near, cloud) = rayon::join(
        || near_dark(panel, silver, quiet, colour, settings),
        || {
            let known = colour
                .remains
                .mapv(|share| f32::from(u8::from(share >= 0.5)));
            let mut chroma = colour.plane();
            chroma.mapv_inplace(|c| c * OF_CLOUDS);
            Cloud::from_field(chroma, known, colour.cell_mm)
        },
    );
    let scale = cloud.measure(windows, Some(resamples));
    let counted = Counted::count(colour, &near, windows, [0.0; 2], 1);
    // What moving does is told by some of the rows.
    let every = (colour.remains.nrows() / MOVED_ROWS).max(1);
    let unmoved = Counted::count(colour, &near, windows, [0.0; 2], every);
    let moved = |shifts: Vec<[f32; 2]>| -> Vec<Counted> {
        let count = |shift| Counted::count(colour, &near, windows, shift, every);
        shifts.into_par_iter().map(count).collect()
    };
    let [a, b] = DOUBT;
    let along = moved(vec![[a, 0.0], [-a, 0.0], [0.0, b], [0.0, -b]]);
    let greyed = moved(to_grey(&means(colour, &near)));
    let told = |of: &(dyn Fn(&Counted, &[f64]) -> Option<f64> + Sync), inexact, why| {
        let all = vec![1.0; windows.count()];
        let value = of(&counted, &all).ok_or(why)?;
        let before = of(&unmoved, &all).ok_or(why)?;
        let found = resamples
            .interval(value, |weights| of(&counted, weights))
            .ok_or(why)?;
        let by = |m: &Counted| of(m, &all).map_or(0.0, |v| v - before);
        let mut told = less_sure(found, &along.iter().map(by).collect::<Vec<f64>>());
        // What is grey but for the card has its truth at the end of what moving does, not somewhere on the way.
        for m in &greyed {
            let there = of(m, &all).and_then(|v| resamples.interval(v, |weights| of(m, weights)));
            if let Some(there) = there {
                told.low = told.low.min(value + there.low - before - inexact);
                told.high = told.high.max(value + there.high - before + inexact);
            }
        }
        Ok(told)
    };
    Patina {
        fraction: told(&|c, w| c.fraction(w), 0.0, Unmeasured::NoSilver),
        chroma: told(&|c, w| c.quantile(w), 0.0, Unmeasured::NoSilver),
        hue: hue(&counted, &along, resamples, windows.count()),
        scale: match scale {
            Ok(found) if found.high > ONE_SIZE * found.low.max(0.0) => Err(Unmeasured::ManySizes),
            Err(Unmeasured::EvenSilver) => Err(Unmeasured::EvenColour),
            other => other,
        },
        halo: told(&|c, w| c.halo(w), INEXACT, Unmeasured::NoDarkPlaces),
    }
}

/// The hue: what is resampled is how far it turns from that of the whole panel.
fn hue(counted: &Counted, moved: &[Counted], resamples: &Resamples, windows: usize) -> Measure {
    let all = vec![1.0; windows];
    let value = counted.hue(&all).ok_or(Unmeasured::NoPatina)?;
    let turned = |c: &Counted, w: &[f64]| Some(circular_difference(value, c.hue(w)?));
    let turn = resamples
        .interval(0.0, |weights| turned(counted, weights))
        .ok_or(Unmeasured::NoPatina)?;
    let by = |m: &Counted| turned(m, &all).unwrap_or(0.0);
    let turn = less_sure(turn, &moved.iter().map(by).collect::<Vec<f64>>());
    Ok(Estimate {
        value,
        low: value + turn.low,
        high: value + turn.high,
    })
}
