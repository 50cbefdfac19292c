//! Colorants of a colour space → the matrix to linear Rec. 709 light.
//!
//! Profiles keep their colorants adapted to the white of the profile connection space, D50; Rec. 709 is brought there
//! by the same Bradford adaptation (ICC.1:2022 annex E) and inverted.

use nalgebra::{Matrix3, Vector3};

/// Below this difference a matrix is taken for the identity. Makers of sRGB profiles round D50 and D65 in different
/// decimals, which moves white by up to 0.00035; an 8-bit code near white is 0.009.
const SAME: f64 = 5e-4;

/// White of the profile connection space (ICC.1:2022, 7.2.16).
const PCS_WHITE: Vector3<f64> = Vector3::new(0.9642, 1.0, 0.8249);

/// Linear sRGB to XYZ with its own white, D65 at x 0.3127, y 0.3290 (W3C CSS Color 4, section 10).
#[rustfmt::skip]
const REC709_TO_XYZ: Matrix3<f64> = Matrix3::new(
    506_752.0 / 1_228_815.0, 87_881.0 / 245_763.0, 12_673.0 / 70_218.0,
    87_098.0 / 409_605.0, 175_762.0 / 245_763.0, 12_673.0 / 175_545.0,
    7_918.0 / 409_605.0, 87_881.0 / 737_289.0, 1_001_167.0 / 1_053_270.0,
);

/// XYZ to cone responses after Bradford (ICC.1:2022, annex E.3).
#[rustfmt::skip]
const BRADFORD: Matrix3<f64> = Matrix3::new(
    0.8951, 0.2664, -0.1614,
    -0.7502, 1.7135, 0.0367,
    0.0389, -0.0685, 1.0296,
);

/// The matrix from a space whose colorants (columns: X, Y, Z of red, green, blue, adapted to D50) are given.
///
/// `Some(None)` where the space has Rec. 709 primaries already; `None` where the colorants make no colour space, or
/// white would land nowhere near white.
pub(super) fn to_rec709(colorants: &[[f64; 3]; 3]) -> Option<Option<[[f32; 3]; 3]>> {
    let space = Matrix3::from_fn(|row, col| colorants[row][col]);
    let rec709 = adaptation(REC709_TO_XYZ * Vector3::repeat(1.0))? * REC709_TO_XYZ;
    space.try_inverse()?;
    let matrix = rec709.try_inverse()? * space;
    let white = matrix * Vector3::repeat(1.0);
    let sane =
        matrix.iter().all(|v| v.abs() < 10.0) && white.iter().all(|v| (0.5..=1.5).contains(v));
    if !sane {
        return None;
    }
    if (matrix - Matrix3::identity()).amax() < SAME {
        return Some(None);
    }
    Some(Some(std::array::from_fn(|row| {
        std::array::from_fn(|col| matrix[(row, col)] as f32)
    })))
}

/// Colorants adapted to D50 from the chromaticities of white, red, green and blue, each x and y.
pub(super) fn colorants(xy: [f64; 8]) -> Option<[[f64; 3]; 3]> {
    let xyz = |i: usize| {
        let (x, y) = (xy[2 * i], xy[2 * i + 1]);
        (y > 0.0).then(|| Vector3::new(x / y, 1.0, (1.0 - x - y) / y))
    };
    let white = xyz(0)?;
    let directions = Matrix3::from_columns(&[xyz(1)?, xyz(2)?, xyz(3)?]);
    let weights = directions.try_inverse()? * white;
    let adapted = adaptation(white)? * directions * Matrix3::from_diagonal(&weights);
    Some(std::array::from_fn(|row| {
        std::array::from_fn(|col| adapted[(row, col)])
    }))
}

/// The Bradford adaptation from `white` to that of the profile connection space.
fn adaptation(white: Vector3<f64>) -> Option<Matrix3<f64>> {
    let scale = (BRADFORD * PCS_WHITE).component_div(&(BRADFORD * white));
    Some(BRADFORD.try_inverse()? * Matrix3::from_diagonal(&scale) * BRADFORD)
}

#[cfg(test)]
mod tests {
    use super::*;

    const REC709: [f64; 8] = [0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06];
    const DISPLAY_P3: [f64; 8] = [0.3127, 0.3290, 0.680, 0.320, 0.265, 0.690, 0.150, 0.060];

    #[test]
    fn rec709_is_left_as_it_is() {
        assert_eq!(to_rec709(&colorants(REC709).unwrap()), Some(None));
    }

    #[test]
    fn display_p3_comes_out_as_published() {
        // Exact rational arithmetic on the primaries, agreeing with the sample code of W3C CSS Color 4, section 10.
        let expected = [
            [1.224_940_176, -0.224_940_176, 0.0],
            [-0.042_056_955, 1.042_056_955, 0.0],
            [-0.019_637_555, -0.078_636_046, 1.098_273_600],
        ];
        let matrix = to_rec709(&colorants(DISPLAY_P3).unwrap()).unwrap().unwrap();
        for (row, expected) in matrix.iter().zip(expected) {
            for (value, expected) in row.iter().zip(expected) {
                // f32 and nothing else.
                assert!((f64::from(*value) - expected).abs() < 1e-6, "{matrix:?}");
            }
        }
    }

    #[test]
    fn adapted_colorants_are_as_published() {
        // The same primaries through the Bradford matrix of CSS Color 4, whose D50 differs from the profiles' in the
        // fourth decimal.
        let expected = [
            [0.515_146_443, 0.292_009_982, 0.157_139_251],
            [0.241_200_322, 0.692_222_541, 0.066_577_137],
            [-0.001_050_139, 0.041_878_270, 0.784_276_471],
        ];
        let found = colorants(DISPLAY_P3).unwrap();
        for (row, expected) in found.iter().zip(expected) {
            for (value, expected) in row.iter().zip(expected) {
                assert!((value - expected).abs() < 3e-4, "{found:?}");
            }
        }
    }

    #[test]
    fn senseless_colorants_make_no_space() {
        assert_eq!(to_rec709(&[[0.0; 3]; 3]), None);
        assert_eq!(
            to_rec709(&[[0.4, 0.4, 0.4], [0.2, 0.2, 0.2], [0.1, 0.1, 0.1]]),
            None
        );
        assert_eq!(to_rec709(&[[f64::NAN; 3]; 3]), None);
        assert_eq!(
            to_rec709(&[[4.0, 0.0, 0.0], [0.0, 4.0, 0.0], [0.0, 0.0, 4.0]]),
            None
        );
        assert_eq!(colorants([0.0; 8]), None);
    }
}
