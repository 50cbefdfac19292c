//! A lens that bends is taken out by the panel's own sides, and nothing is taken out where none does.

use std::path::Path;

use paneprint::intake;
use paneprint::normalize::Rig;
use paneprint::pipeline::{self, Reading};
use paneprint::placement::{Given, place_straight};
use paneprint::quality::Flag;
use paneprint::settings::Settings;
use paneprint::synth::{EdgeLoss, Fault, Finish, Photographed, Shot, photograph};

use crate::support::{SAMPLE, SAMPLE_PX_PER_MM, aged, sample_shot};

fn through(barrel: f64) -> Shot {
    Shot {
        offset: [0.06, -0.04],
        turn_deg: 2.0,
        fault: Fault {
            barrel,
            ..Fault::default()
        },
        ..sample_shot().sized(1600, 1200)
    }
}

fn open(taken: &Photographed) -> paneprint::frame::photo::Photo {
    let path = Path::new("panel.jpg");
    intake::from_bytes(taken.jpeg().unwrap(), path, &intake::Limits::default()).unwrap()
}

fn sized() -> Given {
    Given {
        size: Some(SAMPLE),
        ..Given::default()
    }
}

fn rig_through(shot: &Shot) -> Rig {
    let taken = photograph(&Finish::seeded(1).paint(SAMPLE, 4.0), shot);
    let path = Path::new("plain.jpg");
    let placed = place_straight(open(&taken), path, sized()).unwrap();
    let settings = Settings::default().normalize;
    Rig::from_plain("corner", path, &placed.photo, &placed.placement, &settings).unwrap()
}

fn found(taken: &Photographed, rig: &Rig) -> Reading {
    let (photo, settings) = (open(taken), Settings::default());
    pipeline::reading(photo, Path::new("panel.jpg"), sized(), Some(rig), &settings).unwrap()
}

/// The distortion that was taken out.
fn taken_out(reading: &Reading) -> Option<f64> {
    let steps = &reading.fingerprint.provenance.steps;
    let lens = steps.iter().find(|step| step.step == "lens")?;
    lens.with["k1"].as_f64()
}

fn finishes() -> [(&'static str, Finish); 3] {
    let aged = aged(11);
    let worn = EdgeLoss {
        depth: 0.6,
        width_mm: 4.0,
    };
    [
        ("plain", Finish::seeded(2)),
        (
            "worn",
            Finish {
                edge_loss: Some(worn),
                ..aged.clone()
            },
        ),
        ("aged", aged),
    ]
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures are read off here")]
fn what_a_lens_bends_is_taken_out() {
    let mut wrong = Vec::new();
    for barrel in [-0.09, -0.04, -0.015, 0.0, 0.015, 0.04, 0.09] {
        let shot = through(barrel);
        let rig = rig_through(&shot);
        for (name, finish) in finishes() {
            let painted = finish.paint(SAMPLE, SAMPLE_PX_PER_MM);
            let taken = photograph(&painted, &shot);
            let reading = found(&taken, &rig);
            let placement = &reading.fingerprint.provenance.placement;
            let corners = placement.corners.0.iter().zip(taken.placement.corners.0);
            let worst = corners
                .map(|(a, b)| (a[0] - b[0]).hypot(a[1] - b[1]))
                .fold(0.0, f64::max);
            let got = &reading.fingerprint.measurements;
            let truth = painted.truth(got.speckle_floor_mm);
            let off = got.coverage.unwrap().value - truth.coverage;
            let k1 = taken_out(&reading);
            let flags = &reading.fingerprint.provenance.flags;
            let marked = flags.has(Flag::BowedEdges) || flags.has(Flag::PlaceUnsure);
            println!(
                "{barrel:6} {name:6} corners {worst:.2} px, coverage {off:+.4}, k1 {k1:?} {marked}"
            );
            // What a straight lens shows at r is painted where r' (1 + barrel r'^2) = r, so k1 is -barrel to first order.
            let told = match k1 {
                None => barrel.abs() < 0.01,
                Some(k1) => {
                    barrel.abs() > 0.01 && (k1 + barrel).abs() < 0.25 * barrel.abs() + 0.002
                }
            };
            if worst > 3.0 || off.abs() > 0.006 || marked || !told {
                wrong.push((barrel, name));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:?}");
}
