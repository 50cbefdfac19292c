//! Means over the pixels of places, of whatever is made of each pixel.

use std::ops::Range;

use super::place::Piece;
use crate::frame::Plane;
use crate::ops::wide::{Loop, wide};

/// Sums over the pixels of one place.
struct Sums<const N: usize>([f64; N]);

/// Pixels added side by side.
const LANES: usize = 8;

/// The sums of what is made of each pixel of some planes of one size, in these rows and columns.
struct Summing<'a, const M: usize, const N: usize, F> {
    planes: [&'a Plane; M],
    rows: Range<usize>,
    cols: Range<usize>,
    of: F,
}

impl<const M: usize, const N: usize, F: Fn([f32; M]) -> [f32; N]> Loop for Summing<'_, M, N, F> {
    type Output = Sums<N>;

    #[inline(always)]
    fn run(self) -> Sums<N> {
        let mut all = [0.0_f64; N];
        let width = self.cols.len();
        for r in self.rows {
            let lines = self.planes.map(|plane| {
                let from = r * plane.ncols() + self.cols.start;
                &plane.as_slice().unwrap_or(&[])[from..from + width]
            });
            let mut lanes = [[0.0_f32; LANES]; N];
            let whole = width / LANES * LANES;
            for i in (0..whole).step_by(LANES) {
                let few = lines.map(|line| &line[i..i + LANES]);
                for k in 0..LANES {
                    let of = (self.of)(few.map(|few| few[k]));
                    for n in 0..N {
                        lanes[n][k] += of[n];
                    }
                }
            }
            for i in whole..width {
                let of = (self.of)(lines.map(|line| line[i]));
                for n in 0..N {
                    lanes[n][i - whole] += of[n];
                }
            }
            for n in 0..N {
                all[n] += lanes[n].iter().map(|v| f64::from(*v)).sum::<f64>();
            }
        }
        Sums(all)
    }
}

/// For each place of a piece the means of what is made of each pixel.
pub(super) fn means<const M: usize, const N: usize>(
    planes: [&Plane; M],
    piece: &Piece,
    of: impl Fn([f32; M]) -> [f32; N] + Copy,
) -> Vec<[f64; N]> {
    let (rows, cols) = planes[0].dim();
    let down = Piece::pixels(&piece.down, rows);
    let across = Piece::pixels(&piece.across, cols);
    let mut all = Vec::with_capacity(down.len() * across.len());
    for rows in &down {
        for cols in &across {
            let (rows, cols) = (rows.clone(), cols.clone());
            let pixels = (rows.len() * cols.len()).max(1) as f64;
            let sums = wide(Summing {
                planes,
                rows,
                cols,
                of,
            });
            all.push(sums.0.map(|sum| sum / pixels));
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    #[test]
    fn each_place_has_the_mean_of_its_own_pixels() {
        // Two places of 9 and 10 columns, with a stretch of whole lanes and a rest.
        let plane = drawn::plane(&["#########..........", "55555555522222222##"]);
        let piece = Piece {
            rows: 0..2,
            cols: 0..19,
            down: vec![0.0..0.5, 0.5..1.0],
            across: vec![0.0..9.0 / 19.0, 9.0 / 19.0..1.0],
        };
        let found = means([&plane, &plane], &piece, |[a, b]| [a, a * b]);
        let wanted = [[0.0, 0.0], [1.0, 1.0], [0.5, 0.25], [0.16, 0.032]];
        for (found, wanted) in found.iter().zip(wanted) {
            assert!(
                (found[0] - wanted[0]).abs() < 1e-6 && (found[1] - wanted[1]).abs() < 1e-6,
                "{found:?}"
            );
        }
        // A place without pixels.
        let none = Piece {
            down: vec![0.0..0.0],
            ..piece
        };
        assert_eq!(means([&plane], &none, |v| v)[0].to_vec(), vec![0.0]);
    }
}
