//! How a file's codes become linear light: a table a channel and a matrix to Rec. 709 primaries with D65 white.
//!
//! Curves and colorants are read as they stand, in order that nothing is clipped: light beyond the Rec. 709 gamut keeps
//! its negative parts. Sources: IEC 61966-2-1 (sRGB), ICC.1:2022 (profiles), ITU-T H.273 (cICP).

use moxcms::{
    CicpProfile, ColorProfile, DataColorSpace, Layout, MatrixCoefficients, ParametricCurve,
    ToneReprCurve, TransferCharacteristics, TransformOptions,
};

use super::primaries;
use crate::frame::photo::{ColourSource, Linearisation, Samples, quarter_codes, top_step};
use crate::ops::transfer::srgb_decode;

/// How a file names its colours.
#[derive(Debug)]
pub(super) enum Named {
    /// Not at all.
    Nothing,
    /// By an ICC profile.
    Icc(Vec<u8>),
    /// By a profile that could not be unpacked.
    Unreadable,
    /// As sRGB, by name.
    Srgb,
    /// By code points: primaries, transfer, matrix, full range (ITU-T H.273).
    Cicp([u8; 4]),
    /// By an exponent.
    Gamma(Gamma),
}

/// A power law with its primaries, as PNG files have it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gamma {
    /// Code = light to this power; 1/2.2 for an ordinary screen.
    pub(super) encoding: f64,
    /// White, red, green, blue, each x and y; absent: Rec. 709.
    pub(super) chromaticities: Option<[f64; 8]>,
}

/// Transfers of ITU-T H.273 that describe a picture as shown: BT.709, gamma 2.2 and 2.8, BT.601, linear, sRGB, BT.2020.
/// The high-range ones (PQ, HLG) are measured in another way and are taken for unusable.
const TRANSFERS: [u8; 8] = [1, 4, 5, 6, 8, 13, 14, 15];

/// Works out the linearisation. Only a profile of look-up tables changes the codes: they become linear 16-bit ones.
/// `grey` says that the file held one channel.
pub(super) fn linearise(samples: Samples, grey: bool, named: &Named) -> (Samples, Linearisation) {
    let codes = samples.steps();
    let found = match named {
        Named::Nothing => return (samples, srgb(codes, ColourSource::AssumedSrgb)),
        Named::Srgb => return (samples, srgb(codes, ColourSource::Profile)),
        Named::Unreadable => None,
        Named::Icc(icc) => match ColorProfile::new_from_slice(icc) {
            Ok(profile) if has_tables(&profile) => {
                if let Some(linear) = through_tables(&profile, &samples) {
                    return (Samples::Sixteen(linear), already_linear());
                }
                None
            }
            Ok(profile) => from_profile(&profile, grey, codes),
            Err(_) => None,
        },
        Named::Cicp(points) => from_code_points(*points, codes),
        Named::Gamma(gamma) => from_gamma(*gamma, codes),
    };
    let linear = found.unwrap_or_else(|| srgb(codes, ColourSource::BrokenProfile));
    (samples, linear)
}

/// sRGB of `codes` codes a channel.
fn srgb(codes: usize, source: ColourSource) -> Linearisation {
    let table = table(codes, srgb_decode);
    Linearisation {
        tables: [table.clone(), table.clone(), table],
        to_rec709: None,
        source,
    }
}

/// `light` at each of `codes` evenly spaced values from 0 to 1, and at 1 above the top step.
fn table(codes: usize, light: impl Fn(f64) -> f64) -> Vec<f32> {
    let top = top_step(codes) as f64;
    (0..codes)
        .map(|code| light((code as f64 / top).min(1.0)) as f32)
        .collect()
}

/// Curves and colorants of a profile; `None` where they are missing, senseless or of another kind of picture.
fn from_profile(profile: &ColorProfile, grey: bool, codes: usize) -> Option<Linearisation> {
    if profile.color_space == DataColorSpace::Gray {
        let table = curve(profile.gray_trc.as_ref().filter(|_| grey)?, codes)?;
        return Some(Linearisation {
            tables: [table.clone(), table.clone(), table],
            to_rec709: None,
            source: ColourSource::Profile,
        });
    }
    if !profile.is_matrix_shaper() || profile.pcs != DataColorSpace::Xyz {
        return None;
    }
    let [red, green, blue] = [&profile.red_trc, &profile.green_trc, &profile.blue_trc];
    let first = curve(red.as_ref()?, codes)?;
    let other = |trc: &Option<ToneReprCurve>| {
        if trc == red {
            Some(first.clone())
        } else {
            curve(trc.as_ref()?, codes)
        }
    };
    let (second, third) = (other(green)?, other(blue)?);
    Some(Linearisation {
        tables: [first, second, third],
        to_rec709: primaries::to_rec709(&profile.colorant_matrix().v)?,
        source: ColourSource::Profile,
    })
}

