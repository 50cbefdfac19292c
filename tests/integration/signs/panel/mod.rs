//! The signs in the panel: each painted fault raises its flag, near misses do not, and no finish is ever called a fault.
//!
//! The mirror beside the panel is the reference; the placement is given. Each test prints the strength of every sign, of
//! which 1 raises the flag.

mod drawn;
mod faults;
mod finishes;

use std::path::Path;

use paneprint::judge::{Sign, Spot, signs_of_panel};
use paneprint::normalize::Rig;
use paneprint::quality::Flag;
use paneprint::settings::Settings;
use paneprint::synth::{
    Arrangement, Blots, Clouds, EdgeLoss, Finish, Painted, Ridges, Shot, Speckles, photograph,
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

/// The strength of every sign in a photo of it, four mirrors beside it.
fn signs(case: &Case) -> [Sign; 5] {
    let shot = case.shot.clone().with_mirror_patches(case.size, 4);
    let px_per_mm = if case.size.width > 300.0 { 4.0 } else { 10.0 };
    signs_in(&case.finish.paint(case.size, px_per_mm), &shot, None)
}

/// The strength of every sign in a photo of a painted panel.
fn signs_in(painted: &Painted, shot: &Shot, rig: Option<&Rig>) -> [Sign; 5] {
    let taken = photograph(painted, shot);
    let path = Path::new("panel.jpg");
    let limits = intake::Limits::default();
    let photo = intake::from_bytes(taken.jpeg().unwrap(), path, &limits).unwrap();
    let settings = Settings::default();
    let panel =
        normalize::normalize(&photo, &taken.placement, rig.into(), &settings.normalize).unwrap();
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
