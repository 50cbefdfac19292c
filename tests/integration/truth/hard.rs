//! Panels and photos that lead a measure astray: the same bounds hold.

use paneprint::synth::{Arrangement, Finish, Shot};

use super::{
    Case, Lit, NEUTRAL, WARM_LAMP, arranged, blots, case, clouds, find_with_rig, lost_edges,
    ridges, several, specks, tilted,
};
use crate::support::sample_shot;

/// Blots on a finish of some kind.
fn with_blots(finish: Finish) -> Finish {
    Finish {
        blots: blots(),
        ..finish
    }
}

#[test]
fn specks_are_counted_through_veil_and_cloud() {
    let veiled = |seed, veil, clouds, speckles| Finish {
        veil,
        clouds,
        speckles,
        ..Finish::seeded(seed)
    };
    let clumped = |per_clump, clump_radius_mm| Arrangement::Clumped {
        clump_radius_mm,
        per_clump,
    };
    find_with_rig(vec![
        case(
            "specks in clouds of 28 %",
            veiled(101, 0.0, clouds(0.28, 12.0), specks(3.0, 0.9)),
            tilted(8.0, -8.0),
        ),
        case(
            "fine specks in clouds of 28 %",
            veiled(102, 0.0, clouds(0.28, 6.0), specks(6.0, 0.7)),
            sample_shot(),
        ),
        case(
            "specks in a veil of 30 %",
            veiled(103, 0.3, None, specks(3.0, 0.9)),
            sample_shot().lit(-0.5, NEUTRAL),
        ),
        case(
            "veil of 30 % and no specks",
            veiled(104, 0.3, clouds(0.2, 10.0), None),
            sample_shot(),
        ),
        case(
            "clumped specks",
            veiled(105, 0.0, None, arranged(4.0, 0.9, clumped(12.0, 6.0))),
            tilted(0.0, 8.0),
        ),
        case(
            "clumped specks in clouds of 28 %",
            veiled(
                106,
                0.0,
                clouds(0.28, 15.0),
                arranged(3.0, 0.9, clumped(8.0, 7.0)),
            ),
            tilted(-8.0, 0.0),
        ),
        case(
            "spaced specks in a veil of 30 %",
            veiled(107, 0.3, None, arranged(4.0, 0.9, Arrangement::Spaced)),
            tilted(0.0, -8.0),
        ),
    ]);
}

#[test]
fn blots_and_specks_do_not_turn_the_streaks() {
    let ridged = |seed, angle| Finish {
        ridges: ridges(angle, 6.0, 0.3, 4.0),
        ..Finish::seeded(seed)
    };
    find_with_rig(vec![
        case(
            "ridges with blots",
            with_blots(ridged(111, 65.0)),
            tilted(8.0, 8.0),
        ),
        case(
            "ridges at 20 with blots",
            with_blots(ridged(112, 20.0)),
            sample_shot(),
        ),
        case(
            "ridges at 165 with specks",
            Finish {
                speckles: specks(4.0, 1.0),
                ..ridged(113, 165.0)
            },
            tilted(8.0, -8.0),
        ),
        case(
            "faint ridges with blots and specks",
            Finish {
                ridges: ridges(40.0, 8.0, 0.12, 4.0),
                speckles: specks(3.0, 1.1),
                ..with_blots(Finish::seeded(114))
            },
            sample_shot(),
        ),
        case(
            "ridges in clouds with lost edges",
            Finish {
                ridges: ridges(100.0, 5.0, 0.25, 5.0),
                clouds: clouds(0.15, 14.0),
                edge_loss: lost_edges(),
                ..Finish::seeded(115)
            },
            tilted(-8.0, 8.0),
        ),
    ]);
}

#[test]
fn blots_with_lost_edges_and_strong_tarnish_are_told_apart() {
    find_with_rig(vec![
        case(
            "blots with lost edges",
            Finish {
                edge_loss: lost_edges(),
                ..with_blots(Finish::seeded(121))
            },
            sample_shot(),
        ),
        case(
            "warm tone",
            Finish {
                warmth: 0.8,
                veil: 0.1,
                speckles: specks(2.0, 1.0),
                ..Finish::seeded(122)
            },
            sample_shot().lit(-0.3, NEUTRAL),
        ),
        case(
            "warm tone under a warm lamp",
            Finish {
                warmth: 0.5,
                ridges: ridges(30.0, 7.0, 0.3, 4.0),
                ..Finish::seeded(123)
            },
            sample_shot().lit(-0.3, WARM_LAMP),
        ),
    ]);
}

/// The finish of several parts under this seed, photographed with less care.
fn careless(what: &'static str, seed: u64, shot: Shot) -> Case {
    case(what, several(seed), shot)
}

#[test]
fn careless_photos_of_a_finish_of_several_parts_are_read_as_well() {
    let noise = Shot::default();
    let noisier = || Shot {
        read_noise: 3.0 * noise.read_noise,
        full_well: noise.full_well / 9.0,
        ..sample_shot()
    };
    find_with_rig(vec![
        careless(
            "JPEG quality 75",
            131,
            Shot {
                jpeg_quality: 75,
                ..tilted(8.0, 0.0)
            },
        ),
        careless("three times the noise", 132, noisier()),
        careless(
            "blur of 1.5 px",
            133,
            Shot {
                blur_px: 1.5,
                ..tilted(0.0, 8.0)
            },
        ),
        careless(
            "all three",
            134,
            Shot {
                jpeg_quality: 75,
                blur_px: 1.5,
                ..noisier()
            },
        ),
        case(
            "fine specks, blur of 1.5 px",
            Finish {
                speckles: specks(8.0, 0.7),
                ..Finish::seeded(135)
            },
            Shot {
                blur_px: 1.5,
                ..sample_shot()
            },
        ),
    ]);
}
