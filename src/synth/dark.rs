//! Dark areas of a painted panel, found by flooding.

use super::field::Painted;

/// A connected (8-neighbour) area where silver is under half of what it was before speckles and blots.
#[derive(Debug, Clone, Copy)]
pub(super) struct DarkArea {
    /// Pixels, margin included.
    pub(super) pixels: usize,
    /// Pixels on the glass itself.
    pub(super) on_glass: usize,
    /// Topmost row and leftmost column.
    pub(super) first: [usize; 2],
    /// Mean row and column, pixel centres at +0.5.
    pub(super) centre: [f64; 2],
}

/// Every dark area of the painted field, margin included, in reading order of its first pixel.
pub(super) fn dark_areas(painted: &Painted) -> Vec<DarkArea> {
    let (rows, cols) = painted.silver.dim();
    let mut dark: Vec<bool> = painted
        .silver
        .iter()
        .zip(&painted.base)
        .map(|(s, base)| *s < 0.5 * base)
        .collect();
    let (on_rows, on_cols) = (painted.rows(), painted.cols());
    let mut found = Vec::new();
    let mut todo = Vec::new();
    for start in 0..dark.len() {
        if !dark[start] {
            continue;
        }
        dark[start] = false;
        todo.push(start);
        let mut area = DarkArea {
            pixels: 0,
            on_glass: 0,
            first: [rows, cols],
            centre: [0.0; 2],
        };
        while let Some(at) = todo.pop() {
            let (r, c) = (at / cols, at % cols);
            area.pixels += 1;
            area.on_glass += usize::from(on_rows.contains(&r) && on_cols.contains(&c));
            area.first = [area.first[0].min(r), area.first[1].min(c)];
            area.centre[0] += r as f64 + 0.5;
            area.centre[1] += c as f64 + 0.5;
            for nr in r.saturating_sub(1)..(r + 2).min(rows) {
                for nc in c.saturating_sub(1)..(c + 2).min(cols) {
                    let next = nr * cols + nc;
                    if dark[next] {
                        dark[next] = false;
                        todo.push(next);
                    }
                }
            }
        }
        area.centre = area.centre.map(|sum| sum / area.pixels as f64);
        found.push(area);
    }
    found
}

impl DarkArea {
    /// Diameter of the circle of equal area, pixels.
    pub(super) fn diameter_px(&self) -> f64 {
        2.0 * (self.pixels as f64 / std::f64::consts::PI).sqrt()
    }

    /// Belongs to this panel and not to the one that would hang above or to the left of it: some of it is on the
    /// glass, none of it beyond the top or left edge.
    pub(super) fn is_counted(&self, painted: &Painted) -> bool {
        self.on_glass > 0
            && self.first[0] >= painted.rows().start
            && self.first[1] >= painted.cols().start
    }
}
