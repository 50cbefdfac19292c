//! From codes to light, from light to CIELAB, and the difference of two colours.

use paneprint::ops::transfer::{colour_difference, lab, srgb_decode};

use super::{Table, near};

/// IEC 61966-2-1:1999, as in W3C CSS Color 4, section 10.2.
#[test]
fn srgb_codes_are_decoded() {
    for row in Table::load("srgb_decode.csv").rows() {
        let code = row.number("code8");
        near(code, srgb_decode(code / 255.0), row.number("linear"), 1e-9);
    }
    // Halfway up the curve, in closed form.
    near("0.5", srgb_decode(0.5), 0.214_041_14, 1e-8);
}

/// CIE 1976 L* of the neutral of each code.
#[test]
fn srgb_neutrals_have_their_lightness() {
    for row in Table::load("srgb_decode.csv").rows() {
        let code = row.number("code8");
        let found = lab([srgb_decode(code / 255.0); 3]);
        near(code, found[0], row.number("Lstar"), 1e-6);
        near(code, found[1].hypot(found[2]), 0.0, 1e-9);
    }
}

/// CIE 15:2018, ISO/CIE 11664-4:2019; 18 % grey is 49.496.
#[test]
fn lightness_follows_the_luminance_factor() {
    for row in Table::load("lstar_of_Y.csv").rows() {
        let y = row.number("Y");
        near(y, lab([y; 3])[0], row.number("Lstar"), 1e-6);
    }
}

/// Eleven sRGB triplets with the D65 white of IEC 61966-2-1 (colour-science 0.4.7).
#[test]
fn srgb_triplets_have_their_cielab() {
    for row in Table::load("srgb_to_lab.csv").rows() {
        let rgb = row.numbers(["R", "G", "B"]);
        let found = lab(rgb.map(|code| srgb_decode(code / 255.0)));
        let published = row.numbers(["L_D65", "a_D65", "b_D65"]);
        for (found, published) in found.iter().zip(published) {
            near(format!("{rgb:?}"), *found, published, 1e-6);
        }
    }
}

/// The neutrals of the 24-patch chart, charts made after November 2014: 95.19, 81.29, 66.89, 50.76, 35.63, 20.64.
#[test]
fn grey_patches_have_their_lightness() {
    for row in Table::load("grey_patches.csv").rows() {
        let lightness = lab([row.number("Y"); 3])[0];
        // Half a unit of the last decimal that the chart's maker prints.
        near(row.text("patch"), lightness, row.number("L_D50"), 0.005);
    }
}

/// Sharma, Wu & Dalal (2005), table 1: all 34 pairs, in both orders.
#[test]
fn colour_differences_are_those_of_sharma_wu_and_dalal() {
    let table = Table::load("ciede2000_pairs.csv");
    assert_eq!(table.rows().count(), 34);
    for row in table.rows() {
        let pair = row.text("pair");
        let one = row.numbers(["L1", "a1", "b1"]);
        let other = row.numbers(["L2", "a2", "b2"]);
        for found in [colour_difference(one, other), colour_difference(other, one)] {
            // The table prints four decimals; the full figures come from the paper's equations.
            near(pair, found, row.number("dE00_published"), 5e-5);
            near(pair, found, row.number("dE00_full"), 1e-8);
        }
    }
}
