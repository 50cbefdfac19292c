//! Paint, then find: what was painted is found again in a photo of it, within the bounds the project promises.
//!
//! Samples of 150 mm on 5-megapixel JPEG photos of quality 92, the placement given, the light known from the rig's
//! plain frame, which was taken in a pose of its own. The truth is what [`Painted::truth`] says of the painted field.
//!
//! [`Painted::truth`]: paneprint::synth::Painted::truth

mod forms;
mod hard;
mod intervals;
mod resolution;

use paneprint::frame::panel::SilverScale;
use paneprint::frame::placement::{PatchKind, Side};
use paneprint::normalize::Rig;
use paneprint::quality::Flag;
use paneprint::synth::{
    Arrangement, Blots, Clouds, EdgeLoss, Finish, PatchAt, Ridges, Shot, Speckles, photograph,
};

use crate::support::{
    Bounds, LARGE, Row, SAMPLE, SAMPLE_PX_PER_MM, against_truth, assert_within, corner, difference,
    read, read_shot, rig, sample_rig, sample_shot,
};

/// With a rig. Half a per cent of light scale, and edges read through a lens, leave room inside each.
const WITH_RIG: Bounds = Bounds {
    coverage: 0.010,
    dark_fraction: 0.006,
    aggressiveness: 1.0,
    speckles: 0.06,
    streak_angle_deg: 1.5,
    veil_fraction: 0.03,
    speckle_evenness: 0.05,
    streak_spacing: 0.08,
    cloud_scale: 0.15,
    tone: 1.0,
    edge_loss: 0.02,
};

/// With four mirror patches: a plane stands for the light.
const WITH_MIRRORS: Bounds = Bounds {
    coverage: 0.012,
    ..WITH_RIG
};

/// In coloured or failing light. The chroma of a dim grey card comes in whole 8-bit codes, and half a code of it, on the
/// day of the rig and again today, is up to 1.3 in b*.
const IN_ANY_LIGHT: Bounds = Bounds {
    tone: 1.5,
    ..WITH_RIG
};

const WARM_LAMP: [f64; 3] = [1.15, 1.0, 0.8];
const BLUE_LAMP: [f64; 3] = [0.9, 1.0, 1.15];

/// A panel to paint and how to photograph it.
struct Case {
    what: &'static str,
    finish: Finish,
    shot: Shot,
}

fn case(what: &'static str, finish: Finish, shot: Shot) -> Case {
    Case { what, finish, shot }
}

/// The corner's shot with the panel tilted about the horizontal and the vertical axis, degrees.
fn tilted(x: f64, y: f64) -> Shot {
    Shot {
        tilt_x_deg: x,
        tilt_y_deg: y,
        ..sample_shot()
    }
}

trait Lit {
    fn lit(self, ev: f64, lamp: [f64; 3]) -> Self;
}

impl Lit for Shot {
    fn lit(self, exposure_ev: f64, white_balance: [f64; 3]) -> Self {
        Shot {
            exposure_ev,
            white_balance,
            ..self
        }
    }
}

const NEUTRAL: [f64; 3] = [1.0; 3];

fn specks(per_cm2: f64, diameter_median_mm: f64) -> Option<Speckles> {
    arranged(per_cm2, diameter_median_mm, Arrangement::Random)
}

fn arranged(per_cm2: f64, diameter_median_mm: f64, arrangement: Arrangement) -> Option<Speckles> {
    Some(Speckles {
        per_cm2,
        diameter_median_mm,
        spread: 0.35,
        arrangement,
        floor: 0.0,
    })
}

fn clouds(depth: f64, scale_mm: f64) -> Option<Clouds> {
    Some(Clouds { depth, scale_mm })
}

fn ridges(angle_deg: f64, spacing_mm: f64, depth: f64, wobble_deg: f64) -> Option<Ridges> {
    Some(Ridges {
        angle_deg,
        spacing_mm,
        depth,
        wobble_deg,
    })
}

