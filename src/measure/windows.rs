//! The panel cut into windows, each wider than the pattern's own scale, so that they can stand for independent pieces.
//!
//! They span at least two cloud scales, and grow until neighbours have little in common: a panel may hold fine ridges and
//! wide, faint clouds at once, and then it is the clouds that make panels of its finish differ.

use std::ops::Range;

use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::label::Run;

/// A window spans at least this many cloud scales.
const SCALES: f64 = 2.0;

/// Neighbouring windows whose silver is correlated by less than this have little in common.
const IN_COMMON: f64 = 0.15;

/// More than this is not believed of windows two scales wide: for a Gaussian autocorrelation it is 0.2.
const MOST_IN_COMMON: f64 = 0.3;

/// Windows grow in steps of this ratio.
const GROWTH: f64 = 1.2;

/// Smallest window, mm: a dozen speckles of a busy finish.
const LEAST_MM: f64 = 8.0;

/// Fewest windows along a side (nine in all), where the pattern would ask for fewer.
const FEWEST: usize = 3;

/// Fewest along a side that show what a panel's edges, corners and middle have each for themselves; growing stops there.
const FEWEST_OF_KINDS: usize = 4;

/// Most windows along a side: more do not sharpen an interval.
const MOST: usize = 12;

/// A grid of windows over a panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Windows {
    rows: usize,
    cols: usize,
    height_px: usize,
    width_px: usize,
}

impl Windows {
    /// Windows for a panel whose clouds have the given scale, `cells` being its silver in cells of any size.
    #[must_use]
    pub fn over(panel: &Panel, cells: &Plane, cloud_scale_mm: f64) -> Self {
        let mut side_mm = (SCALES * cloud_scale_mm).max(LEAST_MM);
        loop {
            let windows = Windows::as_wide_as(side_mm, panel);
            if windows.rows.min(windows.cols) <= FEWEST_OF_KINDS
                || windows.in_common(cells) < IN_COMMON
            {
                return windows;
            }
            side_mm *= GROWTH;
        }
    }

    fn as_wide_as(side_mm: f64, panel: &Panel) -> Self {
        let side_px = side_mm * panel.px_per_mm;
        let along = |px: usize| ((px as f64 / side_px) as usize).clamp(FEWEST, MOST);
        let (height_px, width_px) = panel.silver.dim();
        Windows {
            rows: along(height_px),
            cols: along(width_px),
            height_px,
            width_px,
        }
    }

    /// How much wider an interval is for what neighbouring windows have in common: where each is correlated by r with the
    /// next along the rows and along the columns, their sum varies (1 + 2r)² times as much as that of strangers.
    pub(super) fn widening(&self, cells: &Plane) -> f64 {
        // Half a standard error is taken for chance.
        let chance = 0.5 / (2.0 * self.count() as f64).sqrt();
        1.0 + 2.0 * (self.in_common(cells) - chance).clamp(0.0, MOST_IN_COMMON)
    }

    /// Correlation of the silver of neighbouring windows.
    fn in_common(&self, cells: &Plane) -> f64 {
        let means = self.means(cells);
        let n = self.count() as f64;
        let kinds = self.kinds();
        let mut apart = means;
        for kind in &kinds {
            let mean = kind.iter().map(|i| apart[*i]).sum::<f64>() / kind.len() as f64;
            kind.iter().for_each(|i| apart[*i] -= mean);
        }
        let variance = apart.iter().map(|v| v * v).sum::<f64>() / n;
        let apart = |r: usize, c: usize| apart[r * self.cols + c];
        let (mut products, mut pairs) = (0.0_f64, 0.0_f64);
        for r in 0..self.rows {
            for c in 0..self.cols {
                let beside = (c + 1 < self.cols).then(|| apart(r, c + 1));
                let below = (r + 1 < self.rows).then(|| apart(r + 1, c));
                for neighbour in beside.into_iter().chain(below) {
                    products += apart(r, c) * neighbour;
                    pairs += 1.0;
                }
            }
        }
        // Deviations from their own mean share about −1/n of their variance with each other.
        products / pairs / variance.max(f64::MIN_POSITIVE) + kinds.len() as f64 / n
    }

    /// The windows of each kind, by number: inside, at an upright edge, at a level one, and the corners, where there are
    /// enough of each. A worn edge is worn on every panel of its finish, and no chance of it.
    pub(super) fn kinds(&self) -> Vec<Vec<usize>> {
        if self.rows.min(self.cols) < FEWEST_OF_KINDS {
            return vec![(0..self.count()).collect()];
        }
        let mut kinds = vec![Vec::new(); 4];
        for i in 0..self.count() {
            let (r, c) = (i / self.cols, i % self.cols);
            let upright = usize::from(c == 0 || c + 1 == self.cols);
            let level = usize::from(r == 0 || r + 1 == self.rows);
            kinds[upright + 2 * level].push(i);
        }
        kinds
    }

