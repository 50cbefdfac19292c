//! Dark areas of a painted panel, found by flooding.

use super::field::Painted;

/// A connected (8-neighbour) area where silver is under half of what it was before speckles, blots and marks.
#[derive(Debug, Clone)]
pub(super) struct DarkArea {
    /// Its pixels, margin included, as places in the field read row by row.
    pub(super) places: Vec<usize>,
    /// Columns of the field.
    pub(super) cols: usize,
    /// Pixels on the glass itself.
    pub(super) on_glass: usize,
    /// Topmost row and leftmost column.
    pub(super) first: [usize; 2],
    /// Bottom row and rightmost column.
    pub(super) last: [usize; 2],
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
            places: Vec::new(),
            cols,
            on_glass: 0,
            first: [rows, cols],
            last: [0, 0],
            centre: [0.0; 2],
        };
        while let Some(at) = todo.pop() {
            let (r, c) = (at / cols, at % cols);
            area.places.push(at);
            area.on_glass += usize::from(on_rows.contains(&r) && on_cols.contains(&c));
            area.first = [area.first[0].min(r), area.first[1].min(c)];
            area.last = [area.last[0].max(r), area.last[1].max(c)];
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
        area.centre = area.centre.map(|sum| sum / area.places.len() as f64);
        found.push(area);
    }
    found
}

impl DarkArea {
    /// Diameter of the circle of equal area, pixels.
    pub(super) fn diameter_px(&self) -> f64 {
        2.0 * (self.places.len() as f64 / std::f64::consts::PI).sqrt()
    }

    /// Row and column of each of its pixels.
    pub(super) fn pixels(&self) -> impl Iterator<Item = [usize; 2]> + '_ {
        self.places
            .iter()
            .map(|at| [at / self.cols, at % self.cols])
    }

    /// Belongs to this panel and not to the one that would hang above or to the left of it: some of it is on the
    /// glass, none of it beyond the top or left edge.
    pub(super) fn is_counted(&self, painted: &Painted) -> bool {
        self.on_glass > 0
            && self.first[0] >= painted.rows().start
            && self.first[1] >= painted.cols().start
    }

    /// Axis ratio of the ellipse of the same second moments, and the direction of its long axis: axial degrees,
    /// anticlockwise from the bottom edge. Each pixel counts as the square it is (its own moment is 1/12).
    pub(super) fn axes(&self) -> (f64, f64) {
        let (mut rr, mut cc, mut rc) = (0.0, 0.0, 0.0);
        for [r, c] in self.pixels() {
            let y = r as f64 + 0.5 - self.centre[0];
            let x = c as f64 + 0.5 - self.centre[1];
            (rr, cc, rc) = (rr + y * y, cc + x * x, rc + x * y);
        }
        let [rr, cc, rc] = [rr, cc, rc].map(|sum| sum / self.places.len() as f64);
        let (middle, off) = (
            f64::midpoint(rr, cc) + 1.0 / 12.0,
            (((cc - rr) / 2.0).powi(2) + rc * rc).sqrt(),
        );
        // Down is the way rows grow, so the direction is turned over.
        let degrees = (-2.0 * rc).atan2(cc - rr).to_degrees() / 2.0;
        (
            ((middle + off) / (middle - off)).sqrt(),
            crate::units::axial(degrees),
        )
    }
}
