//! Connected areas of a yes/no raster: runs along the rows joined by union-find, 8 neighbours.
//!
//! imageproc's `connected_components` keeps a label, a tree and a number for every pixel of a picture, joins only pixels of equal
//! value and tells nothing of the areas. Here only the runs are stored, which is some ten times faster on a large panel with few
//! specks, and the areas come with them. A test holds the two side by side.

use std::f64::consts::{FRAC_1_SQRT_2, FRAC_PI_4};

use rayon::prelude::*;

/// One connected area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    /// Pixels.
    pub pixels: u32,
    /// Mean row of its pixels (index, not pixel centre).
    pub row: f64,
    /// Mean column of its pixels.
    pub col: f64,
    /// First and last row.
    pub rows: (u32, u32),
    /// First and last column.
    pub cols: (u32, u32),
    /// Variances of its pixels' rows and columns and their covariance, px².
    pub spread: [f64; 3],
    /// Length of its outline, holes' outlines included, px: Crofton's formula with lines in four directions, so right to
    /// about 5 % for any direction of the outline.
    pub perimeter: f64,
    /// Holes: stretches of other pixels, joined at their sides, that it surrounds.
    pub holes: u32,
}

impl Area {
    /// Larger and smaller principal variance of its pixels, px², and the axis of the larger, in radians from the rows'
    /// direction towards the columns' (clockwise as shown).
    #[must_use]
    pub fn principal(&self) -> ([f64; 2], f64) {
        let [rows, cols, both] = self.spread;
        let (middle, half) = (f64::midpoint(rows, cols), (cols - rows) / 2.0);
        let length = half.hypot(both);
        ([middle + length, middle - length], both.atan2(half) / 2.0)
    }
}

/// How a run lies to those of the row above.
#[derive(Debug, Clone, Copy, Default)]
struct Touch {
    /// Runs it touches, also at a corner.
    runs: u32,
    /// Its pixels with a set one straight above, above to the left, above to the right.
    pixels: [u32; 3],
}

impl Touch {
    /// Adds a run of the row above.
    fn add(&mut self, (first, last): (u32, u32), above: &Run) {
        self.runs += 1;
        // Columns moved one to the right, so that none is under 0.
        let shared = |shift: u32| {
            let from = (first + 1).max(above.first + shift);
            (last + 2).min(above.last + shift + 1).saturating_sub(from)
        };
        for (pixels, shift) in self.pixels.iter_mut().zip([1, 2, 0]) {
            *pixels += shared(shift);
        }
    }
}

/// A stretch of set pixels in a row, and the area it belongs to.
#[derive(Debug, Clone, Copy)]
pub struct Run {
    /// Row.
    pub row: u32,
    /// First column.
    pub first: u32,
    /// Last column.
    pub last: u32,
    /// Index into [`Labels::areas`].
    pub area: u32,
}

/// The areas of a raster and the runs they are made of, both in reading order.
#[derive(Debug, Clone, Default)]
pub struct Labels {
    /// The areas, ordered by their first pixel.
    pub areas: Vec<Area>,
    /// All runs, ordered by row and column.
    pub runs: Vec<Run>,
}

/// Labels the raster of `rows` rows whose runs of set pixels `runs_of_row` appends as (first, last) columns.
pub fn label(rows: usize, runs_of_row: impl Fn(usize, &mut Vec<(u32, u32)>) + Sync) -> Labels {
    let by_row: Vec<Vec<(u32, u32)>> = (0..rows)
        .into_par_iter()
        .map(|r| {
            let mut runs = Vec::new();
            runs_of_row(r, &mut runs);
            runs
        })
        .collect();
    let mut runs = Vec::new();
    let mut parent: Vec<u32> = Vec::new();
    let mut touches: Vec<Touch> = Vec::new();
    let mut previous = 0..0;
    for (r, row) in by_row.iter().enumerate() {
        let start = runs.len();
        let mut above = previous.start;
        for &(first, last) in row {
            let me = runs.len() as u32;
            runs.push(Run {
                row: r as u32,
                first,
                last,
                area: me,
            });
            parent.push(me);
            // Touching at a corner counts: columns may differ by one.
            while above < previous.end && runs[above].last + 1 < first {
                above += 1;
            }
            let mut other = above;
            let mut touch = Touch::default();
            while other < previous.end && runs[other].first <= last + 1 {
                join(&mut parent, me, other as u32);
                touch.add((first, last), &runs[other]);
                other += 1;
            }
            touches.push(touch);
        }
        previous = start..runs.len();
    }
    gather(runs, parent, &touches)
}

