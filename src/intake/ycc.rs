//! Luma and chroma to red, green and blue, in place, without losing what lies between two codes.
//!
//! JPEG stores Y, Cb and Cr (ITU-T T.871). A flat card decodes to the same three whole numbers block after block, and
//! rounding their RGB would shift the card's level by up to half a code, 0.4 % of its light. So the rounding point is
//! spread by a fixed 4 × 4 pattern: one pixel is off by less than a code as before, and means keep their fractions.

use rayon::prelude::*;

/// Fractional bits of the fixed-point sums.
const BITS: u32 = 16;

/// ITU-T T.871: R = Y + 1.402 (Cr − 128), and so on, in fixed point.
const RED_OF_CR: i32 = 91_881;
const GREEN_OF_CB: i32 = -22_554;
const GREEN_OF_CR: i32 = -46_802;
const BLUE_OF_CB: i32 = 116_130;

/// The rounding points of a 4 × 4 square, in sixteenths: each row and column is balanced (Bayer 1973).
const PATTERN: [[i32; 4]; 4] = [[0, 8, 2, 10], [12, 4, 14, 6], [3, 11, 1, 9], [15, 7, 13, 5]];

/// Converts interleaved Y, Cb, Cr of rows `width` pixels long.
pub(super) fn to_rgb(codes: &mut [u8], width: usize) {
    codes
        .par_chunks_exact_mut(3 * width.max(1))
        .enumerate()
        .for_each(|(row, line)| {
            // The middle of each sixteenth.
            let points = PATTERN[row % 4].map(|p| (2 * p + 1) << (BITS - 5));
            for four in line.chunks_mut(12) {
                for (pixel, point) in four.chunks_exact_mut(3).zip(points) {
                    convert(pixel, point);
                }
            }
        });
}

#[inline]
fn convert(pixel: &mut [u8], point: i32) {
    let (y, cb, cr) = (
        (i32::from(pixel[0]) << BITS) + point,
        i32::from(pixel[1]) - 128,
        i32::from(pixel[2]) - 128,
    );
    let code = |sum: i32| u8::try_from((sum >> BITS).clamp(0, 255)).unwrap_or(0);
    pixel[0] = code(y + RED_OF_CR * cr);
    pixel[1] = code(y + GREEN_OF_CB * cb + GREEN_OF_CR * cr);
    pixel[2] = code(y + BLUE_OF_CB * cb);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mean_of_flat(ycc: [u8; 3]) -> [f64; 3] {
        let mut codes: Vec<u8> = ycc.repeat(64);
        to_rgb(&mut codes, 8);
        [0, 1, 2].map(|c| {
            codes
                .iter()
                .skip(c)
                .step_by(3)
                .map(|v| f64::from(*v))
                .sum::<f64>()
                / 64.0
        })
    }

    #[test]
    fn means_of_flat_areas_keep_their_fractions() {
        for ycc in [
            [91, 131, 126],
            [64, 130, 125],
            [200, 120, 140],
            [128, 128, 128],
        ] {
            let [y, cb, cr] = ycc.map(f64::from);
            let exact = [
                y + 1.402 * (cr - 128.0),
                y - 0.344_136 * (cb - 128.0) - 0.714_136 * (cr - 128.0),
                y + 1.772 * (cb - 128.0),
            ];
            for (got, want) in mean_of_flat(ycc).iter().zip(exact) {
                // Sixteen rounding points tell a sixteenth of a code.
                assert!((got - want).abs() <= 1.0 / 16.0, "{got} {want}");
            }
        }
    }

    #[test]
    fn white_and_black_stay() {
        for (ycc, code) in [([255, 128, 128], 255.0), ([0, 128, 128], 0.0)] {
            assert!(
                mean_of_flat(ycc)
                    .iter()
                    .all(|mean| (mean - code).abs() < 1e-9)
            );
        }
    }
}
