//! The panel cut into windows, each wider than the pattern's own scale, so that they can stand for independent pieces.

use crate::frame::panel::Panel;

/// A window spans at least this many cloud scales.
const SCALES: f64 = 2.0;

/// Smallest window, mm: a dozen speckles of a busy finish.
const LEAST_MM: f64 = 8.0;

/// Fewest windows along a side (nine in all), where the pattern would ask for fewer.
const FEWEST: usize = 3;

/// Most windows along a side: more do not sharpen an interval.
const MOST: usize = 24;

/// A grid of windows over a panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Windows {
    rows: usize,
    cols: usize,
    height_px: usize,
    width_px: usize,
}

impl Windows {
    /// Windows for a pattern of the given scale.
    #[must_use]
    pub fn over(panel: &Panel, cloud_scale_mm: f64) -> Self {
        let side_px = (SCALES * cloud_scale_mm).max(LEAST_MM) * panel.px_per_mm;
        let along = |px: usize| ((px as f64 / side_px) as usize).clamp(FEWEST, MOST);
        let (height_px, width_px) = panel.silver.dim();
        Windows {
            rows: along(height_px),
            cols: along(width_px),
            height_px,
            width_px,
        }
    }

    /// Number of windows.
    #[must_use]
    pub fn count(&self) -> usize {
        self.rows * self.cols
    }

    /// Windows down and across.
    #[must_use]
    pub fn shape(&self) -> (usize, usize) {
        (self.rows, self.cols)
    }

    /// The window that holds a place given in pixels of the silver plane.
    #[must_use]
    pub fn at(&self, row: f64, col: f64) -> usize {
        let along =
            |at: f64, px: usize, n: usize| ((at / px as f64 * n as f64) as usize).min(n - 1);
        along(row, self.height_px, self.rows) * self.cols + along(col, self.width_px, self.cols)
    }

    /// Row ranges of the silver plane, one a row of windows.
    #[must_use]
    pub fn row_ranges(&self) -> Vec<std::ops::Range<usize>> {
        ranges(self.height_px, self.rows)
    }

    /// Column ranges of the silver plane, one a column of windows.
    #[must_use]
    pub fn col_ranges(&self) -> Vec<std::ops::Range<usize>> {
        ranges(self.width_px, self.cols)
    }

    /// Area of each window, pixels, row by row.
    #[must_use]
    pub fn areas_px(&self) -> Vec<f64> {
        let cols = self.col_ranges();
        self.row_ranges()
            .iter()
            .flat_map(|r| cols.iter().map(|c| (r.len() * c.len()) as f64))
            .collect()
    }
}

/// Cuts that agree with [`Windows::at`]: pixel i lies in window ⌊i·n/px⌋.
fn ranges(px: usize, n: usize) -> Vec<std::ops::Range<usize>> {
    let cut = |i: usize| (i * px).div_ceil(n);
    (0..n).map(|i| cut(i)..cut(i + 1)).collect()
}
