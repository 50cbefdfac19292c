//! Reading a raster between its pixels.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "positions are clamped to the raster before they become indices"
)]

use super::quad::Point;

/// The four pixels about a point, and how far it lies from the first of them to the others.
#[derive(Debug, Clone, Copy)]
pub struct FourPixels {
    rows: [usize; 2],
    cols: [usize; 2],
    /// Shares of a pixel, to the right and down.
    share: Point,
}

impl FourPixels {
    /// About a point of a raster of this width and height; beyond its outermost pixels' middles it goes on as they are.
    #[inline]
    #[must_use]
    pub fn about([x, y]: Point, width: usize, height: usize) -> Self {
        let clamp = |v: f64, n: usize| (v - 0.5).clamp(0.0, n as f64 - 1.0);
        let (x, y) = (clamp(x, width), clamp(y, height));
        let (left, top) = (x as usize, y as usize);
        FourPixels {
            rows: [top, (top + 1).min(height - 1)],
            cols: [left, (left + 1).min(width - 1)],
            share: [x - left as f64, y - top as f64],
        }
    }

    /// The value between theirs (bilinear interpolation), each given by its row and column.
    #[inline]
    pub fn between(&self, value: impl Fn(usize, usize) -> f64) -> f64 {
        let ([top, bottom], [left, right], [across, down]) = (self.rows, self.cols, self.share);
        let along = |row: usize| {
            let (first, second) = (value(row, left), value(row, right));
            first + across * (second - first)
        };
        let (above, below) = (along(top), along(bottom));
        above + down * (below - above)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_pixels_lie_straight_lines_and_beyond_them_the_outermost() {
        let value = |row: usize, col: usize| (10 * row + col) as f64;
        let at = |x: f64, y: f64| FourPixels::about([x, y], 4, 3).between(value);
        assert!((at(1.75, 1.0) - 6.25).abs() < 1e-12);
        assert!((at(2.5, 1.5) - 12.0).abs() < 1e-12);
        assert!(at(-3.0, 0.1).abs() < 1e-12);
        assert!((at(9.0, 9.0) - 23.0).abs() < 1e-12);
    }
}