/// Paints, photographs and reads each panel, and compares it with the truth. All are photos to judge by.
#[track_caller]
fn find(cases: Vec<Case>, rig: Option<&Rig>, bounds: Bounds) {
    let rows: Vec<Row> = cases
        .into_iter()
        .flat_map(|Case { what, finish, shot }| {
            let painted = finish.paint(SAMPLE, SAMPLE_PX_PER_MM);
            let reading = read_shot(&painted, &shot, rig);
            let flags = &reading.fingerprint.provenance.flags;
            assert!(!flags.blocks(), "{what} is a good photo: {flags:?}");
            let got = reading.measured.numbers;
            let truth = painted.truth(got.speckle_floor_mm);
            against_truth(what, &got, (&truth, SAMPLE), bounds)
        })
        .collect();
    assert_within(&rows);
}

#[track_caller]
fn find_with_rig(cases: Vec<Case>) {
    find(cases, Some(sample_rig()), WITH_RIG);
}

#[test]
fn a_plain_mirror_is_full_silver_without_specks_or_streaks_in_any_light() {
    let plain = || Finish::seeded(3);
    find_with_rig(vec![
        case("plain", plain(), sample_shot()),
        case("plain, dim", plain(), sample_shot().lit(-1.0, NEUTRAL)),
        case(
            "plain, bright, tilted",
            plain(),
            tilted(12.0, 0.0).lit(0.3, NEUTRAL),
        ),
        case(
            "plain, dim and warm",
            plain(),
            tilted(0.0, 12.0).lit(-1.0, WARM_LAMP),
        ),
        case(
            "plain, blue",
            plain(),
            tilted(-12.0, 0.0).lit(0.0, BLUE_LAMP),
        ),
    ]);
}

#[test]
fn an_even_veil_is_loss_and_nothing_else() {
    let veil = |veil| Finish {
        veil,
        ..Finish::seeded(3)
    };
    find_with_rig(vec![
        case(
            "veil 5 %, bright",
            veil(0.05),
            tilted(0.0, -12.0).lit(0.3, NEUTRAL),
        ),
        case("veil 20 %", veil(0.2), sample_shot().lit(0.0, WARM_LAMP)),
        case(
            "veil 45 %, dim",
            veil(0.45),
            tilted(8.0, 8.0).lit(-1.0, BLUE_LAMP),
        ),
        case("veil 80 %", veil(0.8), tilted(12.0, -12.0)),
    ]);
}

#[test]
fn clouds_of_any_scale_are_read_and_are_no_streaks() {
    let cloudy = |seed, depth, scale_mm| Finish {
        clouds: clouds(depth, scale_mm),
        ..Finish::seeded(seed)
    };
    find_with_rig(vec![
        case("clouds of 5 mm", cloudy(15, 0.25, 5.0), tilted(-8.0, 8.0)),
        case(
            "clouds of 12 mm",
            cloudy(5, 0.2, 12.0),
            tilted(12.0, 12.0).lit(-1.0, NEUTRAL),
        ),
        case(
            "clouds of 25 mm",
            cloudy(25, 0.3, 25.0),
            sample_shot().lit(0.0, BLUE_LAMP),
        ),
    ]);
}

#[test]
fn ridges_are_found_at_the_angle_they_were_painted_at() {
    let ridged = |seed, angle| Finish {
        ridges: ridges(angle, 6.0, 0.3, 4.0),
        ..Finish::seeded(seed)
    };
    find_with_rig(vec![
        case("ridges at 0", ridged(6, 0.0), tilted(0.0, 12.0)),
        case(
            "ridges at 30",
            ridged(16, 30.0),
            tilted(12.0, 0.0).lit(0.3, NEUTRAL),
        ),
        case(
            "ridges at 65",
            ridged(26, 65.0),
            tilted(-12.0, 12.0).lit(-1.0, WARM_LAMP),
        ),
        case("ridges at 90", ridged(36, 90.0), tilted(-12.0, 0.0)),
        case(
            "ridges at 135",
            ridged(46, 135.0),
            tilted(8.0, -8.0).lit(0.0, BLUE_LAMP),
        ),
        case("ridges at 165", ridged(56, 165.0), tilted(12.0, 12.0)),
    ]);
}

