//! The signs that lie in the photo itself.

use std::path::Path;

use paneprint::frame::placement::PatchKind::{Grey, Mirror};
use paneprint::intake;
use paneprint::judge::{self, InPhoto, Noted};
use paneprint::normalize::{Rig, normalize};
use paneprint::placement::place_straight;
use paneprint::quality::{Flag, FlagSet};
use paneprint::settings::Settings;
use paneprint::synth::{
    Blots, CameraNotes, Clouds, EdgeLoss, Fault, Finish, OnPatch, Painted, Ridges, Shot, Speckles,
    photograph,
};
use paneprint::units::SizeMm;

use crate::support::{SAMPLE, corner, given, rig};

/// The signs told here.
const SIGNS: [Flag; 14] = [
    Flag::Crushed,
    Flag::Blurred,
    Flag::Tilted,
    Flag::PatchUneven,
    Flag::PatchShaded,
    Flag::LightSlope,
    Flag::GreyCardOff,
    Flag::MixedLamps,
    Flag::WhiteBalanceWanders,
    Flag::FlashFired,
    Flag::Processed,
    Flag::DigitalZoom,
    Flag::BowedEdges,
    Flag::ColourUnknown,
];

const PX_PER_MM: f64 = 8.0;

/// What the photo and its panel say before anything is measured.
fn judged(painted: &Painted, shot: &Shot, rig: Option<&Rig>) -> InPhoto {
    let taken = photograph(painted, shot);
    let (file, limits) = (taken.jpeg().unwrap(), intake::Limits::default());
    let path = Path::new("panel.jpg");
    let photo = intake::from_bytes(file, path, &limits).unwrap();
    let settings = Settings::default().normalize;
    let placed = place_straight(photo, path, given(&taken.placement)).unwrap();
    let panel = normalize(&placed.photo, &placed.placement, rig.into(), &settings).unwrap();
    let mut told = judge::of_photo(&placed.photo, &placed.placement, rig.is_some());
    told.flags.raise_all(&placed.flags);
    told.flags.raise_all(&panel.flags);
    told
}

fn keys(flags: &FlagSet) -> Vec<&'static str> {
    flags.facts().map(|f| f.key).collect()
}

/// An aged panel with bare specks.
fn aged(seed: u64) -> Finish {
    Finish {
        clouds: Some(Clouds {
            depth: 0.15,
            scale_mm: 12.0,
        }),
        speckles: specks(3.0, 1.2),
        ..Finish::seeded(seed)
    }
}

fn specks(per_cm2: f64, diameter_median_mm: f64) -> Option<Speckles> {
    Some(Speckles {
        per_cm2,
        diameter_median_mm,
        spread: 0.3,
        arrangement: paneprint::synth::Arrangement::Random,
        floor: 0.0,
    })
}

/// Two megapixels, square on, with mirror patches near so many corners.
fn shot(mirrors: usize) -> Shot {
    Shot::default()
        .sized(1600, 1200)
        .with_mirror_patches(SAMPLE, mirrors)
}

/// With a grey card at the right and a mirror patch.
fn carded() -> Shot {
    shot(1).with_patch(Grey, SAMPLE, [-1.0, 0.0])
}

fn spoilt(shot: Shot, fault: Fault) -> Shot {
    Shot { fault, ..shot }
}

fn on_patch(shot: Shot, on: OnPatch) -> Shot {
    let patches = vec![on];
    spoilt(
        shot,
        Fault {
            patches,
            ..Fault::default()
        },
    )
}

fn of_patch(patch: usize, light: f64) -> OnPatch {
    OnPatch {
        patch,
        gain: [light; 3],
        ..OnPatch::default()
    }
}

fn coloured(patch: usize, gain: [f64; 3]) -> OnPatch {
    OnPatch {
        patch,
        gain,
        ..OnPatch::default()
    }
}

fn black(black: f64) -> Fault {
    Fault {
        black,
        ..Fault::default()
    }
}

fn lamps(lamps: [f64; 3]) -> Fault {
    Fault {
        lamps,
        ..Fault::default()
    }
}

fn barrel(barrel: f64) -> Fault {
    Fault {
        barrel,
        ..Fault::default()
    }
}

fn noted(noted: CameraNotes) -> Fault {
    Fault {
        noted,
        ..Fault::default()
    }
}

fn sloping(mirrors: usize, slope: f64, slope_direction_deg: f64) -> Shot {
    Shot {
        slope,
        slope_direction_deg,
        ..shot(mirrors)
    }
}

fn blurred(blur_px: f64) -> Shot {
    Shot { blur_px, ..shot(1) }
}

