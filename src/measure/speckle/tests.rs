use super::super::painted::{Exact, assert_near, exact, squares_all_over, with_squares};
use super::*;
use crate::frame::{Plane, drawn};

fn found(of: &Exact) -> Speckles {
    measure(&of.dark.speckles, &of.panel, &of.windows, of.resamples())
}

/// Equivalent diameter of a square, mm, at ten pixels a millimetre.
fn diameter(side_px: f64) -> f64 {
    2.0 * side_px / std::f64::consts::PI.sqrt() / 10.0
}

#[test]
fn a_plain_mirror_and_bare_glass_have_none() {
    for level in [1.0, 0.7, 0.0] {
        let of = exact(|_, _| level);
        assert!(of.dark.speckles.is_empty());
        let found = found(&of);
        let density = found.density.unwrap();
        // None in 5.76 cm² leaves room for 3.689/5.76 a cm² (Garwood 1936).
        assert!(
            density.value.abs() < 1e-12 && density.low.abs() < 1e-12,
            "{density:?}"
        );
        assert!(
            (density.high - 3.688_879 / 5.76).abs() < 1e-5,
            "{density:?}"
        );
        assert_eq!(found.median, Err(Unmeasured::TooFewSpeckles));
        assert_eq!(found.p90, Err(Unmeasured::TooFewSpeckles));
        assert_eq!(found.per_window, vec![0.0; 9]);
        assert_eq!(found.sizes.per_cm2, vec![0.0; SIZE_BINS]);
    }
}

#[test]
fn one_speck_is_one_and_one_pixel_none() {
    let one = with_squares(&[[100, 50, 6]]);
    let speck = one.dark.speckles[0];
    assert_eq!(one.dark.speckles.len(), 1);
    assert!((speck.diameter_mm - diameter(6.0)).abs() < 1e-9);
    assert!((speck.row - 103.0).abs() < 1e-9 && (speck.col - 53.0).abs() < 1e-9);
    assert!(speck.counted);
    // A box of 6 pixels lies whole in 240 with a chance of 234/240 each way.
    assert!((speck.weight - (240.0_f64 / 234.0).powi(2)).abs() < 1e-9);
    assert_near(found(&one).density, 1.0 / 5.76);
    let mut windows = vec![0.0; 9];
    windows[3] = 1.0 / 0.64;
    assert_eq!(found(&one).per_window, windows);
    // 0.113 mm, under the floor of 0.4.
    assert!(with_squares(&[[100, 50, 1]]).dark.speckles.is_empty());
}

#[test]
fn a_speck_has_the_size_of_one() {
    // 3 pixels are 0.34 mm, 4 are 0.45, 53 are 5.98 and 54 are 6.09: from 0.4 to 6 mm it is a speckle.
    for (side, is) in [(3, false), (4, true), (53, true), (54, false)] {
        let of = with_squares(&[[90, 90, side]]);
        assert_eq!(of.dark.speckles.len(), usize::from(is), "{side}");
    }
}

#[test]
fn a_speck_is_under_half_of_what_is_about_it() {
    // About it 0.8: a square at 0.4 is none, just under it is one.
    let at = |level: f32| {
        let of = exact(|r, c| {
            if (100..106).contains(&r) && (50..56).contains(&c) {
                level
            } else {
                0.8
            }
        });
        of.dark.speckles.len()
    };
    assert_eq!([at(0.41), at(0.39), at(0.0)], [0, 1, 1]);
}

#[test]
fn the_top_and_left_edges_leave_out_and_the_bottom_and_right_count() {
    for (at, counted) in [
        ([0, 100], false),
        ([100, 0], false),
        ([234, 100], true),
        ([100, 234], true),
        ([1, 1], true),
    ] {
        let of = with_squares(&[[at[0], at[1], 6]]);
        let speck = of.dark.speckles[0];
        let uncut = at == [1, 1];
        assert_eq!(
            (speck.counted, speck.weight > 0.0),
            (counted, uncut),
            "{at:?}"
        );
        assert_near(found(&of).density, f64::from(u8::from(counted)) / 5.76);
    }
}

#[test]
fn what_an_edge_cuts_is_as_wide_as_its_circle() {
    let area = |rows, cols| {
        let panel = drawn::panel(Plane::ones((100, 100)), 10.0);
        let area = Area {
            pixels: 1,
            row: 0.0,
            col: 0.0,
            rows,
            cols,
            spread: [0.0; 3],
            perimeter: 0.0,
            holes: 0,
        };
        cut_diameter_mm(&area, &panel)
    };
    for (rows, cols, mm) in [
        // Uncut.
        ((10, 19), (10, 19), 0.0),
        // A chord of 8 px at a depth of 2: 64/8 + 2 = 10 px across.
        ((98, 99), (10, 17), 1.0),
        ((10, 17), (98, 99), 1.0),
        // Half or more is seen: as wide as it is.
        ((96, 99), (10, 17), 0.8),
        // In the corner the larger of both: 100/8 + 2 by the depth, 10 by the chord of the right edge.
        ((98, 99), (90, 99), 1.45),
    ] {
        assert!((area(rows, cols) - mm).abs() < 1e-9, "{rows:?} {cols:?}");
    }
}