#[test]
fn fine_wide_straight_and_wobbling_ridges_keep_their_angle() {
    let ridged = |seed, ridges| Finish {
        ridges,
        ..Finish::seeded(seed)
    };
    find_with_rig(vec![
        case(
            "3 mm apart",
            ridged(66, ridges(20.0, 3.0, 0.3, 3.0)),
            tilted(12.0, 0.0),
        ),
        case(
            "12 mm apart",
            ridged(76, ridges(110.0, 12.0, 0.3, 3.0)),
            tilted(0.0, -12.0),
        ),
        case(
            "straight",
            ridged(86, ridges(45.0, 6.0, 0.2, 0.0)),
            sample_shot(),
        ),
        case(
            "faint",
            ridged(96, ridges(75.0, 6.0, 0.06, 3.0)),
            sample_shot(),
        ),
        case(
            "wobbling by 10",
            ridged(106, ridges(150.0, 5.0, 0.3, 10.0)),
            tilted(-8.0, 0.0),
        ),
    ]);
}

#[test]
fn specks_are_counted_and_sized_however_they_lie() {
    let speckled = |seed, speckles| Finish {
        speckles,
        ..Finish::seeded(seed)
    };
    let clumped = Arrangement::Clumped {
        clump_radius_mm: 8.0,
        per_clump: 6.0,
    };
    find_with_rig(vec![
        case("fine specks", speckled(4, specks(8.0, 0.7)), sample_shot()),
        case(
            "fine specks, dim and tilted",
            speckled(14, specks(6.0, 0.7)),
            tilted(12.0, 12.0).lit(-1.0, WARM_LAMP),
        ),
        case(
            "specks, bright",
            speckled(24, specks(3.0, 0.9)),
            tilted(-12.0, 0.0).lit(0.3, NEUTRAL),
        ),
        case(
            "coarse specks",
            speckled(34, specks(2.0, 1.8)),
            tilted(0.0, 12.0).lit(0.0, BLUE_LAMP),
        ),
        case(
            "spaced specks",
            speckled(44, arranged(4.0, 0.9, Arrangement::Spaced)),
            tilted(12.0, -8.0),
        ),
        case(
            "clumped specks",
            speckled(54, arranged(3.0, 0.9, clumped)),
            tilted(-8.0, -12.0),
        ),
    ]);
}

fn blots() -> Option<Blots> {
    Some(Blots {
        per_dm2: 2.0,
        diameter_mm: 10.0,
        floor: 0.05,
    })
}

fn lost_edges() -> Option<EdgeLoss> {
    Some(EdgeLoss {
        depth: 0.4,
        width_mm: 8.0,
    })
}

#[test]
fn lost_edges_and_tarnish_are_read_for_what_they_are() {
    let cases = vec![
        case(
            "lost edges",
            Finish {
                edge_loss: lost_edges(),
                ..Finish::seeded(17)
            },
            tilted(0.0, -12.0).lit(0.3, NEUTRAL),
        ),
        case(
            "tarnish",
            Finish {
                warmth: 0.6,
                veil: 0.1,
                ..Finish::seeded(27)
            },
            tilted(-8.0, 8.0).lit(-0.5, WARM_LAMP),
        ),
        case(
            "blots, lost edges and specks",
            Finish {
                blots: blots(),
                edge_loss: lost_edges(),
                speckles: specks(2.0, 1.0),
                ..Finish::seeded(9)
            },
            sample_shot().lit(-0.5, BLUE_LAMP),
        ),
    ];
    find(cases, Some(sample_rig()), IN_ANY_LIGHT);
}

