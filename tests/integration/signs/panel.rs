//! The signs in the panel: each painted fault raises its flag, near misses do not, and no finish is ever called a fault.
//!
//! The mirror beside the panel is the reference; the placement is given. Each test prints the strength of every sign, of
//! which 1 raises the flag.

use std::path::Path;

use paneprint::frame::placement::Side;
use paneprint::judge::{Sign, Spot, signs_of_panel};
use paneprint::quality::Flag;
use paneprint::settings::Settings;
use paneprint::synth::{
    Arrangement, Blots, BoardEnd, Clouds, Drops, Dust, EdgeLoss, Finish, Outline, Reflection,
    Ridges, Shot, Speckles, photograph,
};
use paneprint::units::SizeMm;
use paneprint::{intake, measure, normalize};

/// A panel to paint and photograph.
struct Case {
    what: &'static str,
    size: SizeMm,
    finish: Finish,
    shot: Shot,
}

const SAMPLE: SizeMm = SizeMm {
    width: 150.0,
    height: 150.0,
};

const LARGE: SizeMm = SizeMm {
    width: 900.0,
    height: 600.0,
};

/// A sample photographed at 8 px/mm.
fn sample(what: &'static str, finish: Finish, shot: Shot) -> Case {
    Case {
        what,
        size: SAMPLE,
        finish,
        shot,
    }
}

fn large(what: &'static str, finish: Finish, shot: Shot) -> Case {
    Case {
        what,
        size: LARGE,
        finish,
        shot,
    }
}

/// Even light, a mirror patch left and right.
fn shot() -> Shot {
    Shot {
        patches: Vec::new(),
        ..Shot::bench(SAMPLE)
    }
    .sized(2080, 1560)
}

/// The strength of every sign in a photo of it.
fn signs(case: &Case) -> [Sign; 4] {
    let shot = case.shot.clone().with_mirror_patches(case.size, 4);
    let px_per_mm = if case.size.width > 300.0 { 4.0 } else { 10.0 };
    let painted = case.finish.paint(case.size, px_per_mm);
    let taken = photograph(&painted, &shot);
    let path = Path::new("panel.jpg");
    let limits = intake::Limits::default();
    let photo = intake::from_bytes(taken.jpeg().unwrap(), path, &limits).unwrap();
    let settings = Settings::default();
    let panel = normalize::normalize(&photo, &taken.placement, None, &settings.normalize).unwrap();
    let spot = |s: &measure::speckle::Speckle| Spot {
        centre_mm: [s.col / panel.px_per_mm, s.row / panel.px_per_mm],
        diameter_mm: s.diameter_mm,
    };
    let measured = measure::measure(&panel, &settings.measure);
    let spots: Vec<Spot> = measured.speckles.iter().map(spot).collect();
    signs_of_panel(&panel, &spots)
}

