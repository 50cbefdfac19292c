//! Edge loss: how much more silver is gone along the edges than in the middle; and the profile from the edge inwards.
//!
//! Coverage of the middle less coverage of the outer band, 15 mm or a tenth of the short side wide, the smaller. About 0
//! on an even panel, 0.2 where the band has lost a fifth more than the middle, under 0 where the middle lost more. A
//! lamp that falls off towards the edges looks the same; the rig's plain frame takes that out.

use super::windows::Windows;
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::reduce::block_mean;
use crate::stats::bootstrap::{Resamples, dot};
use crate::units::{Measure, Unmeasured};

/// Widest band, mm.
const WIDEST_MM: f64 = 15.0;

/// Width of the band as a share of the panel's short side.
const SHARE: f64 = 0.1;

/// Side of a cell, mm.
const CELL_MM: f64 = 1.0;

/// Steps of the profile, mm.
pub const PROFILE_STEP_MM: f64 = 2.0;

/// How far in the profile goes, steps.
const PROFILE_STEPS: usize = 20;

/// The silver in small cells, with where each cell lies.
pub(super) struct Edges {
    cells: Plane,
    /// Sides of the cells down and across, pixels: the first and the last of a row or column stand for the rim too.
    heights: Vec<f64>,
    widths: Vec<f64>,
    /// Distance of their middles from the nearer edge of the glass, mm.
    from_edge_down: Vec<f64>,
    from_edge_across: Vec<f64>,
    cell_px: f64,
    cell_mm: f64,
    short_side_mm: f64,
}

impl Edges {
    pub(super) fn new(silver: &Plane, panel: &Panel) -> Self {
        let cell = ((CELL_MM * panel.px_per_mm).round() as usize).max(1);
        let cells = block_mean(silver, cell);
        let rim = panel.rim_mm * panel.px_per_mm;
        let side = |px: usize, n: usize| -> Vec<f64> {
            let alone = |i: usize| (px - i * cell).min(cell) as f64;
            let rims = |i: usize| f64::from(u8::from(i == 0)) + f64::from(u8::from(i + 1 == n));
            (0..n).map(|i| alone(i) + rims(i) * rim).collect()
        };
        let from_edge = |px: usize, sides: &[f64]| -> Vec<f64> {
            let glass = px as f64 + 2.0 * rim;
            let mut begun = 0.0;
            let mut inwards = |side: &f64| {
                let middle: f64 = begun + side / 2.0;
                begun += side;
                middle.min(glass - middle) / panel.px_per_mm
            };
            sides.iter().map(&mut inwards).collect()
        };
        let (rows, cols) = silver.dim();
        let (heights, widths) = (side(rows, cells.nrows()), side(cols, cells.ncols()));
        Edges {
            from_edge_down: from_edge(rows, &heights),
            from_edge_across: from_edge(cols, &widths),
            cells,
            heights,
            widths,
            cell_px: cell as f64,
            cell_mm: cell as f64 / panel.px_per_mm,
            short_side_mm: panel.size.short_side(),
        }
    }

    /// The silver in cells of a millimetre.
    pub(super) fn cells(&self) -> &Plane {
        &self.cells
    }

    /// Mean silver of the glass in `across` × `across` parts, row by row; `None` where there are more parts than cells.
    pub(super) fn means(&self, across: usize) -> Option<Vec<f64>> {
        // The part that the middle of each cell lies in.
        let part = |sides: &[f64]| -> Vec<usize> {
            let whole: f64 = sides.iter().sum();
            let mut begun = 0.0;
            let mut here = |side: &f64| {
                let middle = begun + side / 2.0;
                begun += side;
                ((middle / whole * across as f64) as usize).min(across - 1)
            };
            sides.iter().map(&mut here).collect()
        };
        let (down, along) = (part(&self.heights), part(&self.widths));
        let (mut sums, mut areas) = (vec![0.0; across * across], vec![0.0; across * across]);
        for ((r, c), s) in self.cells.indexed_iter() {
            let (at, area) = (
                down[r] * across + along[c],
                self.heights[r] * self.widths[c],
            );
            sums[at] += area * f64::from(*s);
            areas[at] += area;
        }
        let mean = |(sum, area): (&f64, &f64)| (*area > 0.0).then(|| sum / area);
        sums.iter().zip(&areas).map(mean).collect()
    }

