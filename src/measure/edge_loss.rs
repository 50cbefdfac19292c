//! Edge loss: how much more silver is gone along the edges than in the middle.
//!
//! Coverage of the middle less coverage of the outer band, 15 mm or a tenth of the short side wide, the smaller. About 0
//! on an even panel, 0.2 where the band has lost a fifth more than the middle, under 0 where the middle lost more. A
//! lamp that falls off towards the edges looks the same; the rig's plain frame takes that out.

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
    let mut sums = [vec![0.0; n], vec![0.0; n], vec![0.0; n], vec![0.0; n]];
    for (i, row_range) in windows.row_ranges().into_iter().enumerate() {
        for r in row_range {
            let row = silver.row(r);
            for (j, col_range) in windows.col_ranges().into_iter().enumerate() {
                let window = i * windows.shape().1 + j;
                let middle_row = r >= band && r < rows - band;
                let first = if middle_row { band } else { cols };
                let last = cols - band;
                let (mut inside, mut outside, mut count) = (0.0_f32, 0.0_f32, 0_u32);
                for c in col_range.clone() {
                    if c >= first && c < last {
                        inside += row[c];
                        count += 1;
                    } else {
                        outside += row[c];
                    }
                }
                sums[0][window] += f64::from(inside);
                sums[1][window] += f64::from(count);
                sums[2][window] += f64::from(outside);
                sums[3][window] += col_range.len() as f64 - f64::from(count);
            }
        }
    }
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