/// Shows the strengths, and holds each case to the flags it must raise, and to no others.
#[track_caller]
#[expect(clippy::print_stdout, reason = "the margins are read off here")]
fn raises(wanted: Option<Flag>, cases: Vec<Case>) {
    let mut wrong = Vec::new();
    for case in cases {
        let signs = signs(&case);
        let line: Vec<String> = signs
            .iter()
            .map(|s| format!("{} {:.2}", s.flag.facts().key, s.strength))
            .collect();
        println!("{:32} {}", case.what, line.join("  "));
        if signs
            .iter()
            .any(|s| (s.strength >= 1.0) != (Some(s.flag) == wanted))
        {
            wrong.push(case.what);
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
}

fn specks(per_cm2: f64, diameter_median_mm: f64, arrangement: Arrangement) -> Option<Speckles> {
    Some(Speckles {
        per_cm2,
        diameter_median_mm,
        spread: 0.35,
        arrangement,
        floor: 0.03,
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

fn blots(per_dm2: f64, diameter_mm: f64, floor: f64) -> Option<Blots> {
    Some(Blots {
        per_dm2,
        diameter_mm,
        floor,
    })
}

fn lost(depth: f64, width_mm: f64) -> Option<EdgeLoss> {
    Some(EdgeLoss { depth, width_mm })
}

/// An ordinary finish for faults to lie on: specks and a little veil.
fn ordinary(seed: u64) -> Finish {
    Finish {
        clouds: clouds(0.12, 12.0),
        speckles: specks(2.0, 0.9, Arrangement::Random),
        ..Finish::seeded(seed)
    }
}

/// A textured one: ridges, blots and lost edges as well.
fn textured(seed: u64) -> Finish {
    Finish {
        ridges: ridges(70.0, 6.0, 0.2, 4.0),
        blots: blots(1.0, 9.0, 0.05),
        edge_loss: lost(0.3, 6.0),
        ..ordinary(seed)
    }
}

const CLUMPED: Arrangement = Arrangement::Clumped {
    clump_radius_mm: 5.0,
    per_clump: 12.0,
};

fn from_behind() -> Shot {
    Shot {
        side: Side::Back,
        ..shot()
    }
}

/// Finishes that no sign may be seen in, whatever the seed.
fn good(seed: u64) -> Vec<Case> {
    let plain = || Finish::seeded(seed);
    let everything = || Finish {
        veil: 0.1,
        clouds: clouds(0.25, 15.0),
        ridges: ridges(40.0, 8.0, 0.4, 5.0),
        speckles: specks(6.0, 1.0, CLUMPED),
        blots: blots(3.0, 12.0, 0.05),
        edge_loss: lost(0.5, 10.0),
        warmth: 0.5,
        ..plain()
    };
    let ridged = |angle, spacing, depth, wobble| Finish {
        ridges: ridges(angle, spacing, depth, wobble),
        ..plain()
    };
    let speckled = |per_cm2, diameter, arrangement| Finish {
        speckles: specks(per_cm2, diameter, arrangement),
        ..plain()
    };
    let small = |what, finish| Case {
        what,
        size: SizeMm {
            width: 80.0,
            height: 60.0,
        },
        finish,
        shot: shot(),
    };
    vec![
        sample("clear", plain(), shot()),
        sample(
            "heavy specks",
            speckled(20.0, 1.0, Arrangement::Random),
            shot(),
        ),
        sample(
            "spaced specks",
            speckled(6.0, 1.2, Arrangement::Spaced),
            shot(),
        ),
        sample("clumped specks", speckled(8.0, 0.8, CLUMPED), shot()),
        sample(
            "large specks",
            speckled(2.0, 3.0, Arrangement::Random),
            from_behind(),
        ),
        sample(
            "big blots",
            Finish {
                blots: blots(3.0, 22.0, 0.03),
                ..plain()
            },
            shot(),
        ),
        sample(
            "many blots",
            Finish {
                blots: blots(12.0, 10.0, 0.1),
                ..plain()
            },
            from_behind(),
        ),
        sample(
            "cloudy veil",
            Finish {
                clouds: clouds(0.3, 25.0),
                ..plain()
            },
            shot(),
        ),
        sample(
            "small clouds, deep",
            Finish {
                clouds: clouds(0.4, 5.0),
                ..plain()
            },
            shot(),
        ),
        sample(
            "wide clouds, deep",
            Finish {
                clouds: clouds(0.45, 50.0),
                ..plain()
            },
            shot(),
        ),
        sample("ridges at 0", ridged(0.0, 6.0, 0.3, 3.0), shot()),
        sample(
            "deep ridges at 45",
            ridged(45.0, 10.0, 0.7, 0.0),
            from_behind(),
        ),
        sample("wide ridges at 90", ridged(90.0, 40.0, 0.5, 2.0), shot()),
        sample("two wide ridges at 3", ridged(3.0, 80.0, 0.6, 0.0), shot()),
        sample(
            "wide deep ridges at 135",
            ridged(135.0, 60.0, 0.8, 3.0),
            shot(),
        ),
        sample(
            "edges lost",
            Finish {
                edge_loss: lost(0.9, 12.0),
                ..plain()
            },
            shot(),
        ),
        sample(
            "edges lost narrowly",
            Finish {
                edge_loss: lost(0.95, 3.0),
                ..plain()
            },
            shot(),
        ),
        sample(
            "edges lost widely",
            Finish {
                edge_loss: lost(0.8, 30.0),
                ..plain()
            },
            shot(),
        ),
        sample(
            "warm",
            Finish {
                warmth: 0.9,
                veil: 0.2,
                clouds: clouds(0.2, 12.0),
                ..plain()
            },
            shot(),
        ),
        sample("everything", everything(), shot()),
        small("small, everything", everything()),
        small("small, wide ridge", ridged(0.0, 70.0, 0.5, 0.0)),
        large("large, everything", everything(), shot().sized(3200, 2400)),
        large(
            "large, clouds of 60 mm",
            Finish {
                clouds: clouds(0.35, 60.0),
                ..plain()
            },
            shot(),
        ),
        large(
            "large, ridges of 120 mm",
            ridged(88.0, 120.0, 0.5, 3.0),
            shot(),
        ),
    ]
}

#[test]
fn no_finish_is_called_a_fault() {
    raises(None, good(1).into_iter().chain(good(2)).collect());
}

fn seen(of: Reflection) -> Shot {
    Shot {
        reflections: vec![of],
        ..shot()
    }
}

fn thing(outline: Outline, centre_mm: [f64; 2], size_mm: [f64; 2], light: [f64; 3]) -> Reflection {
    Reflection {
        outline,
        centre_mm,
        size_mm,
        turn_deg: 7.0,
        light,
        soft_mm: 2.5,
    }
}

#[test]
fn what_the_mirror_sees_of_the_room_is_named() {
    let person = thing(
        Outline::Person,
        [10.0, 20.0],
        [60.0, 110.0],
        [0.35, 0.3, 0.28],
    );
    let phone = thing(Outline::Box, [-20.0, 0.0], [38.0, 75.0], [0.05; 3]);
    let window = thing(
        Outline::Box,
        [-40.0, -30.0],
        [30.0, 40.0],
        [1.25, 1.28, 1.3],
    );
    let shelf = thing(Outline::Box, [0.0, 30.0], [300.0, 25.0], [0.6, 0.55, 0.5]);
    let coat = thing(
        Outline::Person,
        [-30.0, 25.0],
        [50.0, 90.0],
        [0.7, 0.75, 1.1],
    );
    let lamp = thing(Outline::Oval, [30.0, 30.0], [22.0, 22.0], [1.3; 3]);
    let far = Reflection {
        size_mm: [250.0, 500.0],
        soft_mm: 15.0,
        ..person
    };
    let soft = Reflection {
        soft_mm: 8.0,
        light: [0.55, 0.5, 0.45],
        ..person
    };
    raises(
        Some(Flag::RoomReflected),
        vec![
            sample("person", ordinary(3), seen(person)),
            sample("person, out of focus", ordinary(4), seen(soft)),
            sample("person, textured", textured(5), seen(person)),
            sample("phone", ordinary(6), seen(phone)),
            sample("phone, textured", textured(7), seen(phone)),
            sample("window", ordinary(8), seen(window)),
            sample("lamp", Finish::seeded(9), seen(lamp)),
            sample("shelf", ordinary(10), seen(shelf)),
            sample("blue coat", Finish::seeded(11), seen(coat)),
            large("person, large panel", ordinary(12), seen(far)),
        ],
    );
}

#[test]
fn a_faint_soft_shade_is_not_the_room() {
    let shade = Reflection {
        soft_mm: 60.0,
        ..thing(Outline::Oval, [10.0, 0.0], [80.0, 80.0], [0.85; 3])
    };
    let speck = thing(Outline::Oval, [10.0, 0.0], [7.0, 7.0], [0.5; 3]);
    raises(
        None,
        vec![
            sample("soft shade", ordinary(13), seen(shade)),
            sample("a lens hole in the board", ordinary(14), seen(speck)),
        ],
    );
}

fn ends(towards_deg: f64, at_mm: f64, beyond: f64, soft_mm: f64) -> Shot {
    Shot {
        board_end: Some(BoardEnd {
            towards_deg,
            at_mm,
            beyond: [beyond; 3],
            soft_mm,
        }),
        ..shot()
    }
}

#[test]
fn a_board_that_ends_before_the_mirror_is_named() {
    raises(
        Some(Flag::BoardShort),
        vec![
            sample("right, sharp", ordinary(3), ends(0.0, 60.0, 0.4, 1.0)),
            sample(
                "top, slanting, soft",
                ordinary(4),
                ends(98.0, 45.0, 0.3, 10.0),
            ),
            sample("left, faint", ordinary(5), ends(175.0, 50.0, 0.75, 4.0)),
            sample(
                "below, dark, textured",
                textured(6),
                ends(270.0, 55.0, 0.15, 3.0),
            ),
            sample(
                "below, very soft",
                ordinary(7),
                ends(265.0, 35.0, 0.4, 15.0),
            ),
            sample("a corner", ordinary(8), ends(45.0, 70.0, 0.4, 4.0)),
            sample(
                "another corner, slanting",
                textured(9),
                ends(210.0, 60.0, 0.3, 4.0),
            ),
            large("large, right", textured(10), ends(2.0, 380.0, 0.4, 12.0)),
        ],
    );
}

#[test]
fn a_fading_light_is_no_board_end() {
    raises(
        None,
        vec![
            sample(
                "fades over half the panel",
                ordinary(3),
                ends(0.0, 40.0, 0.5, 90.0),
            ),
            sample("worn at one side", ordinary(4), ends(0.0, 78.0, 0.2, 40.0)),
        ],
    );
}

fn dusty(tilt_y_deg: f64, per_cm2: f64, glass_mm: f64) -> Shot {
    Shot {
        tilt_y_deg,
        tilt_x_deg: 4.0,
        dust: Some(Dust {
            per_cm2,
            diameter_median_mm: 0.6,
            spread: 0.3,
            floor: 0.2,
            glass_mm,
        }),
        ..shot()
    }
}

#[test]
fn dust_seen_twice_is_named() {
    let clumped = Finish {
        speckles: specks(2.0, 0.8, CLUMPED),
        ..Finish::seeded(6)
    };
    raises(
        Some(Flag::DoubledSpecks),
        vec![
            sample(
                "4 mm glass from 14 degrees",
                ordinary(3),
                dusty(14.0, 2.0, 4.0),
            ),
            sample(
                "6 mm glass from 10 degrees",
                ordinary(4),
                dusty(-10.0, 1.0, 6.0),
            ),
            sample(
                "4 mm glass, square on",
                Finish::seeded(5),
                dusty(0.0, 3.0, 4.0),
            ),
            sample("6 mm glass among clumps", clumped, dusty(15.0, 1.5, 6.0)),
        ],
    );
}

fn wet(per_dm2: f64, diameter_median_mm: f64, rim: f64) -> Shot {
    Shot {
        drops: Some(Drops {
            per_dm2,
            diameter_median_mm,
            spread: 0.25,
            rim,
        }),
        ..shot()
    }
}

#[test]
fn drops_of_water_are_named() {
    raises(
        Some(Flag::WetDrops),
        vec![
            sample("drops of 6 mm", ordinary(3), wet(12.0, 6.0, 0.2)),
            sample("drops of 4 mm", ordinary(4), wet(20.0, 4.0, 0.2)),
            sample(
                "drops of 9 mm, faint",
                Finish::seeded(5),
                wet(6.0, 9.0, 0.15),
            ),
            sample("drops on texture", textured(6), wet(15.0, 7.0, 0.3)),
        ],
    );
}

#[test]
fn two_drops_and_poor_jpeg_are_not_drops() {
    let poor = Shot {
        jpeg_quality: 60,
        blur_px: 0.5,
        ..shot()
    };
    raises(
        None,
        vec![
            sample("one drop", ordinary(3), wet(0.5, 6.0, 0.2)),
            sample("poor JPEG", ordinary(4), poor),
        ],
    );
}
