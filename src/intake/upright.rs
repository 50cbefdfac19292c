//! Turns a picture as EXIF orientation says, so that it stands as shown.
//!
//! Source: Exif 2.32 (CIPA DC-008), tag 0x0112: 1 as stored, 2 mirrored left to right, 3 turned by 180°, 4 mirrored top
//! to bottom, 5 mirrored about the falling diagonal, 6 to be turned 90° clockwise, 7 mirrored about the rising
//! diagonal, 8 to be turned 90° anticlockwise.

use rayon::prelude::*;

use crate::frame::photo::Samples;

/// Rows and columns of the square that is turned at once: small enough for both sides of it to stay in cache.
const TILE: usize = 32;

/// The picture as shown and its width and height. Orientation 1, and any number that is none, copies nothing.
pub(super) fn turn(
    width: usize,
    height: usize,
    samples: Samples,
    orientation: u8,
) -> (usize, usize, Samples) {
    let samples = match samples {
        Samples::Eight(codes) => Samples::Eight(turn_codes(width, height, codes, orientation)),
        Samples::LumaChroma(codes) => {
            Samples::LumaChroma(turn_codes(width, height, codes, orientation))
        }
        Samples::Sixteen(codes) => Samples::Sixteen(turn_codes(width, height, codes, orientation)),
    };
    match orientation {
        5..=8 => (height, width, samples),
        _ => (width, height, samples),
    }
}

fn turn_codes<T: Copy + Default + Send + Sync>(
    width: usize,
    height: usize,
    mut codes: Vec<T>,
    orientation: u8,
) -> Vec<T> {
    let (pixels, _) = codes.as_chunks_mut::<3>();
    match orientation {
        2 => pixels.par_chunks_mut(width).for_each(<[[T; 3]]>::reverse),
        3 => pixels.reverse(),
        4 => {
            let (top, bottom) = pixels.split_at_mut(height / 2 * width);
            let rows = top.chunks_exact_mut(width);
            rows.zip(bottom.chunks_exact_mut(width).rev())
                .for_each(|(a, b)| a.swap_with_slice(b));
        }
        5..=8 => return swap_sides(width, height, pixels, orientation),
        _ => {}
    }
    codes
}

/// The four turns that exchange width and height.
fn swap_sides<T: Copy + Default + Send + Sync>(
    width: usize,
    height: usize,
    from: &[[T; 3]],
    orientation: u8,
) -> Vec<T> {
    let bottom_up = matches!(orientation, 6 | 7);
    let right_to_left = matches!(orientation, 7 | 8);
    let mut codes = vec![T::default(); 3 * width * height];
    let (into, _) = codes.as_chunks_mut::<3>();
    into.par_chunks_mut(TILE * height)
        .enumerate()
        .for_each(|(band, rows)| {
            for left in (0..height).step_by(TILE) {
                for (i, row) in rows.chunks_exact_mut(height).enumerate() {
                    let r = band * TILE + i;
                    let col = if right_to_left { width - 1 - r } else { r };
                    let right = height.min(left + TILE);
                    for (c, pixel) in (left..right).zip(&mut row[left..right]) {
                        let line = if bottom_up { height - 1 - c } else { c };
                        *pixel = from[line * width + col];
                    }
                }
            }
        });
    codes
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One code a pixel, tripled.
    fn picture(codes: &[u8]) -> Samples {
        Samples::Eight(codes.iter().flat_map(|c| [*c; 3]).collect())
    }

    fn turned(codes: &[u8], width: usize, orientation: u8) -> (usize, Vec<u8>) {
        match turn(width, codes.len() / width, picture(codes), orientation) {
            (w, h, Samples::Eight(v)) => {
                assert_eq!(w * h, codes.len());
                (w, v.chunks_exact(3).map(|p| p[0]).collect())
            }
            other => panic!("{other:?}"),
        }
    }

    #[test]
    #[rustfmt::skip]
    fn every_stored_form_of_one_picture_is_brought_upright() {
        // The picture as shown:  1 2 3
        //                        4 5 6
        let shown = (3, vec![1, 2, 3, 4, 5, 6]);
        for (orientation, stored, width) in [
            (0, [1, 2, 3, 4, 5, 6], 3), (1, [1, 2, 3, 4, 5, 6], 3), (2, [3, 2, 1, 6, 5, 4], 3),
            (3, [6, 5, 4, 3, 2, 1], 3), (4, [4, 5, 6, 1, 2, 3], 3), (5, [1, 4, 2, 5, 3, 6], 2),
            (6, [3, 6, 2, 5, 1, 4], 2), (7, [6, 3, 5, 2, 4, 1], 2), (8, [4, 1, 5, 2, 6, 3], 2),
        ] {
            assert_eq!(turned(&stored, width, orientation), shown, "orientation {orientation}");
        }
    }

    #[test]
    fn pictures_larger_than_a_tile_are_turned_whole() {
        let (width, height) = (3 * TILE + 5, 2 * TILE + 7);
        let stored: Vec<u8> = (0..width * height).map(|i| (i * 7 % 251) as u8).collect();
        for (there, back) in [(5, 5), (6, 8), (7, 7), (8, 6)] {
            let (w, codes) = turned(&stored, width, there);
            assert_eq!(w, height);
            assert_eq!(turned(&codes, w, back), (width, stored.clone()));
        }
    }
}
