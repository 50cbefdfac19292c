//! What is counted over a panel beside its silver: its colour in small cells, the tone of what is left in larger ones,
//! clipping, and what is brighter than silver.
//!
//! Every other pixel each way is enough: a JPEG's colour has no finer detail, and the sensor's noise averages out over what
//! colour is measured at.

use super::grid::Grid;
use super::window::Window;
use crate::frame::Plane;
use crate::frame::panel::{Colour, ColourCell, REMAINS, Tone};
use crate::frame::photo::Photo;
use crate::frame::quad::Point;
use crate::ops::transfer::{LUMINANCE, srgb_code};

/// Side of a colour cell, mm: half a millimetre, or up to one so that it has enough pixels.
const COLOUR_CELL_MM: [f64; 2] = [0.5, 1.0];

/// Enough pixels along a colour cell.
const COLOUR_CELL_PX: usize = 4;

/// Side of a tone cell, mm; it is made of whole colour cells.
const TONE_CELL_MM: f64 = 2.0;

/// Fewer places than this over a panel are all counted.
const FEW: usize = 500_000;

/// One pixel in fixed point.
const FIXED: f64 = 65_536.0;

/// Silver at and above this level has a tone.
const HAS_TONE: f32 = 0.5;

/// Silver level over this is more than full silver, with room for noise.
const OVER_SILVER: f32 = 1.1;

/// Sums over the places counted.
#[derive(Default, Clone, Copy)]
pub(super) struct Counted {
    pub(super) clipped: f64,
    pub(super) over_silver: f64,
    places: f64,
}

impl Counted {
    /// One of the sums as a share of the places.
    pub(super) fn share(counted: &[Counted], of: fn(&Counted) -> f64) -> f64 {
        let sum = |of: fn(&Counted) -> f64| counted.iter().map(of).sum::<f64>();
        sum(of) / sum(|c| c.places)
    }
}

/// The tone cells over a grid, each of some colour cells each way.
pub(super) struct Cells {
    /// Side of a tone cell, grid pixels.
    pub(super) side: usize,
    pub(super) rows: usize,
    pub(super) cols: usize,
    /// Side of a colour cell, grid pixels.
    pub(super) fine: usize,
    pub(super) fine_cols: usize,
    fine_rows: usize,
    /// Grid pixels from one counted place to the next.
    stride: usize,
    bare: f32,
}

/// Sums over the places of some cell: the light of each channel, and how many places.
#[derive(Default, Clone, Copy)]
struct Sum([f32; 4]);

impl Sum {
    #[inline]
    fn add(&mut self, more: [f32; 4]) {
        self.0.iter_mut().zip(more).for_each(|(a, b)| *a += b);
    }

    /// The mean as a ratio to full silver.
    fn ratios(&self, to_ratio: &ToRatio) -> [f32; 3] {
        let [r, g, b, places] = self.0;
        if places > 0.0 {
            let share = 1.0 / places;
            to_ratio.apply([r, g, b].map(|sum| sum * share))
        } else {
            [0.0; 3]
        }
    }
}

/// From light to ratios to full silver, the glass's own reflection taken off.
struct ToRatio {
    gains: [f32; 3],
    less: f32,
}

impl ToRatio {
    /// Where these are the luminance weights over full silver's light.
    fn new(gains: [f32; 3], bare: f32) -> Self {
        let scale = 1.0 / (1.0 - bare);
        ToRatio {
            gains: [0, 1, 2].map(|c| gains[c] / LUMINANCE[c] as f32 * scale),
            less: bare * scale,
        }
    }

    #[inline]
    fn apply(&self, light: [f32; 3]) -> [f32; 3] {
        [0, 1, 2].map(|c| light[c] * self.gains[c] - self.less)
    }
}

/// What is counted of one tone cell.
#[derive(Default, Clone, Copy)]
pub(super) struct ToneCell {
    ratios: [f32; 3],
    places: f32,
}

impl Cells {
    pub(super) fn over(grid: &Grid, bare_ratio: f64) -> Self {
        let px = |mm: f64| ((mm * grid.px_per_mm).round() as usize).max(1);
        let [least, most] = COLOUR_CELL_MM.map(px);
        let fine = COLOUR_CELL_PX.clamp(least, most);
        let side = fine * ((TONE_CELL_MM * grid.px_per_mm / fine as f64).round() as usize).max(1);
        let all = grid.rows * grid.cols <= FEW || fine == 1;
        Cells {
            side,
            rows: grid.rows.div_ceil(side),
            cols: grid.cols.div_ceil(side),
            fine,
            fine_rows: grid.rows.div_ceil(fine),
            fine_cols: grid.cols.div_ceil(fine),
            stride: if all { 1 } else { 2 },
            bare: bare_ratio as f32,
        }
    }

