//! Areas of their own level with a sharp outline, in a plane.
//!
//! The areas under a threshold grow as it rises. One with a sharp outline hardly grows while the threshold rises from its
//! level to that around it; one without grows steadily. (Maximally stable extremal regions: Matas, Chum, Urban & Pajdla,
//! BMVC 2002, 384–393.)

use imageproc::geometry::{contour_area, convex_hull};
use imageproc::point::Point;
use rayon::prelude::*;

use crate::frame::Plane;
use crate::ops::label::{Labels, Run, add_runs, label};

/// An area with a sharp outline, in cells.
#[derive(Debug, Clone)]
pub(super) struct Plateau {
    /// How far the threshold rises while the outline stays.
    pub(super) contrast: f64,
    /// Twice its area over its outline inside the plane: the width of a band, half that of a disc.
    pub(super) thickness: f64,
    /// Its share of all that lies about as low.
    pub(super) alone: f64,
    /// Its cells, as (row, first column, last column).
    pub(super) runs: Vec<(u32, u32, u32)>,
    /// Cells.
    pub(super) area: f64,
}

/// The areas under one threshold.
struct Level {
    labels: Labels,
    /// The first run of each row.
    first_run: Vec<usize>,
    /// Each area's first run, and the length of its outline inside the plane, cells.
    areas: Vec<(Run, f64)>,
    /// Cells of all areas.
    cells: f64,
}

/// The outline may move by this share of the thickness. Half a cosine's height takes a third of its width, a tenth of it
/// is so moved through within a sixth of the height: no ridge, cloud or worn edge keeps still for long.
const STILL: f64 = 0.1;

/// Nor may it move further, mm: wide clouds do.
const STILL_MM: f64 = 3.0;

/// The plateaus of the areas under each of the rising `thresholds` that take up at least the share `least` and at
/// most 70 % of the plane; `alone` is told at a rise by `contrast`.
pub(super) fn plateaus(
    plane: &Plane,
    thresholds: &[f32],
    least: f64,
    [cell_mm, contrast]: [f64; 2],
) -> Vec<Plateau> {
    let furthest = (STILL_MM / cell_mm).max(1.0);
    let [least, most] = [least, 0.7].map(|share| share * plane.len() as f64);
    let levels: Vec<Level> = thresholds
        .par_iter()
        .map(|t| Level::under(plane, *t))
        .collect();
    let mut found: Vec<Plateau> = Vec::new();
    for (k, low) in levels.iter().enumerate() {
        for (i, (area, (seed, outline))) in low.labels.areas.iter().zip(&low.areas).enumerate() {
            let size = f64::from(area.pixels);
            if size < least || size > most {
                continue;
            }
            let thickness = 2.0 * size / outline.max(1.0);
            let (mut top, mut alone) = (k, size / low.cells);
            for (l, high) in levels.iter().enumerate().skip(k + 1) {
                let (grown, longer) = high.holding(seed);
                let moved = 2.0 * (grown - size) / (outline + longer).max(1.0);
                if grown > most || moved > furthest.min(STILL * thickness) {
                    break;
                }
                top = l;
                if f64::from(thresholds[l] - thresholds[k]) <= contrast {
                    alone = grown / high.cells;
                }
            }
            let stood = f64::from(thresholds[top] - thresholds[k]);
            if stood > 0.0 {
                let runs = low.labels.runs.iter().filter(|r| r.area as usize == i);
                found.push(Plateau {
                    contrast: stood,
                    thickness,
                    alone,
                    runs: runs.map(|r| (r.row, r.first, r.last)).collect(),
                    area: size,
                });
            }
        }
    }
    found
}

impl Level {
    fn under(plane: &Plane, threshold: f32) -> Self {
        let (rows, cols) = plane.dim();
        let low = |r: usize, c: usize| plane[[r, c]] < threshold;
        let labels = label(rows, |r, runs| {
            add_runs((0..cols).map(|c| low(r, c)), 0, runs);
        });
        let nowhere = Run {
            row: 0,
            first: 0,
            last: 0,
            area: 0,
        };
        let mut areas = vec![(nowhere, 0.0); labels.areas.len()];
        let mut first_run = vec![labels.runs.len(); rows + 1];
        for (n, run) in labels.runs.iter().enumerate().rev() {
            let (r, first, last) = (run.row as usize, run.first as usize, run.last as usize);
            first_run[r] = n;
            let ends = usize::from(first > 0) + usize::from(last + 1 < cols);
            let above = (first..=last).filter(|c| r > 0 && !low(r - 1, *c));
            let below = (first..=last).filter(|c| r + 1 < rows && !low(r + 1, *c));
            // Steps along cells are longer than the line through them, by 4/π over all directions.
            let steps = ends + above.count() + below.count();
            let (seed, outline) = &mut areas[run.area as usize];
            *seed = *run;
            *outline += steps as f64 * std::f64::consts::FRAC_PI_4;
        }
        for r in (0..rows).rev() {
            first_run[r] = first_run[r].min(first_run[r + 1]);
        }
        Level {
            cells: labels.areas.iter().map(|a| f64::from(a.pixels)).sum(),
            labels,
            first_run,
            areas,
        }
    }

