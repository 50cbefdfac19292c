use super::*;
use crate::synth::finish::{Arrangement, Blots, Clouds, EdgeLoss, Finish, Ridges, Speckles};
use crate::units::{SizeMm, axial_difference};

const SAMPLE: SizeMm = SizeMm {
    width: 100.0,
    height: 80.0,
};

fn speckled(per_cm2: f64, arrangement: Arrangement) -> Finish {
    Finish {
        speckles: Some(Speckles {
            per_cm2,
            diameter_median_mm: 0.8,
            spread: 0.25,
            arrangement,
            floor: 0.0,
        }),
        ..Finish::seeded(11)
    }
}

fn ridged(angle_deg: f64, wobble_deg: f64) -> Finish {
    Finish {
        ridges: Some(Ridges {
            angle_deg,
            spacing_mm: 5.0,
            depth: 0.6,
            wobble_deg,
        }),
        ..Finish::seeded(2)
    }
}

#[test]
fn a_plain_panel_is_exact() {
    let truth = Finish::default().paint(SAMPLE, 8.0).truth(0.4);
    assert!((truth.coverage - 1.0).abs() < 1e-6);
    assert!((truth.clear_fraction - 1.0).abs() < 1e-12);
    assert!(truth.veil_fraction.abs() < 1e-12 && truth.dark_fraction.abs() < 1e-12);
    // Single precision in the smoothing.
    assert!(truth.aggressiveness < 1e-3);
    assert!(truth.speckle_count == 0 && truth.speckle_diameter_median.is_none());
    assert!(truth.streak_angle.is_none() && truth.cloud_scale.is_none());
    assert!(truth.tone_b.unwrap().abs() < 1e-6);
}

#[test]
fn an_even_veil_of_20_per_cent_is_20() {
    let veiled = Finish {
        veil: 0.2,
        ..Finish::default()
    };
    let truth = veiled.paint(SAMPLE, 8.0).truth(0.4);
    assert!((truth.aggressiveness - 20.0).abs() < 1e-3);
    assert!((truth.veil_fraction - 1.0).abs() < 1e-12);
    assert!(truth.variance_beyond.iter().all(|v| *v < 1e-9));
}

#[test]
fn a_bare_tenth_in_specks_is_31_6_before_smoothing_and_less_after() {
    // 0.8 mm discs overlap little at this density; the bare share is read off the field and the closed form is
    // 100 × its root, since the loss there is 1.
    let truth = speckled(18.0, Arrangement::Spaced)
        .paint(SAMPLE, 16.0)
        .truth(0.2);
    let bare = 1.0 - truth.coverage;
    assert!((bare - 0.1).abs() < 0.015, "{bare}");
    // Soft pixels on the outline count a little less when squared.
    assert!((truth.aggressiveness_sharp - 100.0 * bare.sqrt()).abs() < 1.0);
    assert!(truth.aggressiveness < truth.aggressiveness_sharp - 1.0);
}

#[test]
fn the_parts_add_up_to_the_whole() {
    let finish = Finish {
        clouds: Some(Clouds {
            depth: 0.3,
            scale_mm: 12.0,
        }),
        ..speckled(6.0, Arrangement::Random)
    };
    let painted = finish.paint(SAMPLE, 12.0);
    let truth = painted.truth(0.4);
    let whole = (truth.aggressiveness / 100.0).powi(2);
    // The smoothed mean differs from the coverage only by what the smoothing carries over the cut.
    assert!(((1.0 - truth.coverage).powi(2) + truth.variance_beyond[0] - whole).abs() < 1e-3);
    assert!(truth.variance_beyond.windows(2).all(|v| v[0] > v[1]));
    assert!(truth.variance_alone.windows(2).all(|v| v[0] > v[1]));
}

#[test]
fn clouds_have_the_scale_and_depth_asked_for() {
    let finish = Finish {
        clouds: Some(Clouds {
            depth: 0.25,
            scale_mm: 5.0,
        }),
        ..Finish::seeded(8)
    };
    let large = SizeMm {
        width: 300.0,
        height: 300.0,
    };
    let truth = finish.paint(large, 4.0).truth(0.4);
    assert!((truth.coverage - 0.75).abs() < 0.01, "{}", truth.coverage);
    let scale = truth.cloud_scale.unwrap();
    // About 1000 independent clouds.
    assert!((scale - 5.0).abs() < 0.4, "{scale}");
}

#[test]
fn speckles_are_as_many_and_as_large_as_asked() {
    for arrangement in [
        Arrangement::Random,
        Arrangement::Spaced,
        Arrangement::Clumped {
            clump_radius_mm: 8.0,
            per_clump: 6.0,
        },
    ] {
        let truth = speckled(3.0, arrangement).paint(SAMPLE, 16.0).truth(0.2);
        // Some run together; the clumps make the number on the glass vary.
        assert!(
            (truth.speckle_density - 3.0).abs() < 0.8,
            "{arrangement:?} {}",
            truth.speckle_density
        );
        let median = truth.speckle_diameter_median.unwrap();
        assert!((median - 0.8).abs() < 0.08, "{arrangement:?} {median}");
        assert_eq!(truth.speckle_count, truth.speckle_centres_mm.len());
    }
}

