//! The colour of tarnished silver.

/// Red, green and blue of fully tarnished silver before its luminance is put right; chosen to look like old silver.
const TARNISHED: [f64; 3] = [1.0, 0.78, 0.42];

/// Weights of linear red, green and blue in luminance (ITU-R BT.709).
pub(super) const LUMINANCE: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// What remaining silver reflects in red, green and blue for each unit of its luminance.
#[must_use]
pub fn silver_colour(warmth: f64) -> [f64; 3] {
    let raw = TARNISHED.map(|t| 1.0 - warmth * (1.0 - t));
    let luminance: f64 = (0..3).map(|c| LUMINANCE[c] * raw[c]).sum();
    raw.map(|v| v / luminance)
}

/// Linear Rec. 709 to CIE XYZ (IEC 61966-2-1's primaries and D65), and back.
const TO_XYZ: [[f64; 3]; 3] = [
    [0.412_390_799, 0.357_584_339, 0.180_480_788],
    [0.212_639_006, 0.715_168_679, 0.072_192_315],
    [0.019_330_819, 0.119_194_780, 0.950_532_152],
];
const FROM_XYZ: [[f64; 3]; 3] = [
    [3.240_969_942, -1.537_383_178, -0.498_610_760],
    [-0.969_243_636, 1.875_967_502, 0.041_555_057],
    [0.055_630_080, -0.203_976_959, 1.056_971_514],
];

/// Linear Rec. 709 colour of luminance 1 with this CIELAB hue angle and chroma, white being (1, 1, 1), D65.
pub(super) fn rgb_of_full(hue_deg: f64, chroma: f64) -> [f64; 3] {
    let (b, a) = (hue_deg.to_radians().sin(), hue_deg.to_radians().cos());
    // L* is 100, so f of Y is 1.
    let f = [1.0 + chroma * a / 500.0, 1.0, 1.0 - chroma * b / 200.0];
    let xyz: [f64; 3] = std::array::from_fn(|i| {
        let white: f64 = TO_XYZ[i].iter().sum();
        let t = if f[i] > 6.0 / 29.0 {
            f[i].powi(3)
        } else {
            3.0 * (6.0f64 / 29.0).powi(2) * (f[i] - 4.0 / 29.0)
        };
        t * white
    });
    let raw = FROM_XYZ.map(|row| (0..3).map(|c| row[c] * xyz[c]).sum::<f64>());
    // The rounded weights of luminance, so that it is 1 as for other silver.
    let luminance: f64 = (0..3).map(|c| LUMINANCE[c] * raw[c]).sum();
    raw.map(|v| v / luminance)
}

/// CIELAB a* and b* of a linear Rec. 709 colour whose white is (1, 1, 1), D65.
pub(super) fn a_b(rgb: [f64; 3]) -> [f64; 2] {
    let f = TO_XYZ.map(|row| {
        let white: f64 = row.iter().sum();
        let t = (0..3).map(|c| row[c] * rgb[c]).sum::<f64>() / white;
        if t > (6.0f64 / 29.0).powi(3) {
            t.cbrt()
        } else {
            t * (29.0f64 / 6.0).powi(2) / 3.0 + 4.0 / 29.0
        }
    });
    [500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn warmth_keeps_luminance_and_grey_has_no_tone() {
        let warm = silver_colour(0.8);
        let luminance: f64 = (0..3).map(|c| LUMINANCE[c] * warm[c]).sum();
        assert!((luminance - 1.0).abs() < 1e-12);
        assert!(a_b([0.5; 3]).iter().all(|v| v.abs() < 1e-9));
        assert!(a_b(warm)[1] > 5.0);
    }

    #[test]
    fn a_colour_made_of_hue_and_chroma_has_them() {
        for (hue, chroma) in [(85.0, 35.0), (270.0, 14.0), (20.0, 8.0), (160.0, 12.0f64)] {
            let rgb = rgb_of_full(hue, chroma);
            let [a, b] = a_b(rgb);
            // The weights of luminance are rounded to four decimals.
            assert!((a.hypot(b) - chroma).abs() < 0.02, "{a} {b}");
            assert!((b.atan2(a).to_degrees().rem_euclid(360.0) - hue).abs() < 0.1);
            let luminance: f64 = (0..3).map(|c| LUMINANCE[c] * rgb[c]).sum();
            assert!((luminance - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn red_has_the_tone_published_for_it() {
        // sRGB red under D65: a* 80.09, b* 67.20 (widely published conversion, 2° observer).
        let [a, b] = a_b([1.0, 0.0, 0.0]);
        assert!(
            (a - 80.09).abs() < 0.1 && (b - 67.20).abs() < 0.1,
            "{a} {b}"
        );
    }
}
