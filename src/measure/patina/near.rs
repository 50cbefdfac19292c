//! Where silver remains near dark places.

use ndarray::Array2;

use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::measure::Settings;
use crate::measure::chroma::Chroma;
use crate::measure::quiet::Quiet;
use crate::ops::label::add_runs;

/// How far from a dark place its halo reaches, mm.
const HALO_MM: f64 = 1.5;

/// Share of each cell of colour where silver remains within [`HALO_MM`] of a dark place.
pub(super) fn near_dark(
    panel: &Panel,
    silver: &Plane,
    quiet: &Quiet,
    colour: &Chroma,
    settings: &Settings,
) -> Plane {
    let fine = &panel.colour;
    let (rows, cols) = fine.cells.dim();
    let mut near = Near {
        cells: Array2::from_elem((rows, cols), false),
        side: fine.cell_px as f64,
        reach: HALO_MM * panel.px_per_mm,
    };
    let dark = settings.dark_below as f32;
    let mut runs = Vec::new();
    for (i, stretches) in quiet.darker(silver.ncols(), dark).iter().enumerate() {
        for r in i * quiet.cell_px..((i + 1) * quiet.cell_px).min(silver.nrows()) {
            let row = silver.row(r);
            let row = row.as_slice().unwrap_or(&[]);
            runs.clear();
            for stretch in stretches {
                let is_dark = row[stretch.clone()].iter().map(|s| *s < dark);
                add_runs(is_dark, stretch.start, &mut runs);
            }
            runs.iter().for_each(|run| near.about(r as f64, *run));
        }
    }
    let along = colour.cell_px / fine.cell_px;
    let mut shares = Plane::zeros(colour.remains.dim());
    for ((r, c), _) in near.cells.indexed_iter().filter(|(_, near)| **near) {
        shares[[r / along, c / along]] += fine.cells[[r, c]].remains;
    }
    if along > 1 {
        for ((i, j), share) in shares.indexed_iter_mut() {
            let cells = |at: usize, end: usize| ((at + 1) * along).min(end) - at * along;
            *share /= (cells(i, rows) * cells(j, cols)) as f32;
        }
    }
    shares
}

/// Which cells have their middle near a dark pixel.
struct Near {
    cells: Array2<bool>,
    /// Side of a cell, pixels.
    side: f64,
    /// How near, pixels.
    reach: f64,
}

impl Near {
    /// Marks the cells about a run of dark pixels.
    fn about(&mut self, row: f64, (first, last): (u32, u32)) {
        let (rows, cols) = self.cells.dim();
        let (side, reach) = (self.side, self.reach);
        // The first middle at or after a place, and the first beyond one.
        let from = |at: f64| (at / side - 0.5).ceil().max(0.0) as usize;
        let up_to = |at: f64, end: usize| ((at / side + 0.5).floor().max(0.0) as usize).min(end);
        for i in from(row - reach)..up_to(row + 1.0 + reach, rows) {
            let middle = (i as f64 + 0.5) * side;
            let down = (row - middle).max(middle - row - 1.0).max(0.0);
            let across = (reach * reach - down * down).max(0.0).sqrt();
            let begin = from(f64::from(first) - across).min(cols);
            let end = up_to(f64::from(last) + 1.0 + across, cols).max(begin);
            let mut line = self.cells.row_mut(i);
            if let Some(line) = line.as_slice_mut() {
                line[begin..end].fill(true);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;
    use crate::frame::panel::{Colour, ColourCell};
    use crate::measure::surroundings::Surroundings;

    /// Cells near the dark pixels of a panel of 24 mm at 10 px/mm, in colour cells of a millimetre.
    fn near(dark: &[[usize; 2]]) -> Vec<(usize, usize)> {
        let mut silver = Plane::ones((240, 240));
        dark.iter().for_each(|at| silver[*at] = 0.0);
        let cell = ColourCell {
            silver: [1.0; 3],
            remains: 1.0,
            tint: [255; 3],
        };
        let panel = Panel {
            colour: Colour {
                cell_px: 10,
                cells: Array2::from_elem((24, 24), cell),
            },
            ..drawn::panel(silver, 10.0)
        };
        let settings = Settings::default();
        let quiet = Quiet::new(&panel, &Surroundings::envelope(&panel), &settings);
        let colour = Chroma::new(&panel).unwrap();
        let shares = near_dark(&panel, &panel.silver, &quiet, &colour, &settings);
        assert!(shares.iter().all(|v| *v < 1e-6 || (v - 1.0).abs() < 1e-6));
        let cells = shares.indexed_iter().filter(|(_, v)| **v > 0.5);
        cells.map(|(at, _)| at).collect()
    }

    #[test]
    fn a_halo_reaches_a_millimetre_and_a_half() {
        assert!(near(&[]).is_empty());
        // The pixel spans 100 to 101; middles of cells at 95, 105 and 115 lie 5, 4 and 14 px away, and (4, 14) within 15.
        let wanted = [
            (9, 9),
            (9, 10),
            (9, 11),
            (10, 9),
            (10, 10),
            (10, 11),
            (11, 9),
            (11, 10),
        ];
        assert_eq!(near(&[[100, 100]]), wanted);
        // In the corner: 5 and 14 px away each way, both at once are too far.
        assert_eq!(near(&[[0, 0]]), [(0, 0), (0, 1), (1, 0)]);
        let all: Vec<[usize; 2]> = (0..57_600).map(|i| [i / 240, i % 240]).collect();
        assert_eq!(near(&all).len(), 576);
    }
}