/// A profile's curve as a table; `None` where it is no curve at all.
fn curve(trc: &ToneReprCurve, codes: usize) -> Option<Vec<f32>> {
    let table = match trc {
        ToneReprCurve::Lut(points) => match points.as_slice() {
            [] => table(codes, |value| value),
            // One entry is an exponent in steps of 1/256 (ICC.1:2022, 10.6).
            [exponent] => table(codes, |value| value.powf(f64::from(*exponent) / 256.0)),
            points => table(codes, |value| between(points, value)),
        },
        ToneReprCurve::Parametric(numbers) if numbers.is_empty() => return None,
        ToneReprCurve::Parametric(numbers) => {
            let p = ParametricCurve::new(numbers)?;
            let [g, a, b, c, d, e, f] = [p.g, p.a, p.b, p.c, p.d, p.e, p.f].map(f64::from);
            // ICC.1:2022, 10.18; a base below zero has no light.
            table(codes, |value| {
                if value < d {
                    c * value + f
                } else {
                    (a * value + b).max(0.0).powf(g) + e
                }
            })
        }
    };
    let sane = table
        .iter()
        .all(|light| light.is_finite() && light.abs() <= 2.0);
    (sane && table.first() < table.last()).then_some(table)
}

/// Linear interpolation in evenly spaced points of 16 bits, `value` from 0 to 1.
fn between(points: &[u16], value: f64) -> f64 {
    let at = value * (points.len() - 1) as f64;
    let below = (at as usize).min(points.len() - 2);
    let [low, high] = [points[below], points[below + 1]].map(f64::from);
    (low + (high - low) * (at - below as f64)) / 65_535.0
}

/// Colours named by code points.
fn from_code_points(points: [u8; 4], codes: usize) -> Option<Linearisation> {
    let [primaries, transfer, matrix, full_range] = points;
    if !TRANSFERS.contains(&transfer) || matrix != 0 || full_range != 1 {
        return None;
    }
    let mut profile = ColorProfile::new_srgb();
    profile.update_rgb_colorimetry_from_cicp(CicpProfile {
        color_primaries: primaries.try_into().ok()?,
        transfer_characteristics: TransferCharacteristics::try_from(transfer).ok()?,
        matrix_coefficients: MatrixCoefficients::Identity,
        full_range: true,
    });
    // Left untouched where the primaries are unknown.
    let known = profile
        .cicp
        .is_some_and(|c| c.color_primaries as u8 == primaries && c.full_range);
    from_profile(&profile, false, codes).filter(|_| known)
}

/// Colours named by an exponent. That of an ordinary screen stands for sRGB, as its writers mean it.
fn from_gamma(gamma: Gamma, codes: usize) -> Option<Linearisation> {
    if !(0.1..=10.0).contains(&gamma.encoding) {
        return None;
    }
    let screen = (gamma.encoding - 1.0 / 2.2).abs() < 0.001;
    let table = if screen {
        table(codes, srgb_decode)
    } else {
        table(codes, |value| value.powf(1.0 / gamma.encoding))
    };
    let to_rec709 = match gamma.chromaticities {
        Some(xy) => primaries::to_rec709(&primaries::colorants(xy)?)?,
        None => None,
    };
    Some(Linearisation {
        tables: [table.clone(), table.clone(), table],
        to_rec709,
        source: ColourSource::Profile,
    })
}

/// The profile holds look-up tables, which come before its curves (ICC.1:2022, 8.3 and 8.4).
fn has_tables(profile: &ColorProfile) -> bool {
    profile.color_space == DataColorSpace::Rgb
        && (profile.lut_a_to_b_perceptual.is_some() || profile.lut_a_to_b_colorimetric.is_some())
}

/// Linear Rec. 709 codes of 16 bits, clipped to that gamut, by a profile's look-up tables.
fn through_tables(profile: &ColorProfile, samples: &Samples) -> Option<Vec<u16>> {
    let mut rec709 = ColorProfile::new_srgb();
    let straight = Some(ToneReprCurve::Lut(Vec::new()));
    rec709.red_trc.clone_from(&straight);
    rec709.green_trc.clone_from(&straight);
    rec709.blue_trc = straight;
    rec709.cicp = None;
    let options = TransformOptions::default();
    let transform = profile
        .create_transform_16bit(Layout::Rgb, &rec709, Layout::Rgb, options)
        .ok()?;
    let wide: Vec<u16>;
    let codes = match samples {
        Samples::Sixteen(codes) => codes,
        Samples::Eight(codes) => {
            wide = codes.iter().map(|c| u16::from(*c) * 257).collect();
            &wide
        }
        Samples::LumaChroma(codes) => {
            wide = codes
                .chunks_exact(3)
                .flat_map(|p| wide_rgb(p[0], p[1], p[2]))
                .collect();
            &wide
        }
    };
    let mut linear = vec![0; codes.len()];
    transform.transform(codes, &mut linear).ok()?;
    Some(linear)
}

/// Red, green and blue of luma and chroma, as 16-bit codes.
fn wide_rgb(y: u8, cb: u8, cr: u8) -> [u16; 3] {
    quarter_codes(y, cb, cr).map(|q| u16::try_from(q * 65_535 / 1020).unwrap_or(u16::MAX))
}

/// The linearisation of 16-bit codes that are linear Rec. 709 light.
fn already_linear() -> Linearisation {
    let table = table(65_536, |value| value);
    Linearisation {
        tables: [table.clone(), table.clone(), table],
        to_rec709: None,
        source: ColourSource::Profile,
    }
}

#[cfg(test)]
mod tests;
