//! The photo's light at any point, between its pixels.

use crate::frame::photo::Photo;
use crate::frame::quad::Point;

/// Luminance of linear light, Rec. 709.
const LUMINANCE: [f32; 3] = [0.2126, 0.7152, 0.0722];

/// A photo read by its luminance.
#[derive(Clone, Copy)]
pub(super) struct Light<'a>(pub(super) &'a Photo);

impl Light<'_> {
    fn pixel(self, row: usize, col: usize) -> f64 {
        let light = self.0.light(row, col);
        let sum: f32 = LUMINANCE.iter().zip(light).map(|(w, v)| w * v).sum();
        f64::from(sum)
    }

    /// Luminance at a point, straight lines between pixel centres; `None` outside the photo.
    pub(super) fn at(self, [x, y]: Point) -> Option<f64> {
        let (x, y) = (x - 0.5, y - 0.5);
        let inside = |v: f64, n: usize| v >= 0.0 && v < n as f64 - 1.0;
        if !inside(x, self.0.width) || !inside(y, self.0.height) {
            return None;
        }
        let (col, row) = (x as usize, y as usize);
        let (u, v) = (x - col as f64, y - row as f64);
        let along = |r: usize| self.pixel(r, col) * (1.0 - u) + self.pixel(r, col + 1) * u;
        Some(along(row) * (1.0 - v) + along(row + 1) * v)
    }
}
