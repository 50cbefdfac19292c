//! What a lens bends, and a photo as one that bends nothing would have taken it.
//!
//! Radial distortion (Brown 1966, "Decentering distortion of lenses", Photogrammetric Engineering 32, 444-462): what a straight
//! lens shows at a distance r from the middle of the frame is seen at r (1 + k₁ r²). Half the frame's diagonal is 1.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "codes are rounded within their range"
)]

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::bilinear::FourPixels;
use super::photo::{Photo, Samples};
use super::quad::{Point, Quad};

/// Rounds of Newton's iteration; each doubles the digits.
const ROUNDS: usize = 6;

/// A lens over a frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lens {
    /// Radial distortion k₁; below 0 it is a barrel, above 0 a pincushion.
    pub k1: f64,
    /// Width and height of the frame, pixels.
    pub frame_px: [f64; 2],
}

impl Lens {
    /// A lens over the frame of a photo.
    #[must_use]
    pub fn over(photo: &Photo, k1: f64) -> Self {
        Lens {
            k1,
            frame_px: [photo.width as f64, photo.height as f64],
        }
    }

    /// From the middle, and the square of the distance in half diagonals.
    fn off_middle(&self, at: Point) -> (Point, f64) {
        let off = [0, 1].map(|a| at[a] - self.frame_px[a] / 2.0);
        let [width, height] = self.frame_px;
        let half2 = (width * width + height * height) / 4.0;
        (off, (off[0] * off[0] + off[1] * off[1]) / half2)
    }

    fn at(&self, off: Point, times: f64) -> Point {
        [0, 1].map(|a| self.frame_px[a] / 2.0 + off[a] * times)
    }

    /// Where this lens shows what a straight one would at a point.
    #[must_use]
    pub fn bent(&self, straight: Point) -> Point {
        let (off, r2) = self.off_middle(straight);
        self.at(off, 1.0 + self.k1 * r2)
    }

    /// Where a straight lens would show what this one shows at a point.
    #[must_use]
    pub fn straight(&self, seen: Point) -> Point {
        let (off, r2) = self.off_middle(seen);
        // t, straight over seen: t (1 + k₁ r² t²) = 1.
        let bend = self.k1 * r2;
        let times = (0..ROUNDS).fold(1.0, |t, _| {
            t - (t * (1.0 + bend * t * t) - 1.0) / (1.0 + 3.0 * bend * t * t).max(0.1)
        });
        self.at(off, times)
    }

    /// Corners as a straight lens would show them.
    #[must_use]
    pub fn straight_quad(&self, seen: &Quad) -> Quad {
        Quad(seen.0.map(|corner| self.straight(corner)))
    }

    /// Corners as this lens shows them.
    #[must_use]
    pub fn bent_quad(&self, straight: &Quad) -> Quad {
        Quad(straight.0.map(|corner| self.bent(corner)))
    }

    /// The photo as a straight lens would have taken it: its codes between four pixels each, the nearest beyond the frame.
    #[must_use]
    pub fn straighten(&self, photo: Photo) -> Photo {
        let (width, height) = (photo.width, photo.height);
        let samples = match photo.samples {
            Samples::Eight(codes) => {
                Samples::Eight(self.resampled(&codes, width, height, |v| v as u8))
            }
            Samples::Sixteen(codes) => {
                Samples::Sixteen(self.resampled(&codes, width, height, |v| v as u16))
            }
            Samples::LumaChroma(codes) => {
                Samples::LumaChroma(self.resampled(&codes, width, height, |v| v as u8))
            }
        };
        Photo { samples, ..photo }
    }

    fn resampled<T: Copy + Default + Into<f64> + Send + Sync>(
        &self,
        codes: &[T],
        width: usize,
        height: usize,
        code: impl Fn(f64) -> T + Sync,
    ) -> Vec<T> {
        let mut out = vec![T::default(); codes.len()];
        out.par_chunks_mut(3 * width)
            .enumerate()
            .for_each(|(row, line)| {
                for (col, pixel) in line.as_chunks_mut::<3>().0.iter_mut().enumerate() {
                    let at = self.bent([col as f64 + 0.5, row as f64 + 0.5]);
                    let about = FourPixels::about(at, width, height);
                    for (c, value) in pixel.iter_mut().enumerate() {
                        let between =
                            about.between(|r, col| codes[3 * (r * width + col) + c].into());
                        *value = code(between.round());
                    }
                }
            });
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bent_point_is_straightened_to_where_it_was() {
        for k1 in [-0.15, -0.02, 0.0, 0.1] {
            let lens = Lens {
                k1,
                frame_px: [4032.0, 3024.0],
            };
            for at in [[0.0, 0.0], [2016.0, 1512.0], [3900.0, 200.0]] {
                let back = lens.straight(lens.bent(at));
                assert!(
                    (0..2).all(|a| (back[a] - at[a]).abs() < 1e-6),
                    "{k1} {back:?}"
                );
            }
        }
    }

    #[test]
    fn a_corner_of_the_frame_moves_by_the_distortion() {
        // Half the diagonal is 2500 pixels, and k₁ = −0.04 of it 100.
        let lens = Lens {
            k1: -0.04,
            frame_px: [4000.0, 3000.0],
        };
        let [x, y] = lens.bent([0.0, 0.0]);
        assert!((x - 80.0).abs() < 1e-9 && (y - 60.0).abs() < 1e-9);
    }
}