/// Appends the runs of a row as (first, last) columns, told pixel by pixel from column `first` on what is set.
pub fn add_runs(set: impl Iterator<Item = bool>, first: usize, runs: &mut Vec<(u32, u32)>) {
    let mut open: Option<u32> = None;
    let mut end = first as u32;
    for is_set in set {
        match (open, is_set) {
            (None, true) => open = Some(end),
            (Some(start), false) => {
                runs.push((start, end - 1));
                open = None;
            }
            _ => {}
        }
        end += 1;
    }
    if let Some(start) = open {
        runs.push((start, end - 1));
    }
}

fn gather(mut runs: Vec<Run>, mut parent: Vec<u32>, touches: &[Touch]) -> Labels {
    let mut index_of_root = vec![u32::MAX; runs.len()];
    let mut areas: Vec<Area> = Vec::new();
    for (run, touch) in runs.iter_mut().zip(touches) {
        let root = find(&mut parent, run.area) as usize;
        if index_of_root[root] == u32::MAX {
            index_of_root[root] = areas.len() as u32;
            areas.push(Area {
                pixels: 0,
                row: 0.0,
                col: 0.0,
                rows: (run.row, run.row),
                cols: (run.first, run.last),
                spread: [0.0; 3],
                perimeter: 0.0,
                holes: 1,
            });
        }
        run.area = index_of_root[root];
        let area = &mut areas[index_of_root[root] as usize];
        let n = run.last - run.first + 1;
        area.pixels += n;
        let (pixels, row, middle) = (
            f64::from(n),
            f64::from(run.row),
            f64::from(run.first + run.last) / 2.0,
        );
        area.row += pixels * row;
        area.col += pixels * middle;
        area.spread[0] += pixels * row * row;
        area.spread[1] += pixels * (middle * middle + (pixels * pixels - 1.0) / 12.0);
        area.spread[2] += pixels * row * middle;
        // Ends seen by lines along the rows, down the columns and along both diagonals, which lie closer by √2.
        let ends = touch.pixels.map(|shared| f64::from(n - shared.min(n)));
        area.perimeter += FRAC_PI_4 * (1.0 + ends[0] + (ends[1] + ends[2]) * FRAC_1_SQRT_2);
        // Each touch beyond those that join the runs closes a ring (Euler).
        area.holes = area.holes.wrapping_add(touch.runs).wrapping_sub(1);
        area.rows.1 = area.rows.1.max(run.row);
        area.cols = (area.cols.0.min(run.first), area.cols.1.max(run.last));
    }
    for area in &mut areas {
        let pixels = f64::from(area.pixels);
        area.row /= pixels;
        area.col /= pixels;
        let middles = [
            area.row * area.row,
            area.col * area.col,
            area.row * area.col,
        ];
        for (spread, middle) in area.spread.iter_mut().zip(middles) {
            *spread = *spread / pixels - middle;
        }
    }
    Labels { areas, runs }
}

fn find(parent: &mut [u32], mut i: u32) -> u32 {
    while parent[i as usize] != i {
        parent[i as usize] = parent[parent[i as usize] as usize];
        i = parent[i as usize];
    }
    i
}