    /// Mean of the cells in each window.
    fn means(&self, cells: &Plane) -> Vec<f64> {
        let here = self.over_cells(cells.nrows(), cells.ncols());
        let (mut sums, mut counts) = (vec![0.0; self.count()], vec![0.0; self.count()]);
        for (r, row) in cells.rows().into_iter().enumerate() {
            let Some(row) = row.to_slice() else { continue };
            for (window, cols) in here.along_row(r) {
                counts[window] += cols.len() as f64;
                sums[window] += f64::from(row[cols].iter().sum::<f32>());
            }
        }
        sums.iter().zip(&counts).map(|(s, n)| s / n).collect()
    }

    /// All in one window, to be laid over cells.
    pub(super) fn whole() -> Self {
        Windows {
            rows: 1,
            cols: 1,
            height_px: 1,
            width_px: 1,
        }
    }

    /// The same windows over the same panel in cells.
    pub(super) fn over_cells(&self, rows: usize, cols: usize) -> Self {
        Windows {
            height_px: rows,
            width_px: cols,
            ..*self
        }
    }

    /// The windows along a row, with the columns of each.
    pub(super) fn along_row(&self, row: usize) -> impl Iterator<Item = (usize, Range<usize>)> {
        let first = self.at(row as f64 + 0.5, 0.0);
        (first..).zip(self.col_ranges())
    }

    /// The same panel in windows `parts` times as narrow and as low.
    #[must_use]
    pub fn split(&self, parts: usize) -> Self {
        Windows {
            rows: self.rows * parts,
            cols: self.cols * parts,
            ..*self
        }
    }

