//! Each painted fault raises its flag, and near misses do not.

use paneprint::quality::Flag;
use paneprint::synth::{BoardEnd, Drops, Dust, Finish, Outline, Reflection, Shot};

use super::{CLUMPED, large, ordinary, raises, sample, shot, specks, textured};

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
            sample("left, faint", ordinary(5), ends(175.0, 50.0, 0.7, 4.0)),
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
