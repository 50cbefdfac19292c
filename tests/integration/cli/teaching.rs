//! `rig make --steps`: a card of greys beside the plain mirror teaches the rig the phone's tones.

use paneprint::synth::{Finish, Response, Shot, photograph};

use crate::bench::{Bench, SIZE};

const STEPS: [f64; 7] = [0.03, 0.06, 0.09, 0.18, 0.36, 0.6, 0.9];

fn bent() -> Shot {
    Shot {
        response: Response::Contrasty,
        ..Shot::bench(SIZE).sized(1200, 960)
    }
}

/// A bench with the plain mirror and the card at its left in a phone that bends tones, and the words for its steps.
fn bench() -> (Bench, String) {
    let bench = Bench::new();
    let shot = bent().with_card(&STEPS, [-65.0, -42.0], [0.0, 14.0], 12.0);
    let photo = photograph(&Finish::seeded(1).paint(SIZE, 4.0), &shot);
    bench.file("plain.jpg", photo.jpeg().unwrap());
    let words = photo.placement.patches.iter().filter_map(|p| {
        let [[x, y], _, [right, bottom], _] = p.corners.0;
        let reflectance = p.reflectance?;
        Some(format!(
            "{reflectance}:{x},{y},{},{}",
            right - x,
            bottom - y
        ))
    });
    let words: Vec<String> = words.collect();
    (bench, words.join(" "))
}

#[test]
fn a_rig_taught_by_a_card_reads_a_veil_as_what_it_is() {
    let (bench, steps) = bench();
    let veiled = Finish {
        veil: 0.3,
        ..Finish::seeded(2)
    };
    let photo = photograph(&veiled.paint(SIZE, 4.0), &bent());
    bench.file("veiled.jpg", photo.jpeg().unwrap());
    let size = ["--size", "100x100mm"];
    let make = |args: &[&str]| bench.run(&[&["rig", "make"], args, &size].concat());
    make(&["taught", "--plain", "plain.jpg", "--steps", &steps])
        .exits(0)
        .says("It knows the phone's tones");
    let reading = bench
        .run(
            &[
                &["measure", "veiled.jpg", "--rig", "taught", "--json"][..],
                &size,
            ]
            .concat(),
        )
        .exits(0)
        .json();
    let coverage = reading["measures"]["coverage"]["value"].as_f64().unwrap();
    assert!((coverage - 0.7).abs() < 0.015, "{coverage}");
    assert_eq!(reading["steps"][0]["step"], "response");
    // The steps are no reference patches.
    let rig = make(&["again", "--plain", "plain.jpg", "--steps", &steps, "--json"])
        .exits(0)
        .json();
    assert_eq!(
        rig["patches"].as_array().unwrap().len(),
        1,
        "{}",
        rig["patches"]
    );
}

#[test]
fn a_card_that_cannot_teach_is_refused_in_words() {
    let (bench, steps) = bench();
    let falling: Vec<&str> = steps.split(' ').rev().collect();
    for (steps, said) in [
        (
            "0.03:40,100,60,60 0.18:40,300,60,60",
            "it has 2 steps; expected at least 4",
        ),
        (&falling.join(" "), "is not above the one before"),
    ] {
        bench
            .run(&[
                "rig",
                "make",
                "bad",
                "--plain",
                "plain.jpg",
                "--size",
                "100x100mm",
                "--steps",
                steps,
            ])
            .exits(2)
            .refuses_in_two_lines()
            .complains(said);
    }
    bench
        .run(&[
            "rig",
            "make",
            "bad",
            "--plain",
            "plain.jpg",
            "--steps",
            "grey",
        ])
        .exits(2)
        .complains("is not a step of a card");
}
