//! The panel is found where nobody says where it lies; what was found is told, written down on request, and gone by.

use paneprint::frame::quad::Quad;
use paneprint::synth::{Finish, Shot, photograph};

use crate::bench::{Bench, SAMPLE, SIZE};

const FOUND: [&str; 4] = ["measure", "panel.jpg", "--size", "100x100mm"];

#[test]
fn a_size_is_enough_to_find_the_panel_and_the_card() {
    let bench = Bench::new();
    bench.bare_photo("panel.jpg", &SAMPLE);
    let ran = bench.run(&[&FOUND[..], &["--json"]].concat()).exits(0);
    let placement = &ran.json()["placement"];
    assert_eq!(placement["found"]["by"], "edges");
    assert!(placement["found"]["confidence"].as_f64().unwrap() > 0.8);
    let corners: Quad = serde_json::from_value(placement["corners"].clone()).unwrap();
    let truth: Quad = SAMPLE.corners().parse().unwrap();
    for (found, true_one) in corners.0.iter().zip(truth.0) {
        let off = (found[0] - true_one[0]).hypot(found[1] - true_one[1]);
        assert!(off < 1.0, "{found:?} {true_one:?}");
    }
    assert_eq!(placement["patches"].as_array().unwrap().len(), 1);
    assert_eq!(placement["patches"][0]["kind"], "grey");
}

#[test]
fn a_placement_file_with_a_size_alone_is_enough_and_a_patch_that_is_given_wins() {
    let bench = Bench::new();
    bench.bare_photo("panel.jpg", &SAMPLE);
    bench.file("panel.jpg.place.json", r#"{"size": "100x100mm"}"#);
    let given = SAMPLE.patch().replace("grey:", "mirror:");
    let ran = bench
        .run(&[
            "measure",
            "panel.jpg",
            "--json",
            "--anyway",
            "--patch",
            &given,
        ])
        .exits(0);
    let placement = &ran.json()["placement"];
    assert_eq!(placement["found"]["by"], "edges");
    assert_eq!(placement["patches"].as_array().unwrap().len(), 1);
    assert_eq!(placement["patches"][0]["kind"], "mirror");
}

#[test]
fn what_was_found_is_written_beside_the_photo_once_and_gone_by() {
    let bench = Bench::new();
    bench.bare_photo("panel.jpg", &SAMPLE);
    let found = bench
        .run(&[&FOUND[..], &["--json", "--write-place"]].concat())
        .exits(0)
        .json();
    let written = bench.bytes("panel.jpg.place.json");
    let again = bench
        .run(&["measure", "panel.jpg", "--json"])
        .exits(0)
        .json();
    assert_eq!(again["placement"]["corners"], found["placement"]["corners"]);
    assert!(again["placement"]["found"].is_null());
    assert_eq!(again["measures"], found["measures"]);
    bench
        .run(&["measure", "panel.jpg", "--write-place"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("already there");
    assert_eq!(bench.bytes("panel.jpg.place.json"), written);
}

#[test]
fn a_picture_without_a_panel_is_not_usable() {
    let bench = Bench::new();
    let empty = Shot {
        without_panel: true,
        ..Shot::default().sized(800, 600)
    };
    let photo = photograph(&Finish::default().paint(SIZE, 4.0), &empty);
    bench.file("panel.jpg", photo.jpeg().unwrap());
    bench
        .run(&FOUND)
        .exits(3)
        .refuses_in_two_lines()
        .complains("no panel is seen in this photo");
}