    /// No colour counted yet.
    pub(super) fn colour(&self) -> Colour {
        Colour {
            cell_px: self.fine,
            cells: ndarray::Array2::default((self.fine_rows, self.fine_cols)),
        }
    }

    /// Counts the tone cell that begins at a row and a column of the grid; `lines` are the silver of the grid's rows from
    /// there on, `colour` the rows of colour cells. Light is that of the nearest photo pixel.
    #[expect(
        clippy::too_many_arguments,
        reason = "the panel on one side, three sums on the other"
    )]
    pub(super) fn count(
        &self,
        photo: &Photo,
        grid: &Grid,
        window: &Window,
        lines: &[f32],
        [first_row, first_col]: [usize; 2],
        colour: &mut [ColourCell],
        tone: &mut ToneCell,
        counted: &mut Counted,
    ) {
        let on_grid = [first_col, first_row].map(|first| first as f64);
        let in_photo =
            |right: f64, down: f64| grid.to_photo.apply([on_grid[0] + right, on_grid[1] + down]);
        // Over a cell the way into the photo is straight to a small part of a pixel.
        let side = self.side as f64;
        let (corner, right, below) = (in_photo(0.0, 0.0), in_photo(side, 0.0), in_photo(0.0, side));
        let step = |to: Point| [0, 1].map(|a| ((to[a] - corner[a]) / side * FIXED) as i64);
        let (corner, across, down) = (
            corner.map(|at| (at * FIXED) as i64),
            step(right),
            step(below),
        );
        let ends = [photo.width, photo.height].map(|side| side as i64 - 1);
        let to_ratio = ToRatio::new(window.gains_at(in_photo(side / 2.0, side / 2.0)), self.bare);
        let mut toned = Sum::default();
        let (mut clipped, mut over_silver, mut places) = (0.0, 0_u32, 0_u32);
        let rows = (lines.len() / grid.cols).min(self.side);
        let cols = (grid.cols - first_col).min(self.side);
        for top in (0..rows).step_by(self.fine) {
            for left in (0..cols).step_by(self.fine) {
                let (mut whole, mut silver) = (Sum::default(), Sum::default());
                for i in self.places(top, rows) {
                    let line = &lines[i * grid.cols + first_col..][..cols];
                    for j in self.places(left, cols) {
                        // The middle of the grid's pixel.
                        let (x, y) = (2 * j as i64 + 1, 2 * i as i64 + 1);
                        let [col, row] = [0, 1].map(|a| {
                            let at = corner[a] + (x * across[a] + y * down[a]) / 2;
                            (at >> 16).clamp(0, ends[a]) as usize
                        });
                        let [r, g, b, at_top] = photo.light(row, col);
                        let light = [r, g, b, 1.0];
                        whole.add(light);
                        if line[j] >= REMAINS {
                            silver.add(light);
                        }
                        if line[j] >= HAS_TONE {
                            toned.add(light);
                        }
                        clipped += at_top;
                        over_silver += u32::from(line[j] > OVER_SILVER);
                        places += 1;
                    }
                }
                let at = top / self.fine * self.fine_cols + (first_col + left) / self.fine;
                colour[at] = ColourCell {
                    silver: silver.ratios(&to_ratio),
                    remains: silver.0[3] / whole.0[3].max(1.0),
                    tint: tint(whole.ratios(&to_ratio)),
                };
            }
        }
        counted.clipped += f64::from(clipped);
        counted.over_silver += f64::from(over_silver);
        counted.places += f64::from(places);
        *tone = ToneCell {
            ratios: toned.ratios(&to_ratio),
            places: toned.0[3],
        };
    }

    /// The places counted along a colour cell that begins at `first`, of `end` grid pixels in all.
    #[inline]
    fn places(&self, first: usize, end: usize) -> impl Iterator<Item = usize> + use<> {
        let last = (first + self.fine).min(end);
        let from = (first + self.stride / 2).min(last - 1);
        (from..last).step_by(self.stride)
    }

    /// The tone of what was counted.
    pub(super) fn tone(&self, cells: &[ToneCell]) -> Tone {
        let plane = |of: &dyn Fn(&ToneCell) -> f32| {
            Plane::from_shape_fn((self.rows, self.cols), |(r, c)| {
                of(&cells[r * self.cols + c])
            })
        };
        let along = self.places(0, self.fine).count() * self.side / self.fine;
        let pixels = (self.side * self.side) as f32 / (along * along) as f32;
        Tone {
            cell_px: self.side,
            planes: [0, 1, 2].map(|c| plane(&|cell| cell.ratios[c])),
            weight: plane(&|cell| cell.places * pixels),
        }
    }
}