fn turned(x: f64, y: f64, focal_unknown: bool) -> Shot {
    let notes = CameraNotes {
        focal_unknown,
        ..CameraNotes::default()
    };
    Shot {
        tilt_x_deg: x,
        tilt_y_deg: y,
        fill: 0.7,
        ..spoilt(shot(1), noted(notes))
    }
}

/// A shot that raises a flag, and one as near as is honest that does not.
fn pairs() -> Vec<(Flag, Shot, Shot)> {
    let slope = |slope| OnPatch {
        slope,
        ..OnPatch::default()
    };
    let shadow = |shadow, shadow_light| OnPatch {
        shadow,
        shadow_light,
        ..OnPatch::default()
    };
    let texture = |texture| OnPatch {
        patch: 1,
        texture,
        ..OnPatch::default()
    };
    let plain = CameraNotes::default();
    vec![
        // Bare glass sends 0.045 of full scale.
        (
            Flag::Crushed,
            spoilt(shot(1), black(0.05)),
            spoilt(shot(1), black(0.02)),
        ),
        (
            Flag::GreyCardOff,
            on_patch(carded(), coloured(1, [1.0, 1.0, 0.75])),
            on_patch(carded(), coloured(1, [1.0, 1.0, 0.94])),
        ),
        // A white card for a grey one, and one in a deep shadow.
        (
            Flag::GreyCardOff,
            on_patch(carded(), of_patch(1, 4.0)),
            on_patch(carded(), of_patch(1, 1.4)),
        ),
        (
            Flag::GreyCardOff,
            on_patch(carded(), of_patch(1, 0.15)),
            on_patch(carded(), of_patch(1, 0.7)),
        ),
        (
            Flag::PatchUneven,
            on_patch(shot(2), slope(0.12)),
            on_patch(shot(2), slope(0.03)),
        ),
        (
            Flag::PatchUneven,
            on_patch(carded(), shadow(0.3, 0.85)),
            on_patch(carded(), texture(0.1)),
        ),
        (
            Flag::PatchShaded,
            on_patch(shot(4), of_patch(2, 0.75)),
            on_patch(shot(4), of_patch(2, 0.93)),
        ),
        (
            Flag::PatchShaded,
            on_patch(shot(3), of_patch(1, 0.75)),
            on_patch(
                Shot {
                    slope: 0.2,
                    ..shot(3)
                },
                of_patch(1, 0.95),
            ),
        ),
        (
            Flag::PatchShaded,
            on_patch(shot(2), of_patch(0, 0.6)),
            on_patch(shot(2), of_patch(0, 0.85)),
        ),
        // 1.7 over the panel's width, and 1.4.
        (
            Flag::LightSlope,
            sloping(2, 0.9, 0.0),
            sloping(2, 0.55, 0.0),
        ),
        // One patch; 1.4 and 1.2.
        (Flag::LightSlope, sloping(1, 0.6, 0.0), sloping(1, 0.3, 0.0)),
        // 9 % over the panel, and 3 %.
        (
            Flag::MixedLamps,
            spoilt(shot(1), lamps([0.15, 0.0, -0.15])),
            spoilt(shot(1), lamps([0.05, 0.0, -0.05])),
        ),
        (
            Flag::MixedLamps,
            on_patch(shot(2), coloured(0, [1.0, 1.0, 0.9])),
            on_patch(shot(2), coloured(0, [1.0, 1.0, 0.98])),
        ),
        (
            Flag::Tilted,
            turned(25.0, 0.0, true),
            turned(15.0, 0.0, true),
        ),
        (
            Flag::Tilted,
            turned(0.0, -25.0, false),
            turned(0.0, -15.0, false),
        ),
        (
            Flag::Tilted,
            turned(-18.0, 18.0, true),
            turned(-10.6, 10.6, true),
        ),
        // A side of s bows by barrel × s² / 8 R², R the half-diagonal: 1.7 to 2.2 % of its length, which no ordinary lens does,
        // and 0.9 %, which is taken out.
        (
            Flag::BowedEdges,
            spoilt(shot(1), barrel(0.2)),
            spoilt(shot(1), barrel(0.08)),
        ),
        (
            Flag::BowedEdges,
            spoilt(shot(1), barrel(-0.15)),
            spoilt(shot(1), barrel(-0.08)),
        ),
        // At 6.2 px/mm: 0.88 and 0.64 mm.
        (Flag::Blurred, blurred(5.5), blurred(4.0)),
        (Flag::Blurred, blurred(10.0), blurred(1.5)),
        (
            Flag::FlashFired,
            spoilt(
                shot(1),
                noted(CameraNotes {
                    flash: true,
                    ..plain
                }),
            ),
            shot(1),
        ),
        (
            Flag::Processed,
            spoilt(
                shot(1),
                noted(CameraNotes {
                    custom_rendered: 1,
                    ..plain
                }),
            ),
            shot(1),
        ),
        (
            Flag::Processed,
            spoilt(
                shot(1),
                noted(CameraNotes {
                    composite: 3,
                    ..plain
                }),
            ),
            spoilt(
                shot(1),
                noted(CameraNotes {
                    composite: 1,
                    ..plain
                }),
            ),
        ),
        (
            Flag::DigitalZoom,
            spoilt(shot(1), noted(CameraNotes { zoom: 1.5, ..plain })),
            spoilt(shot(1), noted(CameraNotes { zoom: 1.0, ..plain })),
        ),
        (
            Flag::ColourUnknown,
            spoilt(
                shot(1),
                noted(CameraNotes {
                    colour_unknown: true,
                    ..plain
                }),
            ),
            shot(1),
        ),
    ]
}

