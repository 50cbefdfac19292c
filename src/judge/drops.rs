//! Drops of water stand on the panel.
//!
//! A person sees round spots of 2 to 12 mm with a bright rim: a drop is a lens that gathers light there. Areas brighter
//! than the bright silver around them by 5 % count when a circle fits them: thin against its radius, at least two pixels
//! of the photo wide, closed over most of the circle. Four of them are drops.
//!
//! Ageing brightens nothing over the silver around it. Sharpening in the phone and JPEG put rims of a pixel or two round
//! specks, too thin to count. What could fool it: glass beads, water marks with a pale rim (as bad, and to be wiped too).

use super::small::Small;
use crate::frame::Plane;
use crate::ops::label::{Labels, add_runs, label};
use crate::ops::reduce::Between;
use crate::stats::order::ranked;

/// How much brighter than the silver around it a rim is.
const BRIGHTER: f32 = 1.05;

/// Side of the tiles that say how bright the silver is, mm; larger than any drop.
const TILE_MM: f64 = 24.0;

/// Share of a tile's cells that lie under its bright silver.
const BRIGHT_PART: f64 = 0.75;

/// Diameters of drops along the middle of the rim, mm.
const DIAMETER_MM: (f64, f64) = (1.6, 12.0);

/// Most that cells of a rim stray from the circle, standard deviation as a share of the radius: a disc strays by 0.33.
const STRAY: f64 = 0.2;

/// Parts of the circle that a rim is looked for in, and how many of them it must fill.
const PARTS: usize = 24;
const FILLED: usize = 15;

/// Least width of a rim, photo pixels and fine cells.
const LEAST_WIDTH_CELLS: f64 = 1.6;
const LEAST_WIDTH_PX: f64 = 3.0;

/// Fewest drops.
const FEWEST: f64 = 4.0;

/// The strength of the sign.
pub(super) fn strength(small: &Small) -> f64 {
    let labels = brighter(small);
    let mut cells: Vec<Vec<[f64; 2]>> = vec![Vec::new(); labels.areas.len()];
    for run in &labels.runs {
        let area = labels.areas[run.area as usize];
        let widest = (area.rows.1 - area.rows.0).max(area.cols.1 - area.cols.0) + 1;
        let fits = f64::from(widest) * small.fine_mm;
        if area.pixels >= 8 && fits >= DIAMETER_MM.0 && fits <= 1.3 * DIAMETER_MM.1 {
            let row = f64::from(run.row);
            let along = (run.first..=run.last).map(|c| [f64::from(c), row]);
            cells[run.area as usize].extend(along);
        }
    }
    let least_width = LEAST_WIDTH_CELLS.max(LEAST_WIDTH_PX / small.fine_px as f64);
    let rims = cells.iter().filter(|c| is_rim(c, least_width, small));
    rims.count() as f64 / FEWEST
}

/// Where the silver is brighter than the bright silver around.
fn brighter(small: &Small) -> Labels {
    let tile = ((TILE_MM / small.fine_mm) as usize).max(4);
    let level = bright_silver(&small.fine, tile);
    let between = Between::new(&level, tile as f32);
    let cols = small.fine.ncols();
    label(small.fine.nrows(), |r, runs| {
        let mut around = vec![0.0; cols];
        between.fill_row(r, 0, &mut around);
        let row = small.fine.row(r);
        let is_brighter = row.iter().zip(&around).map(|(s, l)| *s > BRIGHTER * l);
        add_runs(is_brighter, 0, runs);
    })
}

/// Of each tile the level that its bright part begins at, from every third cell each way.
fn bright_silver(fine: &Plane, tile: usize) -> Plane {
    let (rows, cols) = fine.dim();
    Plane::from_shape_fn((rows.div_ceil(tile), cols.div_ceil(tile)), |(i, j)| {
        let (down, along) = (
            i * tile..((i + 1) * tile).min(rows),
            j * tile..((j + 1) * tile).min(cols),
        );
        let mut values: Vec<f32> = down
            .step_by(3)
            .flat_map(|r| along.clone().step_by(3).map(move |c| fine[[r, c]]))
            .collect();
        ranked(&mut values, BRIGHT_PART, f32::total_cmp).unwrap_or(0.0)
    })
}

