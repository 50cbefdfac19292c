//! From codes to light and from light to numbers people use: the sRGB curve, CIELAB and the difference of two colours.

use std::sync::LazyLock;

use palette::Lab;
use palette::color_difference::Ciede2000;

/// Linear light of an sRGB code value in 0..1 (IEC 61966-2-1).
#[must_use]
pub fn srgb_decode(code: f64) -> f64 {
    if code <= 0.04045 {
        code / 12.92
    } else {
        ((code + 0.055) / 1.055).powf(2.4)
    }
}

/// The sRGB code value in 0..1 of linear light (IEC 61966-2-1).
#[must_use]
pub fn srgb_encode(light: f64) -> f64 {
    if light <= 0.003_130_8 {
        light * 12.92
    } else {
        1.055 * light.powf(1.0 / 2.4) - 0.055
    }
}

/// Steps of light from 0 to 1 in which codes are looked up: the darkest of them is a fifth of a code.
const STEPS: usize = 1 << 14;

static CODES: LazyLock<Vec<u8>> = LazyLock::new(|| {
    let code = |step: usize| srgb_encode(step as f64 / STEPS as f64) * 255.0;
    (0..=STEPS).map(|step| code(step).round() as u8).collect()
});

/// The 8-bit sRGB code of linear light, looked up; what is outside 0..1 is cut to it.
#[inline]
#[must_use]
pub fn srgb_code(light: f32) -> u8 {
    let step = (light * STEPS as f32 + 0.5).clamp(0.0, STEPS as f32);
    CODES[step as usize]
}

static LIGHTS: LazyLock<[f32; 256]> = LazyLock::new(|| {
    let light = |code: usize| srgb_decode(code as f64 / 255.0) as f32;
    std::array::from_fn(light)
});

/// Linear light of an 8-bit sRGB code, looked up.
#[inline]
#[must_use]
pub fn srgb_light(code: u8) -> f32 {
    LIGHTS[usize::from(code)]
}

/// Linear light of an sRGB colour brought to a luminance of 1.
#[must_use]
pub fn of_one_light(codes: [u8; 3]) -> [f32; 3] {
    let light = codes.map(srgb_light);
    let luminance: f32 = (0..3).map(|c| LUMINANCE[c] as f32 * light[c]).sum();
    light.map(|v| v / luminance.max(1e-6))
}

/// Relative luminance weights of linear Rec. 709 red, green and blue (Rec. ITU-R BT.709).
pub const LUMINANCE: [f64; 3] = [0.2126, 0.7152, 0.0722];

/// Luminance of linear light; what follows the three channels is left aside.
#[inline]
#[must_use]
pub fn luminance<T: Copy + Into<f64>>(light: &[T]) -> f64 {
    let weighed = LUMINANCE.iter().zip(light).map(|(w, v)| w * (*v).into());
    weighed.sum()
}