#[test]
fn blots_are_no_specks_and_their_share_of_the_area_is_found() {
    let finish = Finish {
        blots: blots(),
        ..Finish::seeded(7)
    };
    let painted = finish.paint(SAMPLE, SAMPLE_PX_PER_MM);
    let got = read_shot(&painted, &tilted(12.0, 0.0), Some(sample_rig()))
        .measured
        .numbers;
    let truth = painted.truth(got.speckle_floor_mm);
    // A blot that the edge cuts is known for one by what is seen of it.
    let mut rows: Vec<Row> = against_truth("blots", &got, (&truth, SAMPLE), WITH_RIG);
    rows.push(Row::new(
        "blots",
        "blot_fraction",
        got.blot_fraction,
        Some(truth.blot_fraction),
        difference,
        WITH_RIG.dark_fraction,
    ));
    assert_within(&rows);
}

#[test]
fn a_finish_of_several_parts_is_read_part_by_part() {
    find_with_rig(vec![
        case(
            "veil, clouds, ridges, specks, warm",
            several(8),
            tilted(0.0, -12.0).lit(-1.0, WARM_LAMP),
        ),
        case(
            "ridges and specks",
            Finish {
                ridges: ridges(165.0, 6.0, 0.3, 4.0),
                speckles: specks(2.0, 1.0),
                ..Finish::seeded(18)
            },
            tilted(12.0, 12.0).lit(0.3, NEUTRAL),
        ),
        case(
            "clouds and fine specks",
            Finish {
                clouds: clouds(0.2, 8.0),
                speckles: specks(5.0, 0.8),
                ..Finish::seeded(28)
            },
            tilted(-12.0, 12.0).lit(0.0, BLUE_LAMP),
        ),
        case(
            "heavily aged",
            Finish {
                veil: 0.15,
                clouds: clouds(0.3, 15.0),
                ridges: ridges(40.0, 8.0, 0.4, 5.0),
                speckles: specks(6.0, 1.0),
                edge_loss: Some(EdgeLoss {
                    depth: 0.5,
                    width_mm: 10.0,
                }),
                warmth: 0.5,
                ..Finish::seeded(38)
            },
            tilted(8.0, 8.0),
        ),
    ]);
}

/// Veil, clouds, ridges, specks and a little tarnish.
fn several(seed: u64) -> Finish {
    Finish {
        veil: 0.05,
        clouds: clouds(0.12, 12.0),
        ridges: ridges(80.0, 6.0, 0.3, 4.0),
        speckles: specks(3.0, 1.1),
        warmth: 0.3,
        ..Finish::seeded(seed)
    }
}

#[test]
fn a_large_panel_on_twelve_megapixels_is_read_as_well() {
    let shot = corner(LARGE);
    let rig = rig(LARGE, &shot);
    let finish = Finish {
        clouds: clouds(0.12, 12.0),
        ridges: ridges(80.0, 9.0, 0.3, 4.0),
        speckles: specks(1.0, 2.0),
        ..Finish::seeded(8)
    };
    // The smallest speckle that counts here, 1.2 mm, spans seven pixels of the painting.
    let painted = finish.paint(LARGE, 6.0);
    let shot = Shot {
        tilt_x_deg: 5.0,
        ..shot
    };
    let got = read_shot(&painted, &shot, Some(&rig)).measured.numbers;
    let truth = painted.truth(got.speckle_floor_mm);
    assert_within(&against_truth(
        "900 x 600 mm",
        &got,
        (&truth, LARGE),
        WITH_RIG,
    ));
}

#[test]
fn a_panel_seen_from_behind_is_read_as_it_hangs() {
    let finish = Finish {
        ridges: ridges(30.0, 6.0, 0.3, 4.0),
        speckles: specks(3.0, 1.0),
        edge_loss: Some(EdgeLoss {
            depth: 0.4,
            width_mm: 8.0,
        }),
        ..Finish::seeded(10)
    };
    let shot = Shot {
        side: Side::Back,
        ..tilted(8.0, -8.0)
    };
    let painted = finish.paint(SAMPLE, SAMPLE_PX_PER_MM);
    let got = read_shot(&painted, &shot, Some(sample_rig()))
        .measured
        .numbers;
    let truth = painted.truth(got.speckle_floor_mm);
    let mut rows = against_truth("from behind", &got, (&truth, SAMPLE), WITH_RIG);
    // A difference of two coverages, each within its bound.
    rows.push(Row::new(
        "from behind",
        "edge_loss",
        got.edge_loss,
        Some(truth.edge_loss),
        difference,
        2.0 * WITH_RIG.coverage,
    ));
    assert_within(&rows);
}

