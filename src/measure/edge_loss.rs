//! Edge loss: how much more silver is gone along the edges than in the middle.
//!
//! Coverage of the middle less coverage of the outer band, 15 mm or a tenth of the short side wide, the smaller. About 0
//! on an even panel, 0.2 where the band has lost a fifth more than the middle, under 0 where the middle lost more. A
//! lamp that falls off towards the edges looks the same; the rig's plain frame takes that out.

use std::ops::Range;

use ndarray::Axis;
use rayon::prelude::*;

use super::windows::Windows;
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::stats::bootstrap::{Resamples, dot};
use crate::units::{Measure, Unmeasured};

/// Widest band, mm.
const WIDEST_MM: f64 = 15.0;

/// Width of the band as a share of the panel's short side.
const SHARE: f64 = 0.1;

/// Coverage of the middle less that of the outer band.
pub(super) fn measure(
    silver: &Plane,
    panel: &Panel,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Measure {
    let resamples = resamples.ok_or(Unmeasured::PanelTooSmall)?;
    // The rim left out belongs to the band.
    let band_mm = (SHARE * panel.size.short_side()).min(WIDEST_MM) - panel.rim_mm;
    let band = (band_mm * panel.px_per_mm).round().max(1.0) as usize;
    let (rows, cols) = silver.dim();
    let n = windows.count();
    let by_row: Vec<Vec<[f64; 4]>> = windows
        .row_ranges()
        .into_par_iter()
        .map(|range| row_of_windows(silver, range, windows, band, (rows, cols)))
        .collect();
    let column = |i: usize| by_row.iter().flatten().map(|w| w[i]).collect::<Vec<f64>>();
    let sums = [0, 1, 2, 3].map(column);
    let [inside, inside_n, outside, outside_n] = &sums;
    let of = |w: &[f64]| {
        let (a, b) = (dot(w, inside_n), dot(w, outside_n));
        (a > 0.0 && b > 0.0).then(|| dot(w, inside) / a - dot(w, outside) / b)
    };
    let value = of(&vec![1.0; n]).ok_or(Unmeasured::PanelTooSmall)?;
    resamples
        .interval(value, of)
        .ok_or(Unmeasured::PanelTooSmall)
}

/// For each window of a row: silver and pixels of the middle, silver and pixels of the band.
fn row_of_windows(
    silver: &Plane,
    range: Range<usize>,
    windows: &Windows,
    band: usize,
    (rows, cols): (usize, usize),
) -> Vec<[f64; 4]> {
    let col_ranges = windows.col_ranges();
    let mut sums = vec![[0.0; 4]; col_ranges.len()];
    for r in range {
        let row = silver.row(r);
        let middle = if r >= band && r < rows - band {
            band..cols - band
        } else {
            0..0
        };
        for (sum, cols) in sums.iter_mut().zip(&col_ranges) {
            let (a, b) = (
                middle.start.clamp(cols.start, cols.end),
                middle.end.clamp(cols.start, cols.end),
            );
            let total =
                |range: Range<usize>| f64::from(row.slice_axis(Axis(0), range.into()).sum());
            sum[0] += total(a..b);
            sum[1] += (b - a) as f64;
            sum[2] += total(cols.start..a) + total(b..cols.end);
            sum[3] += (cols.len() - (b - a)) as f64;
        }
    }
    sums
}
