//! The light of the photo under one tile of the panel's grid, as ratios to full silver, and reading it between pixels.

use super::grid::Grid;
use super::light::Light;
use crate::frame::photo::Photo;
use crate::frame::quad::{Point, Quad};
use crate::ops::transfer::LUMINANCE;

/// Columns over which the way into the photo is taken for straight. A tilt of 20° bends it by under 0.01 pixel.
const STRAIGHT: usize = 16;

/// One pixel in fixed point.
const FIXED: f32 = 65_536.0;

/// The upright rectangle of photo pixels under a tile, with the neighbours that reading between pixels needs. It may
/// reach over the edge of the photo, which goes on there as its last pixels.
pub(super) struct Window {
    first_col: i32,
    first_row: i32,
    width: usize,
    height: usize,
    /// Luminance weight over full silver's light, per channel, at its corners: above left and right, below left and right.
    gains: [[f32; 3]; 4],
}

impl Window {
    /// Under the grid's pixels from (left, top) up to (right, bottom).
    pub(super) fn under(
        photo: &Photo,
        grid: &Grid,
        light: &Light,
        [left, top, right, bottom]: [usize; 4],
    ) -> Self {
        // A projective map carries a rectangle to the quad of its corners.
        let under = Quad(
            [[left, top], [right, top], [right, bottom], [left, bottom]]
                .map(|[x, y]| grid.to_photo.apply([x as f64, y as f64])),
        );
        let span = |axis: usize| {
            let [low, high] = under.span(axis);
            let first = (low - 1.5).floor();
            (first as i32, ((high + 1.5).ceil() - first) as usize)
        };
        let ((first_col, width), (first_row, height)) = (span(0), span(1));
        let gains = [[0, 0], [1, 0], [0, 1], [1, 1]].map(|[right, down]| {
            let x = f64::from(first_col) + (right * (width - 1)) as f64 + 0.5;
            let y = f64::from(first_row) + (down * (height - 1)) as f64 + 0.5;
            let full = light.at([x / photo.width as f64, y / photo.height as f64]);
            [0, 1, 2].map(|c| (LUMINANCE[c] / full[c].max(1e-6)) as f32)
        });
        Window {
            first_col,
            first_row,
            width,
            height,
            gains,
        }
    }

    /// The gains in its first and last column, a share `down` of the way from its first row to its last.
    fn gains_across(&self, down: f32) -> [[f32; 3]; 2] {
        [0, 1].map(|side| between(self.gains[side], self.gains[side + 2], down))
    }

    /// The gains about a place in the photo.
    pub(super) fn gains_at(&self, [x, y]: Point) -> [f32; 3] {
        let share = |at: f64, first: i32, side: usize| {
            (at - 0.5 - f64::from(first)) as f32 / (side - 1) as f32
        };
        let [left, right] = self.gains_across(share(y, self.first_row, self.height));
        between(left, right, share(x, self.first_col, self.width))
    }

    /// Reads its pixels as luminance of the ratios to full silver.
    pub(super) fn read(&self, photo: &Photo, ratios: &mut Vec<f32>) {
        ratios.resize(self.width * self.height, 0.0);
        // From which of its columns up to which it lies on the photo, and where there.
        let off = |edge: i64, least: usize| {
            usize::try_from(edge - i64::from(self.first_col))
                .unwrap_or(0)
                .clamp(least, self.width)
        };
        let begin = off(0, 0).min(self.width - 1);
        let end = off(photo.width as i64, begin + 1);
        let clamped = |at: i64, end: usize| usize::try_from(at).unwrap_or(0).min(end);
        let col = clamped(
            i64::from(self.first_col) + begin as i64,
            photo.width + begin - end,
        );
        for (i, line) in ratios.chunks_exact_mut(self.width).enumerate() {
            let [left, right] = self.gains_across(i as f32 / (self.height - 1) as f32);
            let step = [0, 1, 2].map(|c| (right[c] - left[c]) / (self.width - 1) as f32);
            let row = clamped(i64::from(self.first_row) + i as i64, photo.height - 1);
            photo.weighed_along(row, col, [left, step], &mut line[begin..end]);
            let (first, last) = (line[begin], line[end - 1]);
            line[..begin].fill(first);
            line[end..].fill(last);
        }
    }