#[test]
fn the_floor_is_the_largest_of_three() {
    let panel = |px_per_mm, blur_mm| Panel {
        blur_mm,
        ..drawn::panel(Plane::ones((2, 2)), px_per_mm)
    };
    for (px_per_mm, blur_mm, floor) in [(20.0, 0.0, 0.4), (5.0, 0.0, 0.8), (20.0, 0.4, 1.0)] {
        let found = floor_mm(&panel(px_per_mm, blur_mm), &Settings::default());
        assert!((found - floor).abs() < 1e-9, "{found}");
    }
}

#[test]
fn as_many_specks_as_mean_something_have_their_middle_size() {
    // Nine specks say nothing of sizes, sixteen alike their own.
    let nine = found(&with_squares(&squares_all_over(3, 10)));
    assert_near(nine.density, 9.0 / 5.76);
    assert_eq!(nine.median, Err(Unmeasured::TooFewSpeckles));
    let sixteen = found(&with_squares(&squares_all_over(4, 10)));
    assert_near(sixteen.median, diameter(10.0));
    assert_near(sixteen.p90, diameter(10.0));
    // Twelve of 0.9 mm and four of 1.8: the larger ones begin at three quarters.
    let mut squares = squares_all_over(4, 8);
    squares[..4].iter_mut().for_each(|square| square[2] = 16);
    let found = found(&with_squares(&squares));
    assert_near(found.median, diameter(8.0));
    assert_near(found.p90, diameter(16.0));
}

#[test]
fn a_quantile_is_the_value_at_which_the_weights_are_reached() {
    let of = exact(|_, _| 1.0);
    // Values 1 to 10, all in window 0; the last weighs as much as the others together.
    let all: Vec<(f64, f64, usize)> = (1..=10)
        .map(|v| (f64::from(v), if v == 10 { 9.0 } else { 1.0 }, 0))
        .collect();
    let ranked = Ranked::new(&all, of.windows.count());
    let even = vec![1.0; of.windows.count()];
    for (q, wanted) in [
        (0.0, 1.0),
        (0.05, 1.0),
        (0.25, 5.0),
        (0.5, 9.0),
        (0.51, 10.0),
        (1.0, 10.0),
    ] {
        assert_eq!(ranked.quantile(&even, q), Some(wanted), "{q}");
    }
    // More than one stretch of them.
    let many: Vec<(f64, f64, usize)> = (1..=1000).map(|v| (f64::from(v), 1.0, 0)).collect();
    let ranked = Ranked::new(&many, of.windows.count());
    for (q, wanted) in [(0.256, 256.0), (0.257, 257.0), (0.5, 500.0), (0.9, 900.0)] {
        assert_eq!(ranked.quantile(&even, q), Some(wanted), "{q}");
    }
    assert_eq!(Ranked::new(&[], 9).quantile(&even, 0.5), None);
    assert_eq!(
        quantile(&all[..9], 0.5, &of.windows, of.resamples()),
        Err(Unmeasured::TooFewSpeckles)
    );
    assert_eq!(
        quantile(&all, 0.5, &of.windows, None),
        Err(Unmeasured::PanelTooSmall)
    );
}

#[test]
fn the_sizes_lie_in_bins_of_an_eighth_of_an_octave() {
    // 0.5 mm is an octave over 0.25, and 1 mm two.
    let speck = |diameter_mm, counted| Speckle {
        row: 0.0,
        col: 0.0,
        diameter_mm,
        counted,
        weight: 1.0,
    };
    let sizes = histogram(
        &[
            speck(0.51, true),
            speck(1.01, true),
            speck(1.01, true),
            speck(2.0, false),
        ],
        2.0,
    );
    let mut wanted = vec![0.0; SIZE_BINS];
    (wanted[8], wanted[16]) = (0.5, 1.0);
    assert_eq!(sizes.per_cm2, wanted);
    assert!((sizes.edges_mm[0] - 0.25).abs() < 1e-12 && (sizes.edges_mm[40] - 8.0).abs() < 1e-12);
    assert!((sizes.density_above(0.0) - 1.5).abs() < 1e-12);
    assert!((sizes.density_above(0.6) - 1.0).abs() < 1e-12);
    assert!(sizes.density_above(8.0).abs() < 1e-12);
    // A floor halfway through the first bin, by its logarithm, leaves half of it.
    let halfway = (0.5 * 2.0_f64.powf(1.0 / 16.0), 0.25);
    assert!((sizes.density_above(halfway.0) - 1.0 - halfway.1).abs() < 1e-9);
    assert_eq!(
        sizes.bins_above(0.6).iter().filter(|n| **n > 0.0).count(),
        1
    );
    // A third lies in the first bin, the rest in the second: the middle is a quarter of the way into that.
    let middle = sizes.quantile_above(0.0, 0.5).unwrap();
    assert!((middle - 2.0_f64.powf(0.25 / 8.0)).abs() < 1e-9, "{middle}");
    assert!((sizes.quantile_above(0.0, 1.0).unwrap() - 2.0_f64.powf(1.0 / 8.0)).abs() < 1e-9);
    assert_eq!(sizes.quantile_above(4.0, 0.5), None);
}