/// Light this dim, as a share of full silver's, is half grey to the eye of the tints: there the sensor's noise has more
/// colour than the panel.
const DIM: f32 = 0.02;

/// Ratios to full silver without their light, as sRGB codes.
fn tint(ratios: [f32; 3]) -> [u8; 3] {
    let lit = ratios.map(|ratio| ratio.max(0.0) + DIM);
    let share = 1.0 / lit.into_iter().fold(DIM, f32::max);
    lit.map(|light| srgb_code(light * share))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;
    use crate::frame::quad::Quad;

    #[test]
    fn a_share_is_of_all_places_counted() {
        let counted = |clipped, places| Counted {
            clipped,
            over_silver: 0.0,
            places,
        };
        let all = [counted(1.0, 10.0), counted(3.0, 10.0)];
        assert!((Counted::share(&all, |c| c.clipped) - 0.2).abs() < 1e-12);
        assert!(Counted::share(&all, |c| c.over_silver).abs() < 1e-12);
    }

    #[test]
    fn ratios_have_the_glass_taken_off() {
        // Full silver's light is 0.5; a bare spot shows a tenth of it.
        let gains = LUMINANCE.map(|w| (w / 0.5) as f32);
        let to_ratio = ToRatio::new(gains, 0.1);
        for (light, wanted) in [(0.5, 1.0), (0.05, 0.0), (0.275, 0.5)] {
            let found = to_ratio.apply([light; 3]);
            assert!(found.iter().all(|v| (v - wanted).abs() < 1e-5), "{found:?}");
        }
        let mut sum = Sum::default();
        assert_eq!(sum.ratios(&to_ratio).to_vec(), vec![0.0; 3]);
        sum.add([0.5, 0.5, 0.05, 1.0]);
        sum.add([0.5, 0.05, 0.05, 1.0]);
        let found = sum.ratios(&to_ratio);
        assert!(
            found
                .iter()
                .zip([1.0, 0.5, 0.0])
                .all(|(v, w)| (v - w).abs() < 1e-5)
        );
    }

    #[test]
    fn cells_of_half_a_millimetre_lie_in_cells_of_two() {
        let cells = |side_px: f64| {
            let placement = drawn::placement(Quad::rectangle(0.0, 0.0, side_px, side_px));
            Cells::over(&Grid::new(&placement, 10.0, 1.0).unwrap(), 0.06)
        };
        // 10, 2 and 1 px/mm: five pixels, two and one, in tone cells of 20, 4 and 2.
        for (side_px, fine, side) in [(1000.0, 5, 20), (200.0, 2, 4), (100.0, 1, 2)] {
            let found = cells(side_px);
            assert_eq!((found.fine, found.side), (fine, side), "{side_px}");
            assert_eq!(
                found.colour().cells.dim(),
                (found.fine_rows, found.fine_cols)
            );
        }
        // A large one is counted at every other pixel.
        assert_eq!([cells(1000.0).stride, cells(200.0).stride], [2, 1]);
        let counted: Vec<usize> = cells(1000.0).places(5, 20).collect();
        assert_eq!(counted, [6, 8]);
        assert_eq!(cells(200.0).places(2, 3).collect::<Vec<_>>(), [2]);
    }

    #[test]
    fn a_tint_is_the_colour_without_its_light() {
        for grey in [0.0, 0.3, 1.0] {
            assert_eq!(tint([grey; 3]), [255; 3]);
        }
        // 0.5 and 0.02 over 1.02: sRGB codes of 0.5098 and of 0.0196.
        assert_eq!(tint([1.0, 0.5, 0.0]), [255, 189, 38]);
        assert_eq!(tint([-1.0; 3]), [255; 3]);
    }
}
