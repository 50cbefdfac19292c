//! Areas of their own level with a sharp outline, in a plane.
//!
//! The areas under a threshold grow as it rises. One with a sharp outline hardly grows while the threshold rises from its
//! level to that around it; one without grows steadily. (Maximally stable extremal regions: Matas, Chum, Urban & Pajdla,
//! BMVC 2002, 384–393.)

use rayon::prelude::*;

use crate::frame::Plane;
use crate::ops::label::{Labels, label};

/// An area with a sharp outline, in cells.
#[derive(Debug, Clone)]
pub(super) struct Plateau {
    /// How far the threshold rises while the outline stays.
    pub(super) contrast: f64,
    /// Twice its area over its outline inside the plane: the width of a band, half that of a disc.
    pub(super) thickness: f64,
    /// Its cells, as (row, first column, last column).
    pub(super) runs: Vec<(u32, u32, u32)>,
    /// Cells.
    pub(super) area: f64,
}

/// The areas under one threshold.
struct Level {
    labels: Labels,
    /// Which run a cell lies in by row: the first run of each row.
    first_run: Vec<usize>,
    /// Length of each area's outline inside the plane, cells.
    outline: Vec<f64>,
}

/// The outline may move by this share of the thickness. Half a cosine's height takes a third of its width, a tenth of it
/// is so moved through within a sixth of the height: no ridge, cloud or worn edge keeps still for long.
const STILL: f64 = 0.1;

/// The plateaus of the areas under each of the rising `thresholds` that take up at least `least` cells and at most
/// 70 % of the plane.
pub(super) fn plateaus(plane: &Plane, thresholds: &[f32], least: f64) -> Vec<Plateau> {
    let most = 0.7 * plane.len() as f64;
    let levels: Vec<Level> = thresholds
        .par_iter()
        .map(|t| Level::under(plane, *t))
        .collect();
    let mut found: Vec<Plateau> = Vec::new();
    for (k, low) in levels.iter().enumerate() {
        for (i, area) in low.labels.areas.iter().enumerate() {
            let size = f64::from(area.pixels);
            if size < least || size > most {
                continue;
            }
            let thickness = 2.0 * size / low.outline[i].max(1.0);
            let still = levels[k + 1..].iter().take_while(|high| {
                let (grown, outline) = high.holding(low, i);
                let moved = 2.0 * (grown - size) / (low.outline[i] + outline).max(1.0);
                grown <= most && moved <= STILL * thickness
            });
            let last = k + still.count();
            let contrast = f64::from(thresholds[last] - thresholds[k]);
            if contrast > 0.0 {
                let runs = low.labels.runs.iter().filter(|r| r.area as usize == i);
                found.push(Plateau {
                    contrast,
                    thickness,
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
            let mut c = 0;
            while c < cols {
                let first = c;
                while c < cols && low(r, c) {
                    c += 1;
                }
                if c > first {
                    runs.push((first as u32, c as u32 - 1));
                }
                c += 1;
            }
        });
        let mut outline = vec![0.0; labels.areas.len()];
        let mut first_run = vec![labels.runs.len(); rows + 1];
        for (n, run) in labels.runs.iter().enumerate().rev() {
            let (r, first, last) = (run.row as usize, run.first as usize, run.last as usize);
            first_run[r] = n;
            let ends = usize::from(first > 0) + usize::from(last + 1 < cols);
            let above = (first..=last).filter(|c| r > 0 && !low(r - 1, *c));
            let below = (first..=last).filter(|c| r + 1 < rows && !low(r + 1, *c));
            // Steps along cells are longer than the line through them, by 4/π over all directions.
            let steps = ends + above.count() + below.count();
            outline[run.area as usize] += steps as f64 * std::f64::consts::FRAC_PI_4;
        }
        for r in (0..rows).rev() {
            first_run[r] = first_run[r].min(first_run[r + 1]);
        }
        Level {
            labels,
            first_run,
            outline,
        }
    }

    /// Size and outline of the area here that holds area `i` of a lower threshold.
    fn holding(&self, low: &Level, i: usize) -> (f64, f64) {
        let seed = low.labels.runs.iter().find(|r| r.area as usize == i);
        let held = seed.and_then(|seed| {
            let row = self.first_run[seed.row as usize]..self.first_run[seed.row as usize + 1];
            self.labels.runs[row]
                .iter()
                .find(|r| r.first <= seed.first && seed.first <= r.last)
        });
        held.map_or((f64::INFINITY, 1.0), |run| {
            let area = run.area as usize;
            (
                f64::from(self.labels.areas[area].pixels),
                self.outline[area],
            )
        })
    }
}
