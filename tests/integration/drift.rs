//! Lamps that moved, white balance that wandered, and bare glass beside the panel.

use std::path::Path;

use paneprint::frame::photo::Capture;
use paneprint::frame::placement::PatchKind;
use paneprint::intake;
use paneprint::normalize::Rig;
use paneprint::pipeline::{self, Reading};
use paneprint::quality::Flag;
use paneprint::settings::Settings;
use paneprint::synth::{Arrangement, Finish, Painted, Shot, Speckles, photograph};

use crate::support::{SAMPLE, SAMPLE_PX_PER_MM, given, rig, sample_shot};

/// Places of up to four patches, in the order in which they are laid.
const PLACES: [[f64; 2]; 4] = [[1.0, 0.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, 1.0]];

fn with_mirrors(shot: Shot, count: usize) -> Shot {
    let shot = Shot {
        patches: Vec::new(),
        ..shot
    };
    PLACES[..count].iter().fold(shot, |shot, towards| {
        shot.with_patch(PatchKind::Mirror, SAMPLE, *towards)
    })
}

fn aged() -> Painted {
    let finish = Finish {
        veil: 0.15,
        speckles: Some(Speckles {
            per_cm2: 4.0,
            diameter_median_mm: 1.1,
            spread: 0.35,
            arrangement: Arrangement::Random,
            floor: 0.0,
        }),
        ..Finish::seeded(31)
    };
    finish.paint(SAMPLE, SAMPLE_PX_PER_MM)
}

/// A reading of a shot as if the camera had noted something else.
fn read_as(painted: &Painted, shot: &Shot, rig: Option<&Rig>, note: fn(&mut Capture)) -> Reading {
    let photo = photograph(painted, shot);
    let path = Path::new("panel.jpg");
    let mut decoded =
        intake::from_bytes(photo.jpeg().unwrap(), path, &intake::Limits::default()).unwrap();
    note(&mut decoded.capture);
    let given = given(&photo.placement);
    pipeline::reading(decoded, path, given, rig, &Settings::default()).unwrap()
}

/// The camera chose another exposure.
fn other_exposure(capture: &mut Capture) {
    capture.exposure_s = Some(0.01);
}

fn coverage_off(painted: &Painted, reading: &Reading) -> f64 {
    let got = &reading.measured.numbers;
    got.coverage.unwrap().value - painted.truth(got.speckle_floor_mm).coverage
}

#[test]
#[expect(
    clippy::print_stdout,
    reason = "the figures of the README are read off here"
)]
fn several_patches_follow_lamps_that_moved_since_the_rig_was_made() {
    let painted = aged();
    let rig = rig(SAMPLE, &with_mirrors(sample_shot(), 4));
    for (slope, towards) in [(0.35, 150.0), (0.3, 250.0)] {
        let off = [1, 2, 3, 4].map(|count| {
            let shot = Shot {
                slope,
                slope_direction_deg: towards,
                ..with_mirrors(sample_shot(), count)
            };
            let reading = read_as(&painted, &shot, Some(&rig), other_exposure);
            let drifts = reading.fingerprint.provenance.flags.has(Flag::LightDrift);
            assert_eq!(drifts, count > 1, "{count} patches");
            coverage_off(&painted, &reading)
        });
        println!("light from {towards}: coverage off by {off:+.4?} with 1, 2, 3, 4 patches");
        assert!(off[0].abs() > 0.01, "one patch should be off: {}", off[0]);
        assert!(off[2].abs() < 0.01 && off[3].abs() < 0.01, "{off:?}");
    }
}

#[test]
fn a_change_of_exposure_is_no_drift_and_one_unnoted_is() {
    let painted = aged();
    let rig = rig(SAMPLE, &sample_shot());
    let flags = |ev, lamp, note: fn(&mut Capture)| {
        let shot = Shot {
            exposure_ev: ev,
            white_balance: lamp,
            ..sample_shot()
        };
        let reading = read_as(&painted, &shot, Some(&rig), note);
        let flags = reading.fingerprint.provenance.flags;
        [
            flags.has(Flag::LightDrift),
            flags.has(Flag::WhiteBalanceWanders),
        ]
    };
    let neutral = [1.0; 3];
    assert_eq!(flags(0.0, neutral, |_| ()), [false; 2]);
    assert_eq!(flags(-0.4, neutral, other_exposure), [false; 2]);
    assert_eq!(
        flags(-0.4, neutral, |c| *c = Capture {
            exposure_s: Some(1.0 / 60.0),
            f_number: Some(2.8),
            iso: Some(100),
            ..c.clone()
        }),
        [true, false]
    );
    let warm = [1.12, 1.0, 0.85];
    assert_eq!(flags(0.0, warm, other_exposure), [true, false]);
    assert_eq!(
        flags(0.0, warm, |c| c.white_balance_auto = Some(true)),
        [false, true]
    );
}

#[test]
#[expect(
    clippy::print_stdout,
    reason = "the figures of the README are read off here"
)]
fn a_bare_patch_tells_what_bare_glass_shows() {
    let painted = aged();
    let rig = rig(SAMPLE, &sample_shot());
    let shot = |patches: bool| {
        let shot = Shot {
            bare_ratio: 0.10,
            ..sample_shot()
        };
        if patches {
            shot.with_patch(PatchKind::Bare, SAMPLE, [-1.0, 0.5])
        } else {
            shot
        }
    };
    let off = |shot: &Shot, rig: &Rig| {
        let reading = read_as(&painted, shot, Some(rig), |_| ());
        let got = &reading.measured.numbers;
        let truth = painted.truth(got.speckle_floor_mm);
        [
            got.coverage.unwrap().value - truth.coverage,
            got.dark_fraction.unwrap().value - truth.dark_fraction,
            (got.aggressiveness.unwrap().value - truth.aggressiveness) / 100.0,
        ]
    };
    let (with, without) = (off(&shot(true), &rig), off(&shot(false), &rig));
    println!(
        "coverage, dark, aggressiveness/100 off by {with:+.4?} with a bare patch, {without:+.4?} without"
    );
    assert!(with.iter().all(|o| o.abs() <= 0.003), "{with:?}");
    assert!(without[2].abs() > 0.006, "{without:?}");
    // A rig made with one keeps what it showed.
    let taught = crate::support::rig(SAMPLE, &shot(true));
    assert!((taught.bare_ratio - 0.10).abs() < 0.002);
    assert!(off(&shot(false), &taught).iter().all(|o| o.abs() <= 0.003));
}

#[test]
fn a_bare_patch_with_silver_on_it_is_refused_in_words() {
    let photo = photograph(
        &Finish::seeded(1).paint(SAMPLE, 4.0),
        &sample_shot().with_patch(PatchKind::Mirror, SAMPLE, [-1.0, 0.5]),
    );
    let path = Path::new("panel.jpg");
    let decoded =
        intake::from_bytes(photo.jpeg().unwrap(), path, &intake::Limits::default()).unwrap();
    let mut given = given(&photo.placement);
    given.patches[1].kind = PatchKind::Bare;
    let refused = pipeline::reading(
        decoded,
        path,
        given,
        Some(crate::support::sample_rig()),
        &Settings::default(),
    );
    let said = refused.err().unwrap().to_string();
    assert!(said.starts_with("the bare patch shows"), "{said}");
}
