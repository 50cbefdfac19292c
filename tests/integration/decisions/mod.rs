//! Decisions held to painted truth: a finish is found like itself, and unlike what was painted otherwise; the odd ones of a set
//! are those that were painted odd.

mod agreeing;
mod effects;
mod find;
mod ladder;
mod looks;
mod matching;
mod promise;
mod sets;
mod trying;
mod walls;

use std::sync::OnceLock;

use paneprint::compare::Side;
use paneprint::fingerprint::Fingerprint;
use paneprint::normalize::Rig;
use paneprint::pipeline::Reading;
use paneprint::synth::{Arrangement, Blots, Clouds, EdgeLoss, Finish, Ridges, Shot, Speckles};
use paneprint::units::SizeMm;

use crate::support::{corner, read_shot, rig};

/// Panels of a set.
const SMALL: SizeMm = SizeMm {
    width: 100.0,
    height: 100.0,
};

/// A sample to sign, and panels as large.
const SIGNED: SizeMm = SizeMm {
    width: 150.0,
    height: 150.0,
};

/// Painted finer than it is photographed.
const PX_PER_MM: f64 = 12.0;

/// The finish that was signed: a little of everything.
fn signed(seed: u64) -> Finish {
    Finish {
        veil: 0.05,
        clouds: Some(Clouds {
            depth: 0.07,
            scale_mm: 10.0,
        }),
        ridges: Some(Ridges {
            angle_deg: 35.0,
            spacing_mm: 7.0,
            depth: 0.14,
            wobble_deg: 3.0,
        }),
        speckles: Some(Speckles {
            per_cm2: 2.6,
            diameter_median_mm: 1.2,
            spread: 0.3,
            arrangement: Arrangement::Random,
            floor: 0.02,
        }),
        ..Finish::seeded(seed)
    }
}

/// One thing painted otherwise.
#[derive(Debug, Clone, Copy)]
enum Otherwise {
    TwiceTheSpecks,
    FewerSpecks,
    BiggerSpecks,
    MoreVeil,
    TurnedStreaks,
    NoStreaks,
    Blots,
    Warm,
    WornEdges,
    Cloudier,
}

impl Otherwise {
    const ALL: [Otherwise; 10] = [
        Otherwise::TwiceTheSpecks,
        Otherwise::FewerSpecks,
        Otherwise::BiggerSpecks,
        Otherwise::MoreVeil,
        Otherwise::TurnedStreaks,
        Otherwise::NoStreaks,
        Otherwise::Blots,
        Otherwise::Warm,
        Otherwise::WornEdges,
        Otherwise::Cloudier,
    ];

    /// What the program must say of it.
    fn said(self) -> &'static str {
        match self {
            Otherwise::TwiceTheSpecks => "more specks",
            Otherwise::FewerSpecks => "fewer specks",
            Otherwise::BiggerSpecks => "larger specks",
            Otherwise::MoreVeil => "more veil",
            Otherwise::TurnedStreaks => "streaks turned",
            Otherwise::NoStreaks => "no streaks where the other has some",
            Otherwise::Blots => "blots where the other has hardly any",
            Otherwise::Warm => "warmer",
            Otherwise::WornEdges => "edges more worn",
            Otherwise::Cloudier => "cloudier",
        }
    }

    fn of(self, finish: Finish) -> Finish {
        let specks = |times: f64, wider: f64| {
            finish.speckles.clone().map(|s| Speckles {
                per_cm2: s.per_cm2 * times,
                diameter_median_mm: s.diameter_median_mm * wider,
                ..s
            })
        };
        match self {
            Otherwise::TwiceTheSpecks => Finish {
                speckles: specks(2.0, 1.0),
                ..finish
            },
            Otherwise::FewerSpecks => Finish {
                speckles: specks(0.4, 1.0),
                ..finish
            },
            Otherwise::BiggerSpecks => Finish {
                speckles: specks(1.0, 1.6),
                ..finish
            },
            Otherwise::MoreVeil => Finish {
                veil: finish.veil + 0.15,
                ..finish
            },
            Otherwise::TurnedStreaks => Finish {
                ridges: finish.ridges.map(|r| Ridges {
                    angle_deg: r.angle_deg + 45.0,
                    ..r
                }),
                ..finish
            },
            Otherwise::NoStreaks => Finish {
                ridges: None,
                ..finish
            },
            Otherwise::Blots => Finish {
                blots: Some(Blots {
                    per_dm2: 6.0,
                    diameter_mm: 12.0,
                    floor: 0.04,
                }),
                ..finish
            },
            Otherwise::Warm => Finish {
                warmth: 0.4,
                ..finish
            },
            Otherwise::WornEdges => Finish {
                edge_loss: Some(EdgeLoss {
                    depth: 0.8,
                    width_mm: 14.0,
                }),
                ..finish
            },
            Otherwise::Cloudier => Finish {
                clouds: finish.clouds.map(|c| Clouds {
                    depth: c.depth + 0.2,
                    ..c
                }),
                ..finish
            },
        }
    }
}

/// A photo in the studio's corner, each with its own exposure, pose and noise.
fn shot(size: SizeMm, number: u32) -> Shot {
    let n = f64::from(number);
    Shot {
        exposure_ev: -0.7 + 0.08 * (n % 12.0),
        tilt_x_deg: (1.7 * n) % 6.0 - 3.0,
        tilt_y_deg: (2.3 * n) % 5.0 - 2.5,
        seed: u64::from(number) + 1,
        ..plain_shot(size)
    }
}

fn plain_shot(size: SizeMm) -> Shot {
    // Eight pixels to the millimetre on the panel.
    if size == SMALL {
        corner(size).sized(1300, 1000)
    } else {
        corner(size).sized(2000, 1500)
    }
}

/// The corner learnt from an unaged mirror of the size. To be asked for before work is spread over threads: one that waits
/// for it takes up other work, which waits for it in turn.
fn learnt(size: SizeMm) -> &'static Rig {
    static SMALL_RIG: OnceLock<Rig> = OnceLock::new();
    static SIGNED_RIG: OnceLock<Rig> = OnceLock::new();
    let learnt = if size == SMALL {
        &SMALL_RIG
    } else {
        &SIGNED_RIG
    };
    learnt.get_or_init(|| rig(size, &plain_shot(size)))
}

/// Reads a photo of a finish in the corner.
fn reading(finish: &Finish, size: SizeMm, number: u32) -> Reading {
    let rig = learnt(size);
    read_shot(
        &finish.paint(size, PX_PER_MM),
        &shot(size, number),
        Some(rig),
    )
}

fn side<'a>(name: &'a str, fingerprint: &'a Fingerprint) -> Side<'a> {
    Side { name, fingerprint }
}

#[expect(
    clippy::print_stdout,
    reason = "the figures of the README are read off here"
)]
fn tell(what: &str) {
    println!("{what}");
}
