//! What glass, silver and paint throw back.

use paneprint::normalize::Settings;
use paneprint::ops::glass;

use super::{Table, json, near, number};

/// Fresnel at normal incidence (Hecht, Optics; Born & Wolf): ((n − 1)/(n + 1))².
#[test]
fn fronts_throw_back_what_fresnel_says() {
    for row in Table::load("fresnel_normal.csv").rows() {
        let n = row.number("n");
        near(n, glass::fresnel(n), row.number("R_one_surface"), 1e-9);
    }
}

/// Light of a backed panel at one wavelength and film thickness: seen from the front, and from within the glass.
struct Backed {
    backing: String,
    wavelength: String,
    shown: f64,
    within: f64,
}

/// Every backed panel of one film thickness, nm (Johnson & Christy 1972; tmm 0.2.0).
fn backed(thickness: f64) -> Vec<Backed> {
    let table = Table::load("silver_reflectance.csv");
    let of = table
        .rows()
        .filter(|r| (r.number("d_nm") - thickness).abs() < 0.5);
    of.map(|r| Backed {
        backing: r.text("backing").to_owned(),
        wavelength: r.text("lambda_nm").to_owned(),
        shown: r.number("R_total"),
        within: r.number("R_film"),
    })
    .collect()
}

/// A film of 120 nm lets 0.04 % through at most: full silver. Without a film the paint is bare.
fn bare_and_full() -> Vec<(Backed, Backed)> {
    let both: Vec<_> = backed(0.0).into_iter().zip(backed(120.0)).collect();
    assert_eq!(both.len(), 6, "two paints at 450, 550 and 650 nm");
    both
}

/// The two-beam formula against the whole theory, at three wavelengths and on two paints.
#[test]
fn the_bare_ratio_of_films_is_that_of_thin_film_theory() {
    for (bare, full) in bare_and_full() {
        let what = format!("{} at {} nm", bare.backing, bare.wavelength);
        let front = glass::fresnel(glass::GLASS);
        let exact = bare.shown / full.shown;
        let found = glass::ratio(glass::GLASS, bare.shown - front, full.within);
        // Light that runs to and fro between film and front is left out: F·R of full silver, 4.2 %.
        near(&what, found, exact, exact * front * 1.05);
        assert!(
            found >= exact,
            "{what}: leaving light of silver out makes bare spots count for more"
        );
    }
}

/// The ratio that is taken where the rig knows no better lies between those of the two paints, at every wavelength.
#[test]
fn the_usual_bare_ratio_lies_between_two_paints() {
    let usual = Settings::default().bare_ratio;
    near(
        "0.043 + 0.012 over 0.043 + 0.957² × 0.90",
        usual,
        0.063,
        1e-12,
    );
    for (bare, full) in bare_and_full() {
        let ratio = bare.shown / full.shown;
        let matched = bare.backing.contains("nearly index matched");
        assert_eq!(
            ratio < usual,
            matched,
            "{} at {} nm: {ratio}",
            bare.backing,
            bare.wavelength
        );
        // A rig that does not know its own paint is at most two points of silver level off on a bare spot.
        near(&bare.backing, ratio, usual, 0.02);
    }
}

/// EN 1036-1:2007, 6.2: a mirror of 2 to 6 mm throws back at least 86 %.
#[test]
fn the_full_silver_that_is_assumed_is_a_mirror() {
    let standard = &json("mirror_reflectance_standard.json");
    let asked = standard["items"][0]["requirement"].as_str().unwrap();
    assert!(asked.contains(">= 86 % for 2 mm to 6 mm"), "{asked}");
    let assumed = glass::full_silver(glass::GLASS, glass::SILVER);
    assert!(assumed >= 0.86, "{assumed}");
    // And it claims no more than the best film can do.
    let best = number(&standard["bulk_limits_L"]["550"]["second_surface_total"]);
    assert!(assumed < best, "{assumed}");
}
