//! The forms, the places and the colour of a finish against what was painted.

use paneprint::fingerprint::Fingerprint;
use paneprint::synth::{
    Arrangement, Blots, Finish, Lopsided, MarkKind, Marks, Patina, PatinaPlace, SpeckShape,
    Speckles, Truth,
};
use paneprint::units::{Measure, axial_difference, circular_difference};
use rayon::prelude::*;

use crate::support::{SAMPLE, SAMPLE_PX_PER_MM, read_shot, sample_rig, sample_shot};

fn specks(seed: u64) -> Finish {
    Finish {
        veil: 0.06,
        speckles: Some(Speckles {
            per_cm2: 2.2,
            diameter_median_mm: 1.6,
            spread: 0.25,
            arrangement: Arrangement::Random,
            floor: 0.03,
        }),
        ..Finish::seeded(seed)
    }
}

fn shaped(seed: u64, speck_shape: SpeckShape) -> Finish {
    Finish {
        speck_shape,
        ..specks(seed)
    }
}

fn marked(seed: u64, kind: MarkKind) -> Finish {
    Finish {
        marks: Some(Marks {
            kind,
            per_dm2: 18.0,
            length_mm: 24.0,
            width_mm: 0.8,
            floor: 0.05,
        }),
        ..specks(seed)
    }
}

fn coloured(seed: u64, hue_deg: f64, place: PatinaPlace) -> Finish {
    Finish {
        patina: Some(Patina {
            hue_deg,
            chroma: 24.0,
            place,
        }),
        ..specks(seed)
    }
}

fn panels() -> Vec<(&'static str, Finish)> {
    let round = SpeckShape::default();
    let long = |elongation, angle_deg| SpeckShape {
        elongation,
        angle_deg,
        angle_spread_deg: 8.0,
        ..round
    };
    let soft = |softness_mm| SpeckShape {
        softness_mm,
        ..round
    };
    let patches = |share, scale_mm| PatinaPlace::Patches { share, scale_mm };
    vec![
        ("round", specks(1)),
        ("twice as long", shaped(2, long(2.0, Some(30.0)))),
        ("three times, each its own way", shaped(3, long(3.0, None))),
        ("soft by 0.5 mm", shaped(4, soft(0.5))),
        ("soft by 1 mm", shaped(5, soft(1.0))),
        (
            "rings",
            shaped(
                6,
                SpeckShape {
                    hollow: 0.5,
                    ..round
                },
            ),
        ),
        (
            "scratches",
            marked(
                7,
                MarkKind::Scratches {
                    angle_deg: 60.0,
                    spread_deg: 20.0,
                },
            ),
        ),
        ("cracks", marked(8, MarkKind::Cracks)),
        ("drips", marked(9, MarkKind::Drips)),
        (
            "to one side",
            Finish {
                lopsided: Some(Lopsided {
                    towards_deg: 200.0,
                    depth: 0.4,
                }),
                ..specks(10)
            },
        ),
        (
            "blots",
            Finish {
                blots: Some(Blots {
                    per_dm2: 5.0,
                    diameter_mm: 10.0,
                    floor: 0.05,
                }),
                ..specks(11)
            },
        ),
        ("gold patches", coloured(12, 85.0, patches(0.3, 8.0))),
        ("copper patches", coloured(13, 48.0, patches(0.5, 5.0))),
        ("blue patches", coloured(14, 270.0, patches(0.25, 10.0))),
        (
            "brown haloes",
            coloured(15, 70.0, PatinaPlace::Haloes { width_mm: 1.5 }),
        ),
    ]
}

/// How far a figure lies off what was painted; without bound where only one of the two is there.
fn off(got: Measure, wanted: Option<f64>, by: fn(f64, f64) -> f64) -> f64 {
    match (got, wanted) {
        (Ok(got), Some(wanted)) => by(got.value, wanted).abs(),
        (Err(_), None) => 0.0,
        _ => f64::INFINITY,
    }
}

fn less(a: f64, b: f64) -> f64 {
    a - b
}

fn share(a: f64, b: f64) -> f64 {
    a / b - 1.0
}

#[test]
fn forms_places_and_colours_are_found_as_they_were_painted() {
    let rig = sample_rig();
    let read: Vec<(&str, Fingerprint, Truth)> = panels()
        .into_par_iter()
        .enumerate()
        .map(|(i, (what, finish))| {
            let painted = finish.paint(SAMPLE, SAMPLE_PX_PER_MM);
            let shot = paneprint::synth::Shot {
                seed: i as u64,
                exposure_ev: -0.3,
                ..sample_shot()
            };
            let fingerprint = read_shot(&painted, &shot, Some(rig)).fingerprint;
            let truth = painted.truth(fingerprint.measurements.speckle_floor_mm);
            (what, fingerprint, truth)
        })
        .collect();
    let mut wrong = Vec::new();
    for (what, fingerprint, truth) in &read {
        let m = &fingerprint.measurements;
        let rows = [
            (
                "elongation",
                off(m.speckle_elongation, truth.speckle_elongation, share),
                0.10,
            ),
            (
                "softness",
                off(m.speckle_softness, truth.speckle_softness, less),
                0.1,
            ),
            (
                "rings",
                off(m.ring_fraction, truth.ring_fraction, less),
                0.1,
            ),
            (
                "lines",
                off(m.line_fraction, Some(truth.line_fraction), less),
                0.005,
            ),
            (
                "unevenness",
                off(m.unevenness, Some(truth.unevenness), less),
                0.02,
            ),
            (
                "patina",
                off(m.patina_fraction, Some(truth.patina_fraction), less),
                0.03,
            ),
            (
                "hue",
                off(m.patina_hue, truth.patina_hue, circular_difference),
                8.0,
            ),
            ("halo", off(m.halo, truth.halo, less), 1.0),
        ];
        let said: Vec<String> = rows
            .iter()
            .map(|(key, off, _)| format!("{key} {off:.3}"))
            .collect();
        super::say(&format!("{what}: {}", said.join(", ")));
        let too_far = rows.iter().filter(|(_, off, bound)| off > bound);
        wrong.extend(
            too_far.map(|(key, off, bound)| format!("{what}: {key} {off:.3} over {bound}")),
        );
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    // Where the long ones point.
    let axis = read[1].1.measurements.speckle_axis.unwrap().value;
    assert!(axial_difference(axis, 30.0).abs() < 5.0, "{axis}");
}
