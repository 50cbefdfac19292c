//! Photos whose colours are named by a profile, through the front door.

use std::path::Path;

use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder};
use moxcms::{ColorProfile, ToneReprCurve};
use paneprint::frame::photo::{ColourSource, Photo};
use paneprint::intake::{Limits, from_bytes};
use paneprint::ops::transfer::srgb_decode;

use super::{Table, json, near, number, numbers, rows};

/// Rows of the pictures here: no photo is smaller.
const ROWS: u32 = 64;

/// Primaries, then the greys of all codes.
fn codes() -> Vec<[u8; 3]> {
    let primaries = [[255, 0, 0], [0, 255, 0], [0, 0, 255]];
    primaries
        .into_iter()
        .chain((0..=255).map(|code| [code; 3]))
        .collect()
}

/// The column of a grey.
fn grey(code: usize) -> usize {
    3 + code
}

/// A PNG of [`codes`], one a column, read back.
fn photo(profile: Option<&ColorProfile>) -> Photo {
    let row: Vec<u8> = codes().concat();
    let (width, picture) = (row.len() / 3, row.repeat(ROWS as usize));
    let mut file = Vec::new();
    let mut encoder = PngEncoder::new(&mut file);
    if let Some(profile) = profile {
        encoder.set_icc_profile(profile.encode().unwrap()).unwrap();
    }
    encoder
        .write_image(
            &picture,
            u32::try_from(width).unwrap(),
            ROWS,
            ExtendedColorType::Rgb8,
        )
        .unwrap();
    from_bytes(file, Path::new("codes.png"), &Limits::default()).unwrap()
}

/// IEC 61966-2-1, where a file names no colours.
#[test]
fn a_photo_without_a_profile_is_read_as_srgb() {
    let photo = photo(None);
    for row in Table::load("srgb_decode.csv").rows() {
        let code: usize = row.text("code8").parse().unwrap();
        let light = photo.light(7, grey(code))[1];
        // Light is kept as f32: half a unit in its last place.
        near(code, f64::from(light), row.number("linear"), 6e-8);
    }
}

/// Parametric curve of type 3 with the constants of IEC 61966-2-1 (ICC.1:2022, 10.18).
#[test]
fn the_parametric_curve_of_a_profile_is_the_srgb_curve() {
    let curve = &json("icc_constants.json")["parametric_curve_type_3"];
    let constants = ["g", "a", "b", "c", "d"].map(|c| number(&curve[c]) as f32);
    let mut profile = ColorProfile::new_srgb();
    let trc = Some(ToneReprCurve::Parametric(constants.to_vec()));
    profile.red_trc.clone_from(&trc);
    profile.green_trc.clone_from(&trc);
    profile.blue_trc = trc;
    let photo = photo(Some(&profile));
    assert_eq!(photo.linear.source, ColourSource::Profile);
    for row in Table::load("srgb_decode.csv").rows() {
        let code: usize = row.text("code8").parse().unwrap();
        let light = photo.light(7, grey(code))[1];
        // Profiles keep the constants in steps of 1/65536; an exponent half a step off moves light by up to 3e-6, a
        // slope as far off by up to 2e-5.
        near(code, f64::from(light), row.number("linear"), 3e-5);
    }
}

/// SMPTE EG 432-1 primaries with D65, W3C CSS Color 4, section 10: the linear matrix to sRGB.
#[test]
fn a_display_p3_photo_comes_to_rec709() {
    let photo = photo(Some(&ColorProfile::new_display_p3()));
    let matrices = json("rgb_xyz_matrices.json");
    let published = rows::<3>(&matrices["DisplayP3_to_sRGB_linear"]);
    for (channel, row) in published.iter().enumerate() {
        for (primary, published) in row.iter().enumerate() {
            let found = f64::from(photo.light(7, primary)[channel]);
            // The profile keeps colorants in steps of 1/65536 and whites to four decimals.
            near(format!("{channel} of {primary}"), found, *published, 5e-4);
        }
    }
}

/// W3C CSS Color 4, section 10: the primaries of Display P3 as sRGB codes, the curve odd about zero.
#[test]
fn display_p3_primaries_keep_what_lies_outside_srgb() {
    let photo = photo(Some(&ColorProfile::new_display_p3()));
    let published = &json("rgb_xyz_matrices.json")["P3_primaries_in_gamma_sRGB"];
    for (primary, name) in ["red", "green", "blue"].into_iter().enumerate() {
        for (channel, code) in numbers::<3>(&published[name]).into_iter().enumerate() {
            let light = srgb_decode(code.abs()).copysign(code);
            near(
                name,
                f64::from(photo.light(7, primary)[channel]),
                light,
                5e-4,
            );
        }
    }
}
