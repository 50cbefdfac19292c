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
    let white = REC709_TO_XYZ * Vector3::repeat(1.0);
    let rec709 = adaptation(white, PCS_WHITE)? * REC709_TO_XYZ;
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
    let own = to_xyz(xy)?;
    let adapted = adaptation(own * Vector3::repeat(1.0), PCS_WHITE)? * own;
    Some(std::array::from_fn(|row| {
        std::array::from_fn(|col| adapted[(row, col)])
    }))
}

/// Linear light to XYZ with its own white, from the chromaticities of white, red, green and blue.
fn to_xyz(xy: [f64; 8]) -> Option<Matrix3<f64>> {
    let xyz = |i: usize| {
        let (x, y) = (xy[2 * i], xy[2 * i + 1]);
        (y > 0.0).then(|| Vector3::new(x / y, 1.0, (1.0 - x - y) / y))
    };
    let directions = Matrix3::from_columns(&[xyz(1)?, xyz(2)?, xyz(3)?]);
    let weights = directions.try_inverse()? * xyz(0)?;
    Some(directions * Matrix3::from_diagonal(&weights))
}

/// The Bradford adaptation from one white to another.
fn adaptation(from: Vector3<f64>, to: Vector3<f64>) -> Option<Matrix3<f64>> {
    let scale = (BRADFORD * to).component_div(&(BRADFORD * from));
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

    /// Rows of numbers of a published file.
    fn published(file: &str, key: &str) -> Matrix3<f64> {
        let all: serde_json::Value = serde_json::from_str(file).unwrap();
        Matrix3::from_fn(|row, col| all[key][row][col].as_f64().unwrap())
    }

    const MATRICES: &str = include_str!("../../fixtures/published/rgb_xyz_matrices.json");
    const ICC: &str = include_str!("../../fixtures/published/icc_constants.json");

    /// The exact fractions of W3C CSS Color 4, section 10, from the primaries of IEC 61966-2-1 and SMPTE EG 432-1.
    #[test]
    fn primaries_give_the_published_matrices() {
        for (xy, key) in [
            (REC709, "sRGB_to_XYZ_D65"),
            (DISPLAY_P3, "DisplayP3_to_XYZ_D65"),
        ] {
            let found = to_xyz(xy).unwrap();
            assert!((found - published(MATRICES, key)).amax() < 1e-12, "{found}");
        }
        let found = REC709_TO_XYZ - published(MATRICES, "sRGB_to_XYZ_D65");
        assert!(found.amax() < 1e-15, "{found}");
    }

    /// The same section: Display P3 to linear sRGB.
    #[test]
    fn display_p3_goes_to_srgb_by_the_published_matrix() {
        let p3 = to_xyz(DISPLAY_P3).unwrap();
        let found = REC709_TO_XYZ.try_inverse().unwrap() * p3;
        let published = published(MATRICES, "DisplayP3_to_sRGB_linear");
        assert!((found - published).amax() < 1e-12, "{found}");
    }

    /// The same section: Bradford from D65 to D50 at x 0.3457, y 0.3585.
    #[test]
    fn the_adaptation_is_the_published_one() {
        let white = |x: f64, y: f64| Vector3::new(x / y, 1.0, (1.0 - x - y) / y);
        let found = adaptation(white(0.3127, 0.3290), white(0.3457, 0.3585)).unwrap();
        let published = published(MATRICES, "Bradford_D65_to_D50");
        assert!((found - published).amax() < 1e-12, "{found}");
    }

    /// ICC.1:2022, 7.2.16: D50 as X 0.9642, Y 1, Z 0.8249, in steps of 1/65536 F6D6, 10000 and D32D.
    #[test]
    fn the_connection_spaces_white_is_the_published_one() {
        let white = &serde_json::from_str::<serde_json::Value>(ICC).unwrap()["PCS_white_D50"];
        for (i, found) in PCS_WHITE.iter().enumerate() {
            let steps = white["s15Fixed16"][i].as_str().unwrap();
            let steps = u32::from_str_radix(steps.trim_start_matches("0x"), 16).unwrap();
            assert_eq!(white["XYZ"][i].as_f64(), Some(*found));
            assert!((found - f64::from(steps) / 65_536.0).abs() <= 0.5 / 65_536.0);
        }
    }

    /// The colorants of sRGB as LittleCMS writes them to a profile, and those by the D50 of CSS Color 4, whose Z is
    /// 0.00020 larger.
    #[test]
    fn srgb_has_the_colorants_of_its_profiles() {
        let all: serde_json::Value = serde_json::from_str(ICC).unwrap();
        let profile = &all["littlecms_sRGB_profile_colorants_XYZ"];
        let by_css = published(ICC, "sRGB_colorants_D50");
        let found = colorants(REC709).unwrap();
        for (row, found) in found.iter().enumerate() {
            for (col, name) in ["red", "green", "blue"].into_iter().enumerate() {
                let in_profile = profile[name][row].as_f64().unwrap();
                // The profile rounds D65 to four decimals of x and y and the colorants to 1/65536.
                assert!((found[col] - in_profile).abs() < 1e-4, "{name}");
                assert!((found[col] - by_css[(row, col)]).abs() < 2.1e-4, "{name}");
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
