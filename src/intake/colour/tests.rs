use super::*;
use moxcms::curve_from_gamma;

/// Linearisation by a profile written to bytes and read back.
fn by(profile: &ColorProfile, codes: usize) -> Linearisation {
    let samples = match codes {
        256 => Samples::Eight(Vec::new()),
        _ => Samples::Sixteen(Vec::new()),
    };
    let icc = profile.encode().unwrap();
    linearise(samples, false, &Named::Icc(icc)).1
}

fn light(linear: &Linearisation, rgb: [usize; 3]) -> [f32; 3] {
    let rgb = [0, 1, 2].map(|c| linear.tables[c][rgb[c]]);
    linear.to_rec709.map_or(rgb, |m| {
        m.map(|row| row[0] * rgb[0] + row[1] * rgb[1] + row[2] * rgb[2])
    })
}

/// sRGB value of a light, odd about zero so that colours out of gamut keep their sign.
fn srgb_value(light: f32) -> f64 {
    let l = f64::from(light);
    let value = if l.abs() <= 0.003_130_8 {
        12.92 * l.abs()
    } else {
        1.055 * l.abs().powf(1.0 / 2.4) - 0.055
    };
    value.copysign(l)
}

#[test]
fn the_srgb_table_is_exact() {
    // IEC 61966-2-1 in closed form, computed apart to 15 digits.
    let known = [
        (0, 0.0),
        (1, 0.000_303_526_983_548_837_5),
        (10, 0.003_035_269_835_488_375),
        (11, 0.003_346_535_763_899_161),
        (12, 0.003_676_507_324_047_436),
        (255, 1.0),
    ];
    let linear = srgb(256, ColourSource::AssumedSrgb);
    for (code, expected) in known {
        // Half a unit in the last place of an f32.
        assert!(
            (f64::from(linear.tables[1][code]) - expected).abs() <= expected * 6e-8,
            "{code}"
        );
    }
    let wide = srgb(65_536, ColourSource::AssumedSrgb);
    for code in 0..256 {
        assert_eq!(
            wide.tables[0][257 * code].to_bits(),
            linear.tables[0][code].to_bits()
        );
    }
}

#[test]
fn display_p3_primaries_keep_what_lies_outside() {
    // Display P3 primaries in gamma-encoded sRGB: exact arithmetic on SMPTE EG 432-1 primaries with D65, as in W3C CSS
    // Color 4. Profiles keep colorants in steps of 1/65536 and makers round
    // white; the curve magnifies both near black.
    let linear = by(&ColorProfile::new_display_p3(), 256);
    for (rgb, expected) in [
        ([255, 0, 0], [1.093_066_36, -0.226_741_97, -0.150_134_58]),
        ([0, 255, 0], [-0.511_604_98, 1.018_265_66, -0.310_674_62]),
        ([0, 0, 255], [0.0, 0.0, 1.042_021_62]),
        ([255, 255, 255], [1.0, 1.0, 1.0]),
    ] {
        let found = light(&linear, rgb).map(srgb_value);
        for (value, expected) in found.iter().zip(expected) {
            let tolerance = if expected == 0.0 { 4e-3 } else { 5e-4 };
            assert!((value - expected).abs() < tolerance, "{rgb:?}: {found:?}");
        }
    }
}

#[test]
fn tables_and_matrix_agree_with_the_general_transform() {
    let mut rec709 = ColorProfile::new_srgb();
    let straight = Some(ToneReprCurve::Lut(Vec::new()));
    rec709.red_trc.clone_from(&straight);
    rec709.green_trc.clone_from(&straight);
    rec709.blue_trc = straight;
    let options = TransformOptions {
        prefer_fixed_point: false,
        allow_use_cicp_transfer: false,
        ..TransformOptions::default()
    };
    for profile in [
        ColorProfile::new_srgb(),
        ColorProfile::new_display_p3(),
        ColorProfile::new_adobe_rgb(),
        ColorProfile::new_pro_photo_rgb(),
        ColorProfile::new_bt2020(),
        ColorProfile::new_aces_cg_linear(),
    ] {
        let profile = ColorProfile::new_from_slice(&profile.encode().unwrap()).unwrap();
        let linear = by(&profile, 65_536);
        assert_eq!(
            linear.source,
            ColourSource::Profile,
            "{:?}",
            profile.description
        );
        let general = profile
            .create_transform_16bit(Layout::Rgb, &rec709, Layout::Rgb, options)
            .unwrap();
        let codes: Vec<u16> = (0..3 * 4096_u32)
            .map(|i| (i.wrapping_mul(40_503) >> 3) as u16)
            .collect();
        let mut expected = vec![0; codes.len()];
        general.transform(&codes, &mut expected).unwrap();
        for (rgb, expected) in codes.chunks_exact(3).zip(expected.chunks_exact(3)) {
            let found = light(&linear, [0, 1, 2].map(|c| usize::from(rgb[c])));
            for (value, expected) in found.iter().zip(expected) {
                // The general transform clips, works in steps of 1/65536 and takes a slightly other Rec. 709.
                let clipped = value.clamp(0.0, 1.0);
                let expected = f32::from(*expected) / 65_535.0;
                assert!(
                    (clipped - expected).abs() < 5e-4,
                    "{:?} {rgb:?}: {found:?}, {expected}",
                    profile.description
                );
            }
        }
    }
}