#[test]
fn each_sign_is_raised_by_what_it_means_and_not_by_less() {
    let painted = aged(41).paint(SAMPLE, PX_PER_MM);
    let mut wrong = Vec::new();
    for (i, (flag, faulty, fair)) in pairs().into_iter().enumerate() {
        let (faulty, fair) = (
            judged(&painted, &faulty, None),
            judged(&painted, &fair, None),
        );
        let told = SIGNS.iter().any(|sign| fair.flags.has(*sign));
        if !faulty.flags.has(flag) || told {
            let (is, near) = (keys(&faulty.flags), keys(&fair.flags));
            wrong.push(format!("{i} {}: {is:?}, near: {near:?}", flag.facts().key));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_rig_carries_a_slope_that_one_patch_cannot() {
    let steep = sloping(1, 0.6, 0.0);
    let learnt = rig(SAMPLE, &steep);
    let painted = aged(42).paint(SAMPLE, PX_PER_MM);
    let told = judged(&painted, &steep, Some(&learnt));
    assert!(!told.flags.has(Flag::LightSlope), "{:?}", keys(&told.flags));
}

#[test]
fn an_unnamed_colour_space_is_unknown_and_not_assumed() {
    let painted = aged(43).paint(SAMPLE, PX_PER_MM);
    let fault = noted(CameraNotes {
        colour_unknown: true,
        ..CameraNotes::default()
    });
    let told = judged(&painted, &spoilt(shot(1), fault), None);
    assert!(told.flags.has(Flag::ColourUnknown) && !told.flags.has(Flag::ColourAssumed));
}

#[test]
fn white_balance_that_wanders_is_seen_on_the_patches_of_a_session() {
    let painted = aged(44).paint(SAMPLE, PX_PER_MM);
    let of = |auto, white_balance, seed, exposure_ev| {
        let fault = noted(CameraNotes {
            white_balance_auto: auto,
            ..CameraNotes::default()
        });
        let shot = Shot {
            white_balance,
            seed,
            exposure_ev,
            ..spoilt(carded(), fault)
        };
        Noted {
            white_balance_auto: Some(auto),
            patch_colour: judged(&painted, &shot, None).patch_colour,
        }
    };
    let same = [1.0, 1.0, 0.95];
    let steady = [
        of(true, same, 1, 0.0),
        of(true, same, 2, -0.5),
        of(true, same, 3, 0.1),
    ];
    assert_eq!(judge::session(&steady), [false; 3]);
    let odd = |auto| of(auto, [1.06, 1.0, 0.88], 4, 0.0);
    let wandering = [steady[0], odd(true), steady[1], steady[2]];
    assert_eq!(judge::session(&wandering), [false, true, false, false]);
    // Set by hand it is another lamp.
    let by_hand = [steady[0], odd(false), steady[1], steady[2]];
    assert_eq!(judge::session(&by_hand), [false; 4]);
}

const TALL: SizeMm = SizeMm {
    width: 200.0,
    height: 300.0,
};

const LONG: SizeMm = SizeMm {
    width: 600.0,
    height: 250.0,
};

/// Photos as a careful maker takes them.
fn good() -> Vec<(&'static str, Finish, SizeMm, Shot, bool)> {
    let plain = || Finish::seeded(51);
    let edges = |depth, width_mm| Some(EdgeLoss { depth, width_mm });
    let clouds = |depth, scale_mm| Some(Clouds { depth, scale_mm });
    let ridges = |angle_deg, depth| {
        Some(Ridges {
            angle_deg,
            spacing_mm: 6.0,
            depth,
            wobble_deg: 4.0,
        })
    };
    let blots = Some(Blots {
        per_dm2: 2.5,
        diameter_mm: 10.0,
        floor: 0.05,
    });
    let heavy = Finish {
        veil: 0.3,
        clouds: clouds(0.5, 20.0),
        speckles: specks(12.0, 1.4),
        blots: blots.clone(),
        edge_loss: edges(0.8, 15.0),
        ..Finish::seeded(52)
    };
    let at = |size: SizeMm| corner(size).sized(1800, 1350);
    let mirrored = |size: SizeMm, n| {
        Shot {
            patches: Vec::new(),
            ..at(size)
        }
        .with_mirror_patches(size, n)
    };
    let lit = |shot: Shot, exposure_ev, white_balance| Shot {
        exposure_ev,
        white_balance,
        ..shot
    };
    let tilted = |shot: Shot, x, y| Shot {
        tilt_x_deg: x,
        tilt_y_deg: y,
        ..shot
    };
    let (warm, blue) = ([1.15, 1.0, 0.8], [0.9, 1.0, 1.15]);
    vec![
        ("plain, grey card, rig", plain(), SAMPLE, at(SAMPLE), true),
        (
            "plain, dim, warm lamp, rig",
            plain(),
            SAMPLE,
            lit(at(SAMPLE), -1.0, warm),
            true,
        ),
        (
            "aged, two mirrors, blue lamp",
            aged(53),
            SAMPLE,
            lit(mirrored(SAMPLE, 2), 0.0, blue),
            false,
        ),
        (
            "heavy, four mirrors",
            heavy.clone(),
            SAMPLE,
            mirrored(SAMPLE, 4),
            false,
        ),
        (
            "heavy, one mirror, warm lamp",
            Finish {
                seed: 54,
                ..heavy.clone()
            },
            SAMPLE,
            lit(mirrored(SAMPLE, 1), -0.3, warm),
            false,
        ),
        (
            "heavy and tall, grey card, rig",
            Finish { seed: 55, ..heavy },
            TALL,
            at(TALL),
            true,
        ),
        (
            "streaks, three mirrors, tilted",
            Finish {
                ridges: ridges(65.0, 0.5),
                ..Finish::seeded(56)
            },
            SAMPLE,
            tilted(mirrored(SAMPLE, 3), 10.0, -10.0),
            false,
        ),
        (
            "large clouds, one mirror",
            Finish {
                clouds: clouds(0.35, 40.0),
                ..Finish::seeded(57)
            },
            SAMPLE,
            mirrored(SAMPLE, 1),
            false,
        ),
        (
            "large clouds, long, two mirrors",
            Finish {
                clouds: clouds(0.3, 60.0),
                speckles: specks(1.0, 2.0),
                ..Finish::seeded(58)
            },
            LONG,
            mirrored(LONG, 2),
            false,
        ),
        (
            "edges lost, one mirror",
            Finish {
                edge_loss: edges(0.9, 20.0),
                ..Finish::seeded(59)
            },
            SAMPLE,
            mirrored(SAMPLE, 1),
            false,
        ),
        (
            "warm tone, grey card alone",
            Finish {
                warmth: 0.9,
                veil: 0.1,
                ..Finish::seeded(60)
            },
            SAMPLE,
            lit(at(SAMPLE), -0.5, [1.0; 3]),
            false,
        ),
        (
            "warm tone, warm lamp, grey and mirror",
            Finish {
                warmth: 0.6,
                speckles: specks(4.0, 0.9),
                ..Finish::seeded(61)
            },
            SAMPLE,
            lit(
                mirrored(SAMPLE, 2).with_patch(Grey, SAMPLE, [1.0, 0.0]),
                -0.5,
                warm,
            ),
            false,
        ),
        (
            "blots at the rim, tilted by 15",
            Finish {
                blots,
                ..Finish::seeded(62)
            },
            TALL,
            tilted(mirrored(TALL, 2), 15.0, 0.0),
            false,
        ),
        (
            "aged, tilted by 15 the other way, grey card, rig",
            aged(63),
            SAMPLE,
            tilted(at(SAMPLE), 0.0, -15.0),
            true,
        ),
        (
            "noisy JPEG of quality 75, two mirrors and a grey card",
            aged(64),
            SAMPLE,
            Shot {
                read_noise: 0.004,
                full_well: 2000.0,
                jpeg_quality: 75,
                ..mirrored(SAMPLE, 2).with_patch(Grey, SAMPLE, [-1.0, 0.0])
            },
            false,
        ),
        (
            "no patch at all",
            aged(65),
            LONG,
            Shot {
                patches: Vec::new(),
                ..at(LONG)
            },
            false,
        ),
        (
            "four grey cards, no rig",
            aged(66),
            SAMPLE,
            [[1.0, 1.0], [-1.0, 1.0], [1.0, -1.0], [-1.0, -1.0]]
                .into_iter()
                .fold(mirrored(SAMPLE, 0), |shot, at| {
                    shot.with_patch(Grey, SAMPLE, at)
                }),
            false,
        ),
    ]
}

#[test]
fn good_photos_raise_no_sign() {
    let mut wrong = Vec::new();
    for (what, finish, size, shot, rigged) in good() {
        let learnt = rigged.then(|| rig(size, &corner(size).sized(1800, 1350)));
        let px_per_mm = PX_PER_MM * SAMPLE.width / size.width.max(size.height);
        let told = judged(&finish.paint(size, px_per_mm), &shot, learnt.as_ref()).flags;
        if told.blocks() || SIGNS.iter().any(|sign| told.has(*sign)) {
            wrong.push(format!("{what}: {:?}", keys(&told)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_patches_named_here_are_what_the_shots_lay() {
    let kinds: Vec<_> = carded().patches.iter().map(|p| p.kind).collect();
    assert_eq!(kinds, [Mirror, Grey]);
}

/// Tilted by `degrees` in all in a direction: the axes' cosines multiply to that of the whole.
fn towards(degrees: f64, direction_deg: f64) -> (f64, f64) {
    let (sin, cos) = direction_deg.to_radians().sin_cos();
    let x = (degrees.to_radians().sin() * sin).asin();
    let y = (degrees.to_radians().cos() / x.cos()).min(1.0).acos();
    (x.to_degrees(), y.to_degrees() * cos.signum())
}

#[test]
fn a_tilt_is_told_in_every_direction_from_corners_a_pixel_off_and_a_size_a_hundredth_off() {
    let limits = intake::Limits::default();
    let mut wrong = Vec::new();
    for (size, focal_unknown) in [(SAMPLE, true), (SAMPLE, false), (LONG, true), (TALL, false)] {
        let painted = Finish::seeded(71).paint(size, 1.0);
        for (step, degrees) in (0..24).flat_map(|i| [(i, 8.0), (i, 15.0), (i, 25.0), (i, 34.0)]) {
            let (tilt_x_deg, tilt_y_deg) = towards(degrees, 15.0 * f64::from(step));
            let fault = noted(CameraNotes {
                focal_unknown,
                ..CameraNotes::default()
            });
            // A frame of few pixels: the corners are known to any part of one.
            let shot = Shot {
                tilt_x_deg,
                tilt_y_deg,
                fill: 0.6,
                fault,
                ..Shot::default().sized(160, 120)
            };
            let mut taken = photograph(&painted, &shot);
            // A pixel of a photo 4000 wide.
            let off = 160.0 / 4000.0;
            for (i, corner) in (0_i32..).zip(&mut taken.placement.corners.0) {
                corner[0] += off * f64::from((step + i) % 3 - 1);
                corner[1] += off * f64::from((step / 2 + i) % 3 - 1);
            }
            taken.placement.size.width *= 1.0 + 0.01 * f64::from(step % 3 - 1);
            let file = taken.jpeg().unwrap();
            let photo = intake::from_bytes(file, Path::new("panel.jpg"), &limits).unwrap();
            let told = judge::of_photo(&photo, &taken.placement, false).flags;
            if told.has(Flag::Tilted) != (degrees > 20.0) {
                wrong.push(format!(
                    "{size:?} {degrees} towards {step}, {focal_unknown}"
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn large_clouds_are_no_light() {
    let scales_mm = [20.0, 35.0, 50.0].into_iter().cycle();
    let told: Vec<String> = (100..124)
        .zip(scales_mm)
        .filter_map(|(seed, scale_mm)| {
            let finish = Finish {
                clouds: Some(Clouds {
                    depth: 0.3,
                    scale_mm,
                }),
                ..Finish::seeded(seed)
            };
            let shot = Shot {
                slope: 0.1,
                ..shot(1).sized(800, 600)
            };
            let flags = judged(&finish.paint(SAMPLE, 4.0), &shot, None).flags;
            let raised = SIGNS.iter().any(|sign| flags.has(*sign));
            raised.then(|| format!("{seed}: {:?}", keys(&flags)))
        })
        .collect();
    assert!(told.is_empty(), "{}", told.join("\n"));
}