/// CIELAB (L*, a*, b*) of linear Rec. 709 light given relative to a neutral white of (1, 1, 1)
/// (CIE 15; matrix of IEC 61966-2-1, D65).
#[must_use]
pub fn lab([r, g, b]: [f64; 3]) -> [f64; 3] {
    const TO_XYZ: [[f64; 3]; 3] = [
        [
            0.412_390_799_265_96,
            0.357_584_339_383_88,
            0.180_480_788_401_83,
        ],
        [
            0.212_639_005_871_51,
            0.715_168_678_767_76,
            0.072_192_315_360_73,
        ],
        [
            0.019_330_818_715_59,
            0.119_194_779_794_63,
            0.950_532_152_249_66,
        ],
    ];
    let [x, y, z] = TO_XYZ.map(|row| {
        let white: f64 = row.iter().sum();
        lab_f((row[0] * r + row[1] * g + row[2] * b) / white)
    });
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// CIELAB a* and b* of the same light, to a thousandth and quickly: for whole planes, many at once.
#[inline(always)]
#[must_use]
pub fn a_b(light: [f32; 3]) -> [f32; 2] {
    let [r, g, b] = light;
    let x = 0.433_887 * r + 0.376_224 * g + 0.189_889 * b;
    let y = 0.212_639 * r + 0.715_169 * g + 0.072_192 * b;
    let z = 0.017_750 * r + 0.109_448 * g + 0.872_802 * b;
    let f = |t: f32| {
        const EPSILON: f32 = 216.0 / 24389.0;
        // Both are worked out, so that many go side by side.
        let (root, line) = (
            cube_root(t.max(EPSILON)),
            (24389.0 / 27.0 * t + 16.0) / 116.0,
        );
        if t > EPSILON { root } else { line }
    };
    let (x, y, z) = (f(x), f(y), f(z));
    [500.0 * (x - y), 200.0 * (y - z)]
}

/// Cube root of a positive number: a third of its exponent, then Newton's steps, each of which doubles the digits.
#[inline(always)]
fn cube_root(t: f32) -> f32 {
    let step = |root: f32| (2.0 * root + t / (root * root)) * (1.0 / 3.0);
    step(step(step(f32::from_bits(t.to_bits() / 3 + 0x2a51_4067))))
}

/// CIELAB lightness L* of a luminance given relative to white (CIE 15).
#[must_use]
pub fn lightness(luminance: f64) -> f64 {
    116.0 * lab_f(luminance) - 16.0
}

fn lab_f(t: f64) -> f64 {
    const EPSILON: f64 = 216.0 / 24389.0;
    const KAPPA: f64 = 24389.0 / 27.0;
    if t > EPSILON {
        t.cbrt()
    } else {
        (KAPPA * t + 16.0) / 116.0
    }
}

/// CIEDE2000 difference of two CIELAB colours (ISO/CIE 11664-6), all weights 1: about 1 is the least the eye sees side by
/// side.
#[must_use]
pub fn colour_difference(one: [f64; 3], other: [f64; 3]) -> f64 {
    let colour = |[l, a, b]: [f64; 3]| Lab::<palette::white_point::D65, f64>::new(l, a, b);
    colour(one).difference(colour(other))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_quick_colour_is_the_exact_one() {
        for code in 0..4096_u32 {
            let light = [code & 15, (code >> 4) & 15, code >> 8].map(|v| f64::from(v) / 14.0);
            let [_, a, b] = lab(light);
            let [quick_a, quick_b] = a_b(light.map(|v| v as f32)).map(f64::from);
            assert!(
                (quick_a - a).abs() < 1e-3 && (quick_b - b).abs() < 1e-3,
                "{light:?}"
            );
        }
    }

    #[test]
    fn the_curve_meets_a_published_value() {
        // IEC 61966-2-1 evaluated with colour-science 0.4.7.
        assert!((srgb_decode(0.5) - 0.214_041_14).abs() < 1e-8);
    }

    #[test]
    fn encoding_undoes_decoding() {
        for code in [0.0, 0.02, 0.2, 0.5, 1.0] {
            assert!((srgb_encode(srgb_decode(code)) - code).abs() < 1e-6);
        }
    }

    #[test]
    fn codes_looked_up_are_those_of_the_curve() {
        for code in 0..=255_u8 {
            let light = srgb_decode(f64::from(code) / 255.0);
            assert_eq!(srgb_code(light as f32), code);
            assert_eq!(srgb_code(srgb_light(code)), code);
        }
        assert_eq!(
            (srgb_code(-1.0), srgb_code(7.0), srgb_code(f32::NAN)),
            (0, 255, 0)
        );
    }

    #[test]
    fn at_one_lightness_which_one_does_not_matter() {
        let at = |l| colour_difference([l, 1.0, 4.0], [l, -0.5, 9.0]);
        assert!((at(40.0) - at(90.0)).abs() < 1e-12);
        assert!(colour_difference([50.0, 2.0, 3.0], [50.0, 2.0, 3.0]).abs() < 1e-12);
    }

    #[test]
    fn red_has_its_published_lab() {
        // sRGB red, D65 white: colour-science 0.4.7.
        let [l, a, b] = lab([1.0, 0.0, 0.0]);
        assert!(
            (l - 53.2371).abs() < 1e-3 && (a - 80.0901).abs() < 2e-3 && (b - 67.2033).abs() < 2e-3
        );
        assert!(lab([0.5; 3])[1].abs() < 1e-9);
    }
}