    /// Size and outline of the area here that holds a run of a lower threshold.
    fn holding(&self, seed: &Run) -> (f64, f64) {
        let row = seed.row as usize;
        self.labels.runs[self.first_run[row]..self.first_run[row + 1]]
            .iter()
            .find(|r| r.first <= seed.first && seed.first <= r.last)
            .map_or((f64::INFINITY, 1.0), |run| {
                let area = run.area as usize;
                (
                    f64::from(self.labels.areas[area].pixels),
                    self.areas[area].1,
                )
            })
    }
}

impl Plateau {
    /// Share of its convex hull that it fills: near 1 with a smooth round or straight outline.
    pub(super) fn solidity(&self) -> f64 {
        let corners = |(r, first, last): &(u32, u32, u32)| {
            let (r, left, right) = (*r as i32, *first as i32, *last as i32 + 1);
            [(left, r), (left, r + 1), (right, r), (right, r + 1)].map(|(x, y)| Point::new(x, y))
        };
        let corners: Vec<Point<i32>> = self.runs.iter().flat_map(corners).collect();
        self.area / contour_area(&convex_hull(corners)).max(0.5)
    }

    /// Share of it that lies beyond the straight line that cuts off as much of the plane, in the direction where that is
    /// most.
    pub(super) fn beyond_a_line(&self, plane: &Plane) -> f64 {
        let (rows, cols) = plane.dim();
        let mut inside = vec![false; plane.len()];
        for (r, a, b) in &self.runs {
            inside[*r as usize * cols + *a as usize..=*r as usize * cols + *b as usize].fill(true);
        }
        let reach = rows.max(cols) as f64 * 1.5;
        let beyond = |turn: i32| {
            let (sin, cos) = (f64::from(turn) * 5.0).to_radians().sin_cos();
            // Cells, and those of the area, by their distance along the direction.
            let mut along = vec![(0.0, 0.0); (2.0 * reach) as usize + 1];
            for (i, held) in inside.iter().enumerate() {
                let at = (i % cols) as f64 * cos + (i / cols) as f64 * sin + reach;
                let (all, of) = &mut along[at as usize];
                *all += 1.0;
                *of += f64::from(u8::from(*held));
            }
            let (mut left, mut held) = (self.area, 0.0);
            for (all, of) in along.iter().rev().filter(|(all, _)| *all > 0.0) {
                held += of * (left / all).min(1.0);
                left -= all;
                if left <= 0.0 {
                    break;
                }
            }
            held / self.area
        };
        (0..72).map(beyond).fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEPS: [f32; 9] = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9];

    /// What stands out of a plane of 40 by 40 cells of 1 mm.
    fn found(level: impl Fn(usize, usize) -> f32) -> Vec<Plateau> {
        let plane = Plane::from_shape_fn((40, 40), |(r, c)| level(r, c));
        plateaus(&plane, &STEPS, 0.01, [1.0, 0.15])
    }

    fn inside(at: usize) -> bool {
        (10..20).contains(&at)
    }

    #[test]
    fn even_planes_and_ramps_hold_none() {
        for level in [0.0, 0.55, 1.0] {
            assert!(found(|_, _| level).is_empty());
        }
        assert!(found(|_, c| c as f32 / 40.0).is_empty());
    }

    #[test]
    fn a_square_keeps_its_outline_from_its_level_to_that_around() {
        let all = found(|r, c| if inside(r) && inside(c) { 0.25 } else { 0.75 });
        let most = all
            .iter()
            .max_by(|a, b| a.contrast.total_cmp(&b.contrast))
            .unwrap();
        // From 0.3 to 0.7.
        assert!((most.contrast - 0.4).abs() < 1e-6 && (most.area - 100.0).abs() < 1e-12);
        assert!((most.alone - 1.0).abs() < 1e-12 && (most.solidity() - 1.0).abs() < 1e-12);
        // 2 · 100 over 40 steps of π/4.
        assert!((most.thickness - 5.0 / std::f64::consts::FRAC_PI_4).abs() < 1e-9);
        assert_eq!(most.runs.len(), 10);
        assert_eq!(most.runs[0], (10, 10, 19));
    }

    #[test]
    fn of_two_alike_each_is_half_of_all() {
        let all = found(|r, c| {
            if inside(r) && (inside(c) || (25..35).contains(&c)) {
                0.25
            } else {
                0.75
            }
        });
        assert!(!all.is_empty() && all.iter().all(|p| (p.alone - 0.5).abs() < 1e-12));
    }

    #[test]
    fn a_corner_cut_out_of_a_square_leaves_its_hull() {
        let corner = found(|r, c| {
            if inside(r) && inside(c) && (r >= 15 || c < 15) {
                0.25
            } else {
                0.75
            }
        });
        // 75 cells in a hull of 87.5.
        assert!((corner[0].solidity() - 75.0 / 87.5).abs() < 1e-9);
    }

    #[test]
    fn half_a_plane_lies_beyond_a_line_and_a_square_in_its_middle_does_not() {
        let beyond = |level: fn(usize, usize) -> f32| {
            let plane = Plane::from_shape_fn((40, 40), |(r, c)| level(r, c));
            plateaus(&plane, &STEPS, 0.01, [1.0, 0.15])[0].beyond_a_line(&plane)
        };
        let half = beyond(|_, c| if c < 15 { 0.25 } else { 0.75 });
        assert!((half - 1.0).abs() < 1e-9, "{half}");
        assert!(
            beyond(|r, c| if (15..25).contains(&r) && (15..25).contains(&c) {
                0.25
            } else {
                0.75
            }) < 0.5
        );
    }
}