    /// Adds up what was found in the parts of [`Self::split`], window by window.
    pub fn gather<T: Clone + Default>(
        &self,
        parts: usize,
        found: &[T],
        add: impl Fn(&mut T, &T),
    ) -> Vec<T> {
        let mut sums = vec![T::default(); self.count()];
        for (i, part) in found.iter().enumerate() {
            let (row, col) = (i / (self.cols * parts), i % (self.cols * parts));
            add(&mut sums[row / parts * self.cols + col / parts], part);
        }
        sums
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
    pub fn row_ranges(&self) -> Vec<Range<usize>> {
        ranges(self.height_px, self.rows)
    }

    /// Column ranges of the silver plane, one a column of windows.
    #[must_use]
    pub fn col_ranges(&self) -> Vec<Range<usize>> {
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

    /// Adds the pixels of runs, each times its share, to the windows they lie in.
    pub(super) fn add_runs<'a>(
        &self,
        runs: impl Iterator<Item = &'a Run>,
        share: impl Fn(&Run) -> f64,
        sums: &mut [f64],
    ) {
        let cols = self.col_ranges();
        for run in runs {
            let first = self.at(f64::from(run.row) + 0.5, f64::from(run.first) + 0.5);
            // A run may cross windows: each takes its own share.
            for (window, range) in (first..).zip(&cols[first % cols.len()..]) {
                let (a, b) = (
                    range.start.max(run.first as usize),
                    range.end.min(run.last as usize + 1),
                );
                if a >= b {
                    break;
                }
                sums[window] += share(run) * (b - a) as f64;
            }
        }
    }
}

/// Cuts that agree with [`Windows::at`]: pixel i lies in window ⌊i·n/px⌋.
fn ranges(px: usize, n: usize) -> Vec<Range<usize>> {
    let cut = |i: usize| (i * px).div_ceil(n);
    (0..n).map(|i| cut(i)..cut(i + 1)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    fn windows(rows: usize, cols: usize, px: [usize; 2]) -> Windows {
        Windows {
            rows,
            cols,
            height_px: px[0],
            width_px: px[1],
        }
    }

    #[test]
    fn a_place_lies_in_the_window_whose_range_holds_it() {
        // Sides that the windows share out evenly: else a cut may fall between a pixel's begin and its middle.
        for px in [[3, 3], [9, 6], [240, 243]] {
            let w = windows(3, 3, px);
            let (rows, cols) = (w.row_ranges(), w.col_ranges());
            assert_eq!((rows[0].start, rows[2].end, cols[2].end), (0, px[0], px[1]));
            for r in 0..px[0] {
                for c in 0..px[1] {
                    let at = w.at(r as f64 + 0.5, c as f64 + 0.5);
                    assert!(rows[at / 3].contains(&r) && cols[at % 3].contains(&c));
                }
            }
            let whole: f64 = w.areas_px().iter().sum();
            assert!((whole - (px[0] * px[1]) as f64).abs() < 1e-9);
        }
        // What lies on the far edge belongs to the last.
        assert_eq!(windows(2, 2, [10, 10]).at(10.0, 10.0), 3);
        assert_eq!(windows(2, 2, [10, 10]).areas_px(), vec![25.0; 4]);
    }

    #[test]
    fn they_are_as_wide_as_two_scales_and_three_to_twelve_along_a_side() {
        let over = |side: usize, scale_mm: f64| {
            let panel = drawn::panel(Plane::ones((side, 2 * side)), 1.0);
            Windows::as_wide_as((SCALES * scale_mm).max(LEAST_MM), &panel).shape()
        };
        assert_eq!(over(60, 5.0), (6, 12));
        assert_eq!(over(60, 1.0), (7, 12));
        assert_eq!(over(60, 30.0), (3, 3));
        assert_eq!(over(900, 5.0), (12, 12));
        // However small the panel.
        assert_eq!(over(1, 1.0), (3, 3));
    }

    #[test]
    fn neighbours_alike_let_them_grow_and_chance_does_not() {
        let panel = |of: fn(usize, usize) -> bool| {
            let silver = Plane::from_shape_fn((60, 60), |(r, c)| f32::from(u8::from(of(r, c))));
            drawn::panel(silver, 1.0)
        };
        // Squares of 10 mm, dark and light by turns: neighbours are as unlike as can be.
        let board = panel(|r, c| (r / 10 + c / 10) % 2 == 0);
        let windows = Windows::over(&board, &board.silver, 5.0);
        assert_eq!(windows.shape(), (6, 6));
        assert!((windows.widening(&board.silver) - 1.0).abs() < 1e-12);
        // Light in the left half: most neighbours are alike, and more than 0.3 is not believed.
        let half = panel(|_, c| c < 30);
        let windows = Windows::over(&half, &half.silver, 5.0);
        assert_eq!(windows.shape(), (4, 4));
        assert!((windows.widening(&half.silver) - 1.6).abs() < 1e-12);
    }

    #[test]
    fn kinds_are_inside_sides_and_corners() {
        let all: Vec<usize> = (0..15).collect();
        assert_eq!(windows(3, 5, [9, 9]).kinds(), [all]);
        let kinds = windows(4, 4, [9, 9]).kinds();
        let [inside, upright] = [vec![5, 6, 9, 10], vec![4, 7, 8, 11]];
        assert_eq!(
            kinds,
            [inside, upright, vec![1, 2, 13, 14], vec![0, 3, 12, 15]]
        );
    }

    #[test]
    fn what_is_split_is_gathered_again() {
        let w = windows(2, 3, [8, 12]);
        let parts = w.split(2);
        assert_eq!((parts.shape(), parts.count()), ((4, 6), 24));
        let ones = vec![1; 24];
        assert_eq!(w.gather(2, &ones, |sum, v| *sum += v), [4; 6]);
        let mut one = vec![0; 24];
        one[2 * 6 + 5] = 1;
        let found = w.gather(2, &one, |sum, v| *sum += v);
        assert_eq!(found, [0, 0, 0, 0, 0, 1]);
    }

    #[test]
    fn a_run_is_shared_among_the_windows_it_crosses() {
        let w = windows(2, 3, [4, 9]);
        let sums = |row, first, last| {
            let mut sums = vec![0.0; 6];
            let run = Run {
                row,
                first,
                last,
                area: 0,
            };
            w.add_runs([run].iter(), |_| 0.5, &mut sums);
            sums
        };
        assert_eq!(sums(0, 2, 7), vec![0.5, 1.5, 1.0, 0.0, 0.0, 0.0]);
        assert_eq!(sums(3, 8, 8), vec![0.0, 0.0, 0.0, 0.0, 0.0, 0.5]);
        assert_eq!(sums(1, 0, 8), vec![1.5, 1.5, 1.5, 0.0, 0.0, 0.0]);
        let along: Vec<_> = w.along_row(3).collect();
        assert_eq!(along, [(3, 0..3), (4, 3..6), (5, 6..9)]);
    }

    #[test]
    fn means_are_those_of_the_cells_in_each() {
        let cells = drawn::plane(&["..##", "5577"]);
        let found = windows(2, 2, [20, 40]).means(&cells);
        for (found, wanted) in found.iter().zip([1.0, 0.0, 0.5, 0.7]) {
            assert!((found - wanted).abs() < 1e-6);
        }
    }
}
