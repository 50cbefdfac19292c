//! Phones that do not write sRGB: a card of greys in the rig's plain frame brings the reading back to the truth.

use std::path::Path;

use paneprint::frame::photo::Photo;
use paneprint::frame::placement::{CardStep, Placement};
use paneprint::intake;
use paneprint::normalize::{Card, Response as Taught, Rig, teach};
use paneprint::quality::Flag;
use paneprint::settings::Settings;
use paneprint::synth::{
    Arrangement, Clouds, Finish, Painted, Response, Ridges, Shot, Speckles, photograph,
};

use crate::support::{SAMPLE, SAMPLE_PX_PER_MM, read, read_shot, sample_shot};

/// Steps as cards have them.
const STEPS: [f64; 7] = [0.03, 0.06, 0.09, 0.18, 0.36, 0.6, 0.9];

/// Coverage may be off by this with the card.
const TAUGHT: f64 = 0.015;

/// And where the phone writes sRGB the card may move it by this.
const NEEDLESS: f64 = 0.005;

fn shot(response: Response) -> Shot {
    Shot {
        response,
        ..sample_shot()
    }
}

/// The plain mirror with the card at its left.
fn plain(response: Response, exposure_ev: f64) -> (Photo, Placement, Vec<CardStep>) {
    let shot = Shot {
        exposure_ev,
        ..shot(response).with_card(&STEPS, [-98.0, -63.0], [0.0, 21.0], 19.0)
    };
    let photo = photograph(&Finish::seeded(1).paint(SAMPLE, 4.0), &shot);
    let jpeg = photo.jpeg().unwrap();
    let decoded =
        intake::from_bytes(jpeg, Path::new("plain.jpg"), &intake::Limits::default()).unwrap();
    let mut placement = photo.placement;
    let steps = placement
        .patches
        .extract_if(.., |p| p.reflectance.is_some())
        .map(|p| CardStep {
            reflectance: p.reflectance.unwrap(),
            corners: p.corners,
        })
        .collect();
    (decoded, placement, steps)
}

/// The rig untaught, taught by the card in its plain frame, and by a brighter photo of the card as well.
fn rigs(response: Response) -> [Rig; 3] {
    let (photo, placement, steps) = plain(response, 0.0);
    let (brighter, _, there) = plain(response, 0.5);
    let beside = Card { photo: None, steps };
    let alone = Card {
        photo: Some(brighter),
        steps: there,
    };
    let path = Path::new("plain.jpg");
    let settings = Settings::default().normalize;
    let made = |cards: &[Card]| {
        let mut photo = photo.clone();
        let response = if cards.is_empty() {
            Taught::default()
        } else {
            teach(path, &photo, &placement, cards, &settings).unwrap()
        };
        response.apply(&mut photo.linear);
        let rig = Rig::from_plain("corner", path, &photo, &placement, &settings).unwrap();
        Rig { response, ..rig }
    };
    [
        made(&[]),
        made(std::slice::from_ref(&beside)),
        made(&[beside.clone(), alone]),
    ]
}

fn specks(per_cm2: f64) -> Option<Speckles> {
    Some(Speckles {
        per_cm2,
        diameter_median_mm: 1.1,
        spread: 0.35,
        arrangement: Arrangement::Random,
        floor: 0.0,
    })
}

fn finishes() -> [(&'static str, Painted); 4] {
    let paint = |finish: Finish| finish.paint(SAMPLE, SAMPLE_PX_PER_MM);
    [
        (
            "clear",
            paint(Finish {
                speckles: specks(3.0),
                ..Finish::seeded(11)
            }),
        ),
        (
            "veiled by a fifth",
            paint(Finish {
                veil: 0.2,
                speckles: specks(2.0),
                ..Finish::seeded(12)
            }),
        ),
        (
            "half-tones",
            paint(Finish {
                veil: 0.35,
                clouds: Some(Clouds {
                    depth: 0.2,
                    scale_mm: 12.0,
                }),
                ..Finish::seeded(13)
            }),
        ),
        (
            "heavy",
            paint(Finish {
                veil: 0.2,
                clouds: Some(Clouds {
                    depth: 0.3,
                    scale_mm: 15.0,
                }),
                ridges: Some(Ridges {
                    angle_deg: 40.0,
                    spacing_mm: 8.0,
                    depth: 0.5,
                    wobble_deg: 5.0,
                }),
                speckles: specks(6.0),
                ..Finish::seeded(14)
            }),
        ),
    ]
}

#[test]
#[expect(
    clippy::print_stdout,
    reason = "the figures of the README are read off here"
)]
fn a_card_of_greys_brings_coverage_back_whatever_the_phone_makes_of_tones() {
    let finishes = finishes();
    let mut worst: Vec<String> = Vec::new();
    for response in [
        Response::Srgb,
        Response::Contrasty,
        Response::Flat,
        Response::Shoulder,
    ] {
        let rigs = rigs(response);
        for (what, painted) in &finishes {
            let shot = Shot {
                tilt_x_deg: 4.0,
                exposure_ev: -0.15,
                ..shot(response)
            };
            let taken = photograph(painted, &shot);
            let jpeg = taken.jpeg().unwrap();
            // Coverage leans on no floor of the specks.
            let truth = painted.truth(1.0).coverage;
            let off = rigs.each_ref().map(|rig| {
                let reading = read(jpeg.clone(), &taken.placement, Some(rig));
                reading.measured.numbers.coverage.unwrap().value - truth
            });
            let [without, card, brighter] = off;
            let line = format!(
                "{response:?}, {what}: off by {without:+.4} without the card, {card:+.4} with it, {brighter:+.4} with a brighter photo of it"
            );
            println!("{line}");
            let holds = if response.is_srgb() {
                off.iter().all(|o| (o - without).abs() <= NEEDLESS)
            } else {
                card.abs() <= TAUGHT && brighter.abs() <= TAUGHT
            };
            if !holds {
                worst.push(line);
            }
        }
    }
    assert!(worst.is_empty(), "{worst:#?}");
}

#[test]
fn two_greys_tell_of_bent_tones_and_only_of_those() {
    let painted = Finish::seeded(15).paint(SAMPLE, 8.0);
    let flags = |response| {
        let shot = shot(response).with_card(&[0.05], [98.0, 40.0], [0.0, 0.0], 19.0);
        let reading = read_shot(&painted, &shot, None);
        reading.fingerprint.provenance.flags.has(Flag::ResponseOff)
    };
    assert!(!flags(Response::Srgb));
    assert!(flags(Response::Contrasty) && flags(Response::Flat) && flags(Response::Shoulder));
}
