//! Finishes at the ends of what is painted: none is called a fault.

use paneprint::frame::placement::Side;
use paneprint::synth::{Arrangement, Finish, Shot};
use paneprint::units::SizeMm;

use super::{CLUMPED, Case, blots, clouds, large, lost, raises, ridges, sample, shot, specks};

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