/// The cells lie on a circle of a drop's size.
fn is_rim(cells: &[[f64; 2]], least_width: f64, small: &Small) -> bool {
    let Some(([x, y], radius)) = circle(cells) else {
        return false;
    };
    let diameter_mm = 2.0 * radius * small.fine_mm;
    if diameter_mm < DIAMETER_MM.0 || diameter_mm > DIAMETER_MM.1 {
        return false;
    }
    let (mut parts, mut stray) = ([false; PARTS], 0.0);
    for cell in cells {
        let (dx, dy) = (cell[0] - x, cell[1] - y);
        stray += (dx.hypot(dy) - radius).powi(2);
        let turn = dy.atan2(dx) / std::f64::consts::TAU + 0.5;
        parts[((turn * PARTS as f64) as usize).min(PARTS - 1)] = true;
    }
    let filled = parts.iter().filter(|p| **p).count();
    let arc = std::f64::consts::TAU * radius * filled as f64 / PARTS as f64;
    let stray = (stray / cells.len() as f64).sqrt() / radius;
    filled >= FILLED && stray <= STRAY && cells.len() as f64 / arc >= least_width
}

/// Centre and radius of the circle nearest to the cells (least squares of the squared radius; Kåsa, IEEE Trans.
/// Instrum. Meas. 25 (1976) 8–14).
fn circle(cells: &[[f64; 2]]) -> Option<([f64; 2], f64)> {
    let n = cells.len() as f64;
    if n < 3.0 {
        return None;
    }
    let mean = [0, 1].map(|a| cells.iter().map(|c| c[a]).sum::<f64>() / n);
    let [mut xx, mut xy, mut yy, mut xz, mut yz, mut z] = [0.0; 6];
    for cell in cells {
        let [x, y] = [0, 1].map(|a| cell[a] - mean[a]);
        let square = x * x + y * y;
        xx += x * x;
        xy += x * y;
        yy += y * y;
        xz += x * square;
        yz += y * square;
        z += square;
    }
    let det = xx * yy - xy * xy;
    if det <= 1e-9 * xx * yy {
        return None;
    }
    let (u, v) = (
        0.5 * (xz * yy - yz * xy) / det,
        0.5 * (yz * xx - xz * xy) / det,
    );
    Some(([mean[0] + u, mean[1] + v], (u * u + v * v + z / n).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    /// Silver of 0.8 with bright rings of these radii on a grid of 15 mm, four of them, at 5 px/mm.
    fn of(count: usize, radius_mm: f64, width_mm: f64, open: bool, level: f32) -> f64 {
        let silver = Plane::from_shape_fn((300, 300), |(r, c)| {
            let (x, y) = ((c as f64 + 0.5) / 5.0, (r as f64 + 0.5) / 5.0);
            let number = (y / 15.0) as usize * 4 + (x / 15.0) as usize;
            let (x, y) = (x % 15.0 - 7.5, y % 15.0 - 7.5);
            let on = (x.hypot(y) - radius_mm).abs() < width_mm / 2.0 && !(open && x > 0.0);
            if number < count && on { level } else { 0.8 }
        });
        strength(&Small::new(&drawn::panel(silver, 5.0)))
    }

    #[test]
    fn four_bright_rims_are_drops() {
        for (count, wanted) in [(0, 0.0), (1, 0.25), (3, 0.75), (4, 1.0), (16, 4.0)] {
            let found = of(count, 3.0, 1.0, false, 0.95);
            assert!((found - wanted).abs() < 1e-12, "{count} {found}");
        }
    }

    #[test]
    fn what_is_open_thin_full_faint_or_of_another_size_is_no_drop() {
        assert!(of(16, 3.0, 1.0, true, 0.95).abs() < 1e-12);
        assert!(of(16, 3.0, 0.4, false, 0.95).abs() < 1e-12);
        // A disc of 3 mm radius: a ring about nothing.
        assert!(of(16, 1.5, 3.0, false, 0.95).abs() < 1e-12);
        assert!(of(16, 3.0, 1.0, false, 0.82).abs() < 1e-12);
        assert!(of(16, 6.6, 1.0, false, 0.95).abs() < 1e-12);
        assert!(of(16, 3.0, 1.0, false, 0.5).abs() < 1e-12);
    }

    #[test]
    fn the_circle_goes_through_its_points() {
        let cells =
            [[2.0, 0.0], [0.0, 2.0], [-2.0, 0.0], [0.0, -2.0]].map(|[x, y]| [x + 7.0, y - 3.0]);
        let ([x, y], radius) = circle(&cells).unwrap();
        assert!((x - 7.0).abs() < 1e-9 && (y + 3.0).abs() < 1e-9 && (radius - 2.0).abs() < 1e-9);
        assert!(circle(&cells[..2]).is_none() && circle(&[]).is_none());
        assert!(circle(&[[0.0, 0.0], [1.0, 1.0], [2.0, 2.0]]).is_none());
    }
}