#[test]
fn four_mirror_patches_stand_for_a_rig_under_steep_light() {
    let shot = |slope_direction_deg| {
        Shot {
            slope: 0.35,
            slope_direction_deg,
            vignette: 0.0,
            patches: Vec::new(),
            ..sample_shot()
        }
        .with_mirror_patches(SAMPLE, 4)
    };
    let finish = |seed| Finish {
        veil: 0.1,
        speckles: specks(3.0, 0.9),
        ..Finish::seeded(seed)
    };
    find(
        vec![
            case("light from the right", finish(4), shot(0.0)),
            case("light from the upper right", several(14), shot(45.0)),
            case("light from above", Finish::seeded(24), shot(90.0)),
            case(
                "light from the lower left",
                finish(34),
                shot(210.0).lit(-1.0, WARM_LAMP),
            ),
            case(
                "light from below, tilted",
                finish(44),
                Shot {
                    tilt_x_deg: 12.0,
                    ..shot(270.0)
                },
            ),
        ],
        None,
        WITH_MIRRORS,
    );
}

#[test]
fn a_photo_framed_unlike_the_rig_is_judged_by_its_grey_patch() {
    // Upright, the card under the panel, in even light: one patch says nothing of a slope.
    let shot = Shot {
        slope: 0.0,
        vignette: 0.0,
        patches: vec![PatchAt {
            kind: PatchKind::Grey,
            centre_mm: [0.0, 94.0],
            size_mm: 22.0,
            reflectance: None,
        }],
        ..sample_shot()
    }
    .sized(1944, 2592);
    let painted = several(48).paint(SAMPLE, SAMPLE_PX_PER_MM);
    let reading = read_shot(&painted, &shot, Some(sample_rig()));
    let made = &reading.fingerprint.provenance;
    assert_eq!(made.silver_scale, SilverScale::Grey);
    assert!(made.flags.has(Flag::FramedUnlikeRig));
    let got = reading.measured.numbers;
    let truth = painted.truth(got.speckle_floor_mm);
    assert_within(&against_truth("upright", &got, (&truth, SAMPLE), WITH_RIG));
}

#[test]
fn without_any_reference_the_panel_is_its_own_and_the_reading_says_so() {
    let shot = Shot {
        patches: Vec::new(),
        ..sample_shot()
    };
    let finish = Finish {
        speckles: specks(3.0, 0.9),
        ..Finish::seeded(4)
    };
    let painted = finish.paint(SAMPLE, SAMPLE_PX_PER_MM);
    let reading = read_shot(&painted, &shot, None);
    let made = &reading.fingerprint.provenance;
    assert_eq!(made.silver_scale, SilverScale::Own);
    assert!(made.flags.has(Flag::OwnScale));
    // Clear silver between the specks is all it takes to count them.
    let got = reading.measured.numbers;
    let truth = painted.truth(got.speckle_floor_mm);
    let rows: Vec<Row> = against_truth("own scale", &got, (&truth, SAMPLE), WITH_RIG)
        .into_iter()
        .filter(|row| row.measure().starts_with("speckle"))
        .collect();
    assert_within(&rows);
}

#[test]
fn the_same_photo_gives_the_same_bytes_of_fingerprint() {
    let photo = photograph(
        &several(58).paint(SAMPLE, SAMPLE_PX_PER_MM),
        &tilted(8.0, -8.0),
    );
    let bytes = photo.jpeg().unwrap();
    let kept = || {
        let reading = read(bytes.clone(), &photo.placement, Some(sample_rig()));
        serde_json::to_string(&reading.fingerprint).unwrap()
    };
    assert_eq!(kept(), kept());
}

#[expect(
    clippy::print_stdout,
    reason = "the figures of the README are read off here"
)]
fn say(what: &str) {
    println!("{what}");
}