#[test]
fn each_channel_has_its_own_curve() {
    let mut profile = ColorProfile::new_adobe_rgb();
    profile.green_trc = Some(ToneReprCurve::Lut(vec![0, 13_107, 65_535]));
    profile.blue_trc = Some(curve_from_gamma(1.8));
    let tables = by(&profile, 65_536).tables;
    // One third of the range: 563/256 is the exponent of Adobe RGB (1998); 461/256 is 1.8 as profiles keep it; and the
    // three points rise to 0.2 at the middle.
    let third = 1.0_f64 / 3.0;
    let expected = [
        third.powf(563.0 / 256.0),
        0.2 * 2.0 * third,
        third.powf(461.0 / 256.0),
    ];
    for (table, expected) in tables.iter().zip(expected) {
        assert!((f64::from(table[21_845]) - expected).abs() < 1e-6);
    }
}

#[test]
fn an_srgb_profile_needs_no_matrix() {
    let linear = by(&ColorProfile::new_srgb(), 256);
    assert_eq!(linear.to_rec709, None);
    let exact = srgb(256, ColourSource::Profile);
    for (a, b) in linear.tables[0].iter().zip(&exact.tables[0]) {
        // The profile keeps the constants of the curve in steps of 1/65536.
        assert!((a - b).abs() < 3e-5);
    }
}

#[test]
fn a_grey_profile_serves_grey_pictures_only() {
    let icc = ColorProfile::new_gray_with_gamma(2.2).encode().unwrap();
    let grey = linearise(Samples::Eight(vec![]), true, &Named::Icc(icc.clone())).1;
    assert_eq!(grey.source, ColourSource::Profile);
    // 0.5 to the power 2.2, at code 127.5; codes 127 and 128 lie on either side.
    assert!(grey.tables[2][127] < 0.217_638 && grey.tables[2][128] > 0.217_637);
    let colour = linearise(Samples::Eight(vec![]), false, &Named::Icc(icc)).1;
    assert_eq!(colour.source, ColourSource::BrokenProfile);
}

#[test]
fn an_unusable_profile_means_srgb_and_says_so() {
    let mut flat = ColorProfile::new_srgb();
    flat.red_trc = Some(ToneReprCurve::Lut(vec![9, 9, 9]));
    let whole = ColorProfile::new_adobe_rgb().encode().unwrap();
    for icc in [
        vec![],
        b"no profile".to_vec(),
        whole[..200].to_vec(),
        flat.encode().unwrap(),
    ] {
        let linear = linearise(Samples::Eight(vec![]), false, &Named::Icc(icc)).1;
        assert_eq!(linear.source, ColourSource::BrokenProfile);
        assert_eq!(linear.tables[0], srgb(256, ColourSource::Profile).tables[0]);
        assert_eq!(linear.to_rec709, None);
    }
    let unreadable = linearise(Samples::Sixteen(vec![]), false, &Named::Unreadable).1;
    assert_eq!(unreadable.source, ColourSource::BrokenProfile);
}

#[test]
fn code_points_name_colours_and_high_range_ones_are_not_guessed() {
    let by = |points| linearise(Samples::Eight(vec![]), false, &Named::Cicp(points)).1;
    assert_eq!(by([1, 13, 0, 1]).source, ColourSource::Profile);
    assert_eq!(by([1, 13, 0, 1]).to_rec709, None);
    let p3 = by([12, 13, 0, 1]).to_rec709.unwrap();
    assert!((p3[0][0] - 1.224_94).abs() < 3e-4, "{p3:?}");
    for points in [
        [9, 16, 0, 1],
        [9, 18, 0, 1],
        [1, 13, 5, 1],
        [1, 13, 0, 0],
        [200, 13, 0, 1],
        [2, 13, 0, 1],
    ] {
        assert_eq!(by(points).source, ColourSource::BrokenProfile, "{points:?}");
    }
}

#[test]
fn an_exponent_names_a_power_law() {
    let by = |encoding| {
        let gamma = Gamma {
            encoding,
            chromaticities: None,
        };
        linearise(Samples::Eight(vec![]), false, &Named::Gamma(gamma)).1
    };
    assert!((by(0.625).tables[0][128] - (128.0_f32 / 255.0).powf(1.6)).abs() < 1e-6);
    assert_eq!(
        by(0.454_55).tables[0],
        srgb(256, ColourSource::Profile).tables[0]
    );
    assert_eq!(by(0.0).source, ColourSource::BrokenProfile);
}