/// Variance over mean of the number in squares of 10 mm: 1 for points laid at random.
fn unevenness(centres: &[[f64; 2]]) -> f64 {
    let mut counts = [[0.0f64; 10]; 8];
    for [x, y] in centres {
        counts[(y / 10.0).clamp(0.0, 7.0) as usize][(x / 10.0).clamp(0.0, 9.0) as usize] += 1.0;
    }
    let m = mean(counts.iter().flatten().copied());
    mean(counts.iter().flatten().map(|c| (c - m).powi(2))) / m
}

#[test]
fn random_speckles_vary_like_chance_spaced_less_and_clumped_more() {
    let of = |arrangement| {
        let truth = speckled(4.0, arrangement).paint(SAMPLE, 12.0).truth(0.2);
        unevenness(&truth.speckle_centres_mm)
    };
    // 80 squares: standard deviation of the ratio is √(2/79) = 0.16; three of them, and a little for merging.
    let random = of(Arrangement::Random);
    assert!((random - 1.0).abs() < 0.5, "{random}");
    assert!(of(Arrangement::Spaced) < 0.5);
    let clumped = Arrangement::Clumped {
        clump_radius_mm: 5.0,
        per_clump: 8.0,
    };
    assert!(of(clumped) > 1.8);
}

#[test]
fn ridges_run_the_way_asked_for_with_y_up() {
    for angle in [0.0, 30.0, 90.0, 150.0] {
        let painted = ridged(angle, 0.0).paint(SAMPLE, 6.0);
        let truth = painted.truth(0.4);
        let found = truth.streak_angle.unwrap();
        assert!(
            axial_difference(angle, found).abs() < 1e-6,
            "{angle}: {found}"
        );
        assert!((truth.streak_spacing.unwrap() - 5.0).abs() < 1e-6);
    }
    // At 30° y up, the silver is alike a step right and up, and unlike a step right and down.
    let painted = ridged(30.0, 0.0).paint(SAMPLE, 10.0);
    let cut = painted.cut();
    let (mut along, mut against) = (0.0, 0.0);
    for r in 20..700 {
        for c in 20..900 {
            // 17 right and 10 up is 30.5°.
            along += (cut[[r, c]] - cut[[r - 10, c + 17]]).powi(2);
            against += (cut[[r, c]] - cut[[r + 10, c + 17]]).powi(2);
        }
    }
    assert!(along < 0.1 * against, "{along} {against}");
}

#[test]
fn wandering_ridges_keep_their_mean_direction() {
    let truth = ridged(60.0, 8.0).paint(SAMPLE, 6.0).truth(0.4);
    let off = axial_difference(60.0, truth.streak_angle.unwrap());
    assert!(off.abs() < 3.0 && off.abs() > 1e-3, "{off}");
}

#[test]
fn blots_and_edge_loss_show() {
    let finish = Finish {
        blots: Some(Blots {
            per_dm2: 4.0,
            diameter_mm: 9.0,
            floor: 0.1,
        }),
        edge_loss: Some(EdgeLoss {
            depth: 0.5,
            width_mm: 6.0,
        }),
        ..Finish::seeded(6)
    };
    let truth = finish.paint(SAMPLE, 8.0).truth(0.4);
    // 4 per dm² of 64 mm² cover 2.5 %.
    assert!(truth.blot_fraction > 0.005 && truth.blot_fraction < 0.06);
    assert!(truth.edge_loss > 0.15, "{}", truth.edge_loss);
    assert!(truth.speckle_count <= 1);
}

#[test]
fn counting_is_not_swayed_by_the_edges() {
    // On a panel of 20 mm, counting all that show would give 8 % too many, counting only whole ones 8 % too few.
    let tiny = SizeMm {
        width: 20.0,
        height: 20.0,
    };
    let seeds = 40u32;
    let sum: f64 = (0..seeds)
        .map(|seed| {
            let finish = Finish {
                seed: u64::from(seed),
                ..speckled(4.0, Arrangement::Spaced)
            };
            finish.paint(tiny, 8.0).truth(0.0).speckle_density
        })
        .sum();
    // Spaced points: each panel's 16 vary by about 2, so the mean of 40 by 2 %.
    let density = sum / f64::from(seeds);
    assert!((density / 4.0 - 1.0).abs() < 0.04, "{density}");
}

#[test]
fn the_truth_is_repeatable() {
    let finish = speckled(3.0, Arrangement::Random);
    assert_eq!(
        finish.paint(SAMPLE, 8.0).truth(0.4),
        finish.paint(SAMPLE, 8.0).truth(0.4)
    );
}
