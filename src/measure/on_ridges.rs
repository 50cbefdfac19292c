//! Specks on ridges: whether the specks lie where the silver between them is thin.
//!
//! The quiet silver within 1.5 mm of each speck, less its mean over the window of the panel that the speck lies in, in units
//! of its standard deviation within windows, averaged over the specks. Clouds wider than a window are thus left aside, and do
//! not drown what is asked. 0 anywhere, −1 a deviation down in the troughs, above 0 on the brighter silver. None where the quiet
//! silver hardly varies. Of ridges finer than about 4 mm the reach takes in crest and trough, and less is seen. What is veiled
//! makes a speck of a spot no more easily, for specks are told by the silver around them.

use super::quiet::Quiet;
use super::speckle::{FEWEST_SIZES, Speckle};
use super::windows::Windows;
use crate::stats::bootstrap::Resamples;
use crate::units::{Measure, Unmeasured};

/// How far about a speck its quiet silver is read, cells: a speck's own hole is one or two to each side.
const REACH: usize = 3;

/// Standard deviation under which the silver is even: noise and the file alone leave half of it in a cell.
const LEAST_DEVIATION: f64 = 0.01;

/// Mean deviation of the quiet silver at the counted speckles, with its interval by resampled windows.
pub(super) fn measure(
    found: &[Speckle],
    quiet: &Quiet,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Measure {
    let resamples = resamples.ok_or(Unmeasured::PanelTooSmall)?;
    let counted: Vec<&Speckle> = found.iter().filter(|s| s.counted).collect();
    if counted.len() < FEWEST_SIZES {
        return Err(Unmeasured::TooFewSpeckles);
    }
    let (rows, cols) = quiet.silver.dim();
    let here = windows.over_cells(rows, cols);
    // Free cells of each window, their silver, and its square.
    let mut free_silver = vec![[0.0; 3]; windows.count()];
    for r in 0..rows {
        for (window, cols) in here.along_row(r) {
            for c in cols {
                let (silver, free) = (quiet.silver[[r, c]], quiet.free[[r, c]]);
                let (silver, free) = (f64::from(silver), f64::from(free));
                let adds = [free, free * silver, free * silver * silver];
                (0..3).for_each(|i| free_silver[window][i] += adds[i]);
            }
        }
    }
    let mean = |window: usize| {
        let [n, sum, _] = free_silver[window];
        sum / f64::max(n, 1.0)
    };
    let cells: f64 = free_silver.iter().map(|[n, ..]| n).sum();
    let squares: f64 = (0..windows.count())
        .map(|w| free_silver[w][2] - free_silver[w][1] * mean(w))
        .sum();
    let deviation = (squares / cells.max(1.0)).max(0.0).sqrt();
    if deviation < LEAST_DEVIATION {
        return Err(Unmeasured::EvenSilver);
    }
    let about = |at: f64, cells: usize| {
        let cell = ((at / quiet.cell_px as f64) as usize).min(cells - 1);
        cell.saturating_sub(REACH)..(cell + REACH + 1).min(cells)
    };
    let (mut sums, mut counts) = (vec![0.0; windows.count()], vec![0.0; windows.count()]);
    for s in counted {
        let (mut silver, mut free) = (0.0, 0.0);
        for r in about(s.row, rows) {
            for c in about(s.col, cols) {
                silver += f64::from(quiet.free[[r, c]] * quiet.silver[[r, c]]);
                free += f64::from(quiet.free[[r, c]]);
            }
        }
        if free > 0.0 {
            let window = windows.at(s.row, s.col);
            counts[window] += 1.0;
            sums[window] += (silver / free - mean(window)) / deviation;
        }
    }
    resamples
        .ratio(&sums, &counts)
        .ok_or(Unmeasured::TooFewSpeckles)
}

#[cfg(test)]
mod tests {
    use super::super::{Settings, painted};
    use crate::units::Measure;
    use std::f64::consts::TAU;

    /// Specks of 0.8 mm in waves of silver 10 mm long, every 5 mm along and at this share of a wave across.
    fn in_waves(share: Option<f64>) -> Measure {
        let chance = painted::scattered(400, 10.0, 3);
        let panel = painted::panel(100.0, 0.1, |x, y| {
            let (i, j) = ((x / 10.0) as usize, (y / 5.0) as usize);
            let at = share.map_or(chance[20 * i + j][0].clamp(0.6, 9.4), |s| 10.0 * s);
            let speck = (x % 10.0 - at).hypot(y % 5.0 - 2.5) < 0.4;
            let silver = 0.8 + 0.1 * (TAU * x / 10.0).cos();
            if speck { 0.0 } else { silver }
        });
        super::super::measure(&panel, &Settings::default())
            .numbers
            .speckle_on_ridges
    }

    #[test]
    fn specks_in_the_troughs_lie_root_two_deviations_down() {
        // A wave's trough is √2 deviations down; over ±1.75 mm of 10 mm it is sin(0.35 π)/(0.35 π) = 0.81 of that.
        let got = in_waves(Some(0.5)).unwrap().value;
        assert!((got + 1.15).abs() < 0.12, "{got}");
        let got = in_waves(Some(0.05)).unwrap().value;
        assert!(got > 0.9, "{got}");
        let got = in_waves(None).unwrap();
        assert!(got.low < 0.05 && got.high > -0.05, "{got:?}");
    }

    #[test]
    fn even_silver_has_no_ridges() {
        let panel = painted::panel(60.0, 0.1, |x, y| {
            f64::from(u8::from((x % 4.0 - 2.0).hypot(y % 4.0 - 2.0) > 0.5))
        });
        let m = super::super::measure(&panel, &Settings::default()).numbers;
        assert!(m.speckle_on_ridges.is_err());
    }

    #[test]
    fn specks_on_stripes_lie_one_deviation_up_or_down() {
        use super::super::painted::{assert_near, exact};
        use super::super::tests::speckle_at;
        use super::*;
        use crate::frame::Plane;
        // Stripes of eight cells of half a millimetre, a tenth over and under the mean; a speck sees seven.
        let of = exact(|_, _| 1.0);
        let silver =
            Plane::from_shape_fn((48, 48), |(r, _)| if r / 8 % 2 == 0 { 0.8 } else { 0.6 });
        let mut quiet = Quiet::whole(silver, 0.5);
        quiet.cell_px = 5;
        let specks = |y: f64| -> Vec<Speckle> {
            let of_stripe =
                |i: u32| speckle_at([2.0 + f64::from(i % 8), y + 8.0 * f64::from(i / 8)]);
            (0..16).map(of_stripe).collect()
        };
        let found = |specks: &[Speckle]| measure(specks, &quiet, &of.windows, of.resamples());
        assert_near(found(&specks(1.99)), 1.0);
        assert_near(found(&specks(5.99)), -1.0);
        // Fewer than ten, none at all, and none that count.
        let too_few = Err(Unmeasured::TooFewSpeckles);
        assert_eq!(found(&specks(2.0)[..9]), too_few);
        assert_eq!(found(&[]), too_few);
        let mut uncounted = specks(2.0);
        uncounted.iter_mut().for_each(|s| s.counted = false);
        assert_eq!(found(&uncounted), too_few);
        let small = measure(&specks(2.0), &quiet, &of.windows, None);
        assert_eq!(small, Err(Unmeasured::PanelTooSmall));
        let even = measure(&specks(2.0), &of.quiet, &of.windows, of.resamples());
        assert_eq!(even, Err(Unmeasured::EvenSilver));
    }
}
