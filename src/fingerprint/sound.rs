//! Whether a fingerprint that came from elsewhere hangs together: figures in their ranges, lists as long as they promise.

use super::Fingerprint;
use super::metric::figures;
use crate::measure::{ROSE_BINS, SILVER_BINS};

/// Largest side of a panel, mm: far past any sheet of glass.
const LONGEST_MM: f64 = 100_000.0;

/// Rounding that a figure may lie outside its range by.
const SLACK: f64 = 1e-9;

impl Fingerprint {
    /// Every figure lies in its range and every list is as long as it promises. What this program measured always does.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        let m = &self.measurements;
        let p = &self.provenance;
        let figures = figures().all(|row| {
            row.of(m).map_or(true, |e| {
                (row.range.0 - SLACK..=row.range.1 + SLACK).contains(&e.value)
            })
        });
        let (rows, cols) = m.windows;
        let lists = m.silver_histogram.len() == SILVER_BINS
            && m.streak_rose.len() == ROSE_BINS
            && rows.checked_mul(cols) == Some(m.window_values.len())
            && m.speckle_sizes.edges_mm.len() == m.speckle_sizes.per_cm2.len() + 1
            && m.speckle_sizes
                .edges_mm
                .windows(2)
                .all(|pair| 0.0 < pair[0] && pair[0] < pair[1]);
        let side = |mm: f64| mm > 0.0 && mm <= LONGEST_MM;
        let size = p.placement.size;
        let lengths =
            side(size.width) && side(size.height) && p.px_per_mm > 0.0 && p.blur_mm >= 0.0;
        figures && lists && lengths && m.area_cm2 > 0.0 && m.speckle_floor_mm > 0.0
    }
}