    /// Coverage of the middle less that of the outer band.
    pub(super) fn loss(&self, windows: &Windows, resamples: Option<&Resamples>) -> Measure {
        let resamples = resamples.ok_or(Unmeasured::PanelTooSmall)?;
        let band_mm = (SHARE * self.short_side_mm).min(WIDEST_MM);
        // Share of a cell that lies in the middle.
        let share = |mm: &f64| ((mm - band_mm) / self.cell_mm + 0.5).clamp(0.0, 1.0);
        let inside_across: Vec<f64> = self.from_edge_across.iter().map(share).collect();
        let place = |c: usize| windows.at(0.0, (c as f64 + 0.5) * self.cell_px);
        let column: Vec<usize> = (0..self.cells.ncols()).map(place).collect();
        let mut sums = [0; 4].map(|_| vec![0.0; windows.count()]);
        for (r, row) in self.cells.rows().into_iter().enumerate() {
            let inside_down = share(&self.from_edge_down[r]);
            let at = windows.at((r as f64 + 0.5) * self.cell_px, 0.0);
            for (c, s) in row.iter().enumerate() {
                let window = at + column[c];
                let area = self.heights[r] * self.widths[c];
                let inside = area * inside_down * inside_across[c];
                let s = f64::from(*s);
                let adds = [s * inside, inside, s * (area - inside), area - inside];
                sums.iter_mut()
                    .zip(adds)
                    .for_each(|(sum, v)| sum[window] += v);
            }
        }
        let [inside, inside_area, band, band_area] = &sums;
        let of = |w: &[f64]| {
            let (a, b) = (dot(w, inside_area), dot(w, band_area));
            (a > 0.0 && b > 0.0).then(|| dot(w, inside) / a - dot(w, band) / b)
        };
        let value = of(&vec![1.0; windows.count()]).ok_or(Unmeasured::PanelTooSmall)?;
        resamples
            .interval(value, of)
            .ok_or(Unmeasured::PanelTooSmall)
    }

    /// Mean silver level by distance from the nearest edge, in steps of [`PROFILE_STEP_MM`] from the edge inwards, up to
    /// 40 mm or the middle of the panel.
    pub(super) fn profile(&self) -> Vec<f64> {
        let mut sums = [(0.0, 0.0); PROFILE_STEPS];
        for ((r, c), s) in self.cells.indexed_iter() {
            let mm = self.from_edge_down[r].min(self.from_edge_across[c]);
            if let Some((sum, area)) = sums.get_mut((mm / PROFILE_STEP_MM) as usize) {
                let here = self.heights[r] * self.widths[c];
                *sum += here * f64::from(*s);
                *area += here;
            }
        }
        let held = sums.iter().filter(|(_, area)| *area > 0.0);
        held.map(|(sum, area)| sum / area).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::painted::{assert_near, exact, sure};
    use super::*;
    use crate::frame::drawn;

    fn edges(silver: impl Fn(usize, usize) -> f32) -> (Measure, Vec<f64>) {
        let of = exact(silver);
        let edges = Edges::new(&of.panel.silver, &of.panel);
        (edges.loss(&of.windows, of.resamples()), edges.profile())
    }

    /// Pixels from the nearest edge of an exact panel.
    fn inwards(r: usize, c: usize) -> usize {
        r.min(c).min(239 - r).min(239 - c)
    }

    #[test]
    fn an_even_panel_has_none_however_bare() {
        // Steps of 2 mm up to the middle at 12 mm.
        assert_eq!(edges(|_, _| 1.0), (sure(0.0), vec![1.0; 6]));
        assert_eq!(edges(|_, _| 0.0), (sure(0.0), vec![0.0; 6]));
        assert_near(edges(|_, _| 0.5).0, 0.0);
    }

    #[test]
    fn a_bare_band_is_one_and_a_bare_middle_less_one() {
        // The band is a tenth of 24 mm wide: two whole cells of 1 mm are bare and 0.4 of the third.
        let (bare, profile) = edges(|r, c| f32::from(u8::from(inwards(r, c) >= 20)));
        let areas = [24.0_f64, 20.0, 19.2].map(|side| side * side);
        assert_near(bare, 1.0 - (areas[1] - areas[2]) / (areas[0] - areas[2]));
        assert_eq!(profile, vec![0.0, 1.0, 1.0, 1.0, 1.0, 1.0]);
        let (lit, profile) = edges(|r, c| f32::from(u8::from(inwards(r, c) < 20)));
        assert_near(lit, -1.0 + (areas[1] - areas[2]) / (areas[0] - areas[2]));
        assert_eq!(profile, vec![1.0, 0.0, 0.0, 0.0, 0.0, 0.0]);
    }

    #[test]
    fn one_side_worn_counts_by_its_share_of_the_band() {
        // A bare row of cells along the top: 24 mm² of a band of 24² − 19.2².
        let (worn, _) = edges(|r, _| f32::from(u8::from(r >= 10)));
        assert_near(worn, 24.0 / (576.0 - 19.2 * 19.2));
        let of = exact(|_, _| 1.0);
        let none = Edges::new(&of.panel.silver, &of.panel).loss(&of.windows, None);
        assert_eq!(none, Err(Unmeasured::PanelTooSmall));
    }

    #[test]
    fn the_rim_left_out_belongs_to_the_outermost_cells() {
        // A plane of 3 by 3 cells and a rim of half a millimetre: the outer cells are 1.5 mm wide.
        let panel = Panel {
            rim_mm: 0.5,
            ..drawn::panel(drawn::plane(&["#..", "...", "..."]), 1.0)
        };
        let edges = Edges::new(&panel.silver, &panel);
        assert_eq!(edges.widths, vec![1.5, 1.0, 1.5]);
        assert_eq!(edges.from_edge_across, vec![0.75, 2.0, 0.75]);
        assert_eq!(edges.means(1), Some(vec![1.0 - 2.25 / 16.0]));
        assert_eq!(
            edges.means(3),
            Some(vec![0.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0])
        );
        assert_eq!(edges.means(4), None);
    }
}