    /// Adds `share` of the ratio at grid position `start`, one column further, and so on. Over a few columns the way
    /// into the photo is straight to a hundredth of a pixel, so it is worked out at their ends only; between them in
    /// fixed point, so that many columns are done at once.
    #[inline(always)]
    pub(super) fn add_row(
        &self,
        ratios: &[f32],
        grid: &Grid,
        start: Point,
        share: f32,
        out: &mut [f32],
    ) {
        let local = |columns: usize| {
            let [x, y] = grid.to_photo.apply([start[0] + columns as f64, start[1]]);
            [
                (x - 0.5 - f64::from(self.first_col)) as f32,
                (y - 0.5 - f64::from(self.first_row)) as f32,
            ]
        };
        let width = self.width as i32;
        let last = ratios.len() - self.width - 2;
        let mut from = local(0);
        for (k, few) in out.chunks_mut(STRAIGHT).enumerate() {
            let to = local(k * STRAIGHT + few.len());
            let begin = from.map(|at| (at * FIXED) as i32);
            let step = [0, 1].map(|a| ((to[a] - from[a]) * (FIXED / few.len() as f32)) as i32);
            from = to;
            let mut pixel = [0; STRAIGHT];
            let mut part = [[0.0; STRAIGHT]; 2];
            for i in 0..STRAIGHT {
                let [x, y] = [0, 1].map(|a| begin[a].wrapping_add(i as i32 * step[a]));
                pixel[i] = (y >> 16) * width + (x >> 16);
                part[0][i] = (x & 0xFFFF) as f32 / FIXED;
                part[1][i] = (y & 0xFFFF) as f32 / FIXED;
            }
            let mut about = [[0.0; STRAIGHT]; 4];
            for i in 0..STRAIGHT {
                let upper = (pixel[i] as usize).min(last);
                let lower = upper + self.width;
                let (above, below) = (&ratios[upper..upper + 2], &ratios[lower..lower + 2]);
                about[0][i] = above[0];
                about[1][i] = above[1];
                about[2][i] = below[0];
                about[3][i] = below[1];
            }
            for (i, sum) in few.iter_mut().enumerate() {
                let above = about[0][i] + part[0][i] * (about[1][i] - about[0][i]);
                let below = about[2][i] + part[0][i] * (about[3][i] - about[2][i]);
                *sum += share * (above + part[1][i] * (below - above));
            }
        }
    }
}

/// A share `t` of the way from `a` to `b`.
fn between(a: [f32; 3], b: [f32; 3], t: f32) -> [f32; 3] {
    [0, 1, 2].map(|c| a[c] + t * (b[c] - a[c]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;
    use crate::frame::quad::Quad;

    /// The window under a panel that fills a photo, under a full silver that grows from left to right.
    fn under(photo: &Photo, light: &Light) -> (Window, Grid) {
        let [width, height] = [photo.width, photo.height].map(|px| px as f64);
        let placement = drawn::placement(Quad::rectangle(0.0, 0.0, width, height));
        let grid = Grid::new(&placement, 10.0, 1.0).unwrap();
        let window = Window::under(photo, &grid, light, [0, 0, grid.cols, grid.rows]);
        (window, grid)
    }

    #[test]
    fn light_over_full_silver_is_one_wherever_both_grow_alike() {
        let photo = drawn::photo([80, 80], |x, _| [0.4 + 0.2 * (x as f64 + 0.5) / 80.0; 3]);
        let (window, grid) = under(&photo, &Light::Plane([[0.5, 0.2, 0.0]; 3]));
        let mut ratios = Vec::new();
        window.read(&photo, &mut ratios);
        assert_eq!(ratios.len(), window.width * window.height);
        // The gains run straight, one over the light does not: 4 % off between the ends.
        assert!(ratios.iter().all(|v| (v - 1.0).abs() < 0.05));
        let even = drawn::photo([80, 80], |_, _| [0.25; 3]);
        let (window, _) = under(&even, &Light::Plane([[0.5, 0.0, 0.0]; 3]));
        window.read(&even, &mut ratios);
        assert!(ratios.iter().all(|v| (v - 0.5).abs() < 1e-3));
        let mut row = vec![1.0; grid.cols];
        window.add_row(&ratios, &grid, [0.5, 0.5], 0.5, &mut row);
        assert!(row.iter().all(|v| (v - 1.25).abs() < 1e-3));
        let gains = window.gains_at([40.0, 40.0]);
        assert!((gains.iter().sum::<f32>() - 2.0).abs() < 1e-3);
    }

    #[test]
    fn beyond_the_photo_its_last_pixels_go_on() {
        let photo = drawn::photo([4, 3], |x, y| [0.1 + 0.1 * x as f64 + 0.01 * y as f64; 3]);
        let window = Window {
            first_col: -2,
            first_row: -1,
            width: 8,
            height: 5,
            gains: [LUMINANCE.map(|w| w as f32); 4],
        };
        let mut found = Vec::new();
        window.read(&photo, &mut found);
        let line = |down: f32| [0.1, 0.1, 0.1, 0.2, 0.3, 0.4, 0.4, 0.4].map(|v| v + 0.01 * down);
        let wanted = [0.0, 0.0, 1.0, 2.0, 2.0].map(line).concat();
        assert!(
            found.iter().zip(&wanted).all(|(a, b)| (a - b).abs() < 1e-4),
            "{found:?}"
        );
        assert_eq!(found.len(), wanted.len());
    }

    #[test]
    fn between_two_is_a_share_of_the_way() {
        let found = between([0.0, 1.0, 2.0], [4.0, 1.0, 0.0], 0.25);
        assert_eq!(found.to_vec(), vec![1.0, 1.0, 1.5]);
    }
}