/// The smaller index becomes the root, so that areas come out in reading order.
fn join(parent: &mut [u32], a: u32, b: u32) {
    let (a, b) = (find(parent, a), find(parent, b));
    parent[a.max(b) as usize] = a.min(b);
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{GrayImage, Luma};
    use imageproc::region_labelling::{Connectivity, connected_components};
    use rand::{RngExt, SeedableRng};

    fn label_image(image: &GrayImage) -> Labels {
        label(image.height() as usize, |r, runs| {
            let set = |c: u32| image.get_pixel(c, r as u32).0[0] > 0;
            add_runs((0..image.width()).map(set), 0, runs);
        })
    }

    #[test]
    fn areas_agree_with_a_reference_library_on_random_rasters() {
        let mut rng = rand_pcg::Pcg64::seed_from_u64(7);
        for density in [0.1, 0.3, 0.45, 0.6] {
            let image = GrayImage::from_fn(83, 61, |_, _| {
                Luma([u8::from(rng.random::<f64>() < density) * 255])
            });
            let theirs = connected_components(&image, Connectivity::Eight, Luma([0]));
            let mut sizes =
                vec![0u32; theirs.pixels().map(|p| p.0[0] as usize).max().unwrap_or(0) + 1];
            theirs.pixels().for_each(|p| sizes[p.0[0] as usize] += 1);
            let mut theirs: Vec<u32> = sizes[1..].to_vec();
            let mut ours: Vec<u32> = label_image(&image).areas.iter().map(|a| a.pixels).collect();
            theirs.sort_unstable();
            ours.sort_unstable();
            assert_eq!(ours, theirs);
        }
    }

    #[test]
    fn shapes_have_their_textbook_spread_outline_and_holes() {
        // A bar of 30 × 4: (n² − 1)/12 along each side; its outline is 68, and Crofton sees level sides 5 % short and cuts corners.
        let bar = GrayImage::from_fn(40, 10, |x, y| {
            Luma([u8::from((3..33).contains(&x) && (2..6).contains(&y))])
        });
        let bar = label_image(&bar).areas[0];
        assert!((bar.spread[0] - 15.0 / 12.0).abs() < 1e-9);
        assert!((bar.spread[1] - 899.0 / 12.0).abs() < 1e-9 && bar.spread[2].abs() < 1e-9);
        assert!(
            (bar.perimeter / 68.0 - 1.0).abs() < 0.08,
            "{}",
            bar.perimeter
        );
        assert_eq!(bar.holes, 0);
        // A ring from 8 to 20 about the middle: variance (8² + 20²)/4, outlines 2π (8 + 20).
        let ring = GrayImage::from_fn(50, 50, |x, y| {
            let r = (f64::from(x) - 24.3).hypot(f64::from(y) - 24.6);
            Luma([u8::from((8.0..20.0).contains(&r))])
        });
        let ring = label_image(&ring).areas[0];
        let ([large, small], _) = ring.principal();
        assert!((large / 116.0 - 1.0).abs() < 0.02 && (small / 116.0 - 1.0).abs() < 0.02);
        let outline = std::f64::consts::TAU * 28.0;
        assert!((ring.perimeter / outline - 1.0).abs() < 0.02);
        assert_eq!(ring.holes, 1);
        // Two holes that meet at a corner are two: the corner joins what is about them.
        let eight = GrayImage::from_fn(6, 6, |x, y| {
            Luma([u8::from((x, y) != (2, 2) && (x, y) != (3, 3))])
        });
        assert_eq!(label_image(&eight).areas[0].holes, 2);
        // A slanting bar points where it points: 30° clockwise.
        let (sin, cos) = 30_f64.to_radians().sin_cos();
        let slant = GrayImage::from_fn(60, 60, |x, y| {
            let (x, y) = (f64::from(x) - 30.0, f64::from(y) - 30.0);
            let (along, across) = (x * cos + y * sin, y * cos - x * sin);
            Luma([u8::from(along.abs() < 20.0 && across.abs() < 2.5)])
        });
        let (_, axis) = label_image(&slant).areas[0].principal();
        assert!((axis.to_degrees() - 30.0).abs() < 0.5, "{axis}");
    }

    #[test]
    fn a_corner_joins_and_the_middle_is_found() {
        let image = GrayImage::from_fn(4, 2, |x, y| {
            Luma([u8::from((x, y) == (0, 0) || (x, y) == (1, 1) || x == 3)])
        });
        let labels = label_image(&image);
        assert_eq!(labels.areas.len(), 2);
        assert!(
            (labels.areas[0].row - 0.5).abs() < 1e-9 && (labels.areas[0].col - 0.5).abs() < 1e-9
        );
    }
}
