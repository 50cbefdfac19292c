//! The study of a rig: told in words, kept with the rig, known to every reading after it.

use serde_json::Value;

use crate::bench::{
    AGAIN, BEHIND, BRIGHT, Bench, DARKER, DARKER_AGAIN, PLAIN, PLAIN_AGAIN, SAMPLE,
};

const STUDY: [&str; 7] = [
    "rig", "study", "corner", "--panel", "a.jpg", "b.jpg", "c.jpg",
];

/// With the rig and three photos of the sample, as it was put back each time.
fn bench() -> Bench {
    let bench = Bench::with_rig();
    for (name, painted) in ["a.jpg", "b.jpg", "c.jpg"].iter().zip(&AGAIN) {
        bench.photo(name, painted);
    }
    bench
}

fn measured(bench: &Bench) -> Value {
    bench
        .run(&["measure", "a.jpg", "--rig", "corner", "--json"])
        .exits(0)
        .json()
}

fn width(reading: &Value, key: &str) -> f64 {
    let end = |name: &str| reading["measures"][key][name].as_f64().unwrap();
    end("high") - end("low")
}

#[test]
fn a_study_is_said_in_words_first_and_every_reading_knows_it() {
    let bench = bench();
    let before = measured(&bench);
    assert_eq!(before["repeatability"], Value::Null);
    let said = bench.run(&STUDY).exits(0).quietly();
    let first = said.out.lines().next().unwrap();
    assert_eq!(
        first,
        "Rig `corner` studied on 3 photos of 1 panel in one session."
    );
    said.says("95 times in 100")
        .says("take 6 more of the same panels")
        .says("Kept in archive.sqlite");
    let after = measured(&bench);
    assert_eq!(after["repeatability"]["coverage"]["dof"], 2);
    for key in ["coverage", "aggressiveness", "speckle_density"] {
        let value = |reading: &Value| reading["measures"][key]["value"].clone();
        assert_eq!(value(&before), value(&after));
        assert!(width(&after, key) > width(&before, key), "{key}");
    }
    bench
        .run(&["measure", "a.jpg", "--rig", "corner"])
        .says("The intervals include what the rig does not repeat.");
    // Without the rig the study says nothing.
    let bare = bench.run(&["measure", "a.jpg", "--json"]).exits(0).json();
    assert_eq!(bare["repeatability"], Value::Null);
}

#[test]
fn a_study_of_several_panels_tells_the_rigs_scatter_from_theirs() {
    let bench = bench();
    bench.photo("d.jpg", &DARKER);
    bench.photo("e.jpg", &DARKER_AGAIN);
    let found = bench
        .run(&[&STUDY[..], &["--panel", "d.jpg", "e.jpg", "--json"]].concat())
        .exits(0)
        .json();
    assert_eq!((&found["panels"], &found["photos"]), (&2.into(), &5.into()));
    let coverage = &found["measures"]["coverage"];
    assert_eq!(coverage["dof"], 3);
    let sd = |key: &str| coverage[key].as_f64().unwrap();
    // The panels differ by some 0.08 of silver, the photos of each by a thousandth or two.
    assert!(sd("between_sd") > 10.0 * sd("sd"), "{coverage}");
    assert!((sd("limit") - 2.8 * sd("sd")).abs() < 1e-5);
}

#[test]
fn a_measure_that_a_photo_does_not_show_is_left_out_with_the_reason() {
    let bench = bench();
    bench.photo("plain-1.jpg", &PLAIN);
    bench.photo("plain-2.jpg", &PLAIN_AGAIN);
    let ask = [&STUDY[..], &["--panel", "plain-1.jpg", "plain-2.jpg"]].concat();
    bench.run(&ask).exits(0).says("left out: too few speckles");
    let found = bench.run(&[&ask[..], &["--json"]].concat()).json();
    let size = &found["measures"]["speckle_diameter_median"];
    assert_eq!(size["sd"], Value::Null);
    let why = size["why"].as_str().unwrap();
    assert!(why.starts_with("too few speckles"), "{why}");
    // No panel has blots: that they repeat is not known.
    let why = found["measures"]["blot_fraction"]["why"].as_str().unwrap();
    assert!(why.starts_with("there is nothing of it"), "{why}");
    let known = measured(&bench)["repeatability"].clone();
    assert!(known["coverage"].is_object() && known["speckle_diameter_median"].is_null());
}

#[test]
fn a_rig_made_again_loses_its_study_and_says_so() {
    let bench = bench();
    let make = ["rig", "make", "corner", "--plain", "plain.jpg", "--replace"];
    bench.run(&make).exits(0).does_not_say("study");
    bench.run(&STUDY).exits(0);
    bench
        .run(&make)
        .exits(0)
        .says("Its study was of the old corner and is dropped");
    assert_eq!(measured(&bench)["repeatability"], Value::Null);
    let again = bench.run(&[&make[..], &["--json"]].concat()).json();
    assert_eq!(again["study_dropped"], false);
}

#[test]
fn a_kept_finish_keeps_the_study_it_was_read_with() {
    let bench = bench();
    bench.run(&STUDY).exits(0);
    bench.keep("signed", &SAMPLE);
    bench
        .run(&["rig", "make", "corner", "--plain", "plain.jpg", "--replace"])
        .exits(0);
    let shown = bench.run(&["show", "signed", "--json"]).exits(0).json();
    assert_eq!(shown["repeatability"]["coverage"]["dof"], 2);
}

#[test]
fn what_cannot_be_studied_is_refused_in_words() {
    let bench = bench();
    bench.photo("bright.jpg", &BRIGHT);
    bench.photo("behind.jpg", &BEHIND);
    bench.file("twin.jpg", bench.bytes("a.jpg"));
    bench.file("twin.jpg.place.json", bench.bytes("a.jpg.place.json"));
    for (rig, photos, code, said) in [
        (
            "corner",
            &["a.jpg"][..],
            2,
            "panel 1 of the study has one photo",
        ),
        (
            "corner",
            &["a.jpg", "b.jpg", "--panel", "c.jpg"],
            2,
            "panel 2 of the study",
        ),
        (
            "corner",
            &["a.jpg", "twin.jpg"],
            2,
            "`a.jpg` and `twin.jpg` are the same photo",
        ),
        (
            "corner",
            &["a.jpg", "behind.jpg"],
            2,
            "one was photographed from the front",
        ),
        (
            "corner",
            &["a.jpg", "bright.jpg"],
            3,
            "this picture cannot be judged by",
        ),
        (
            "corner",
            &["a.jpg", "gone.jpg"],
            2,
            "there is no such file: gone.jpg",
        ),
        (
            "cellar",
            &["a.jpg", "b.jpg"],
            2,
            "no rig named `cellar` is kept here",
        ),
    ] {
        bench
            .run(&[&["rig", "study", rig, "--panel"], photos].concat())
            .exits(code)
            .refuses_in_two_lines()
            .complains(said);
    }
    assert_eq!(measured(&bench)["repeatability"], Value::Null);
}

#[test]
fn sessions_tell_what_days_add_and_an_odd_photo_is_named() {
    let bench = Bench::with_rig();
    for (name, painted) in [
        ("a1.jpg", &AGAIN[0]),
        ("a2.jpg", &AGAIN[1]),
        ("a3.jpg", &AGAIN[2]),
        ("a4.jpg", &SAMPLE),
    ] {
        bench.photo(name, painted);
    }
    let ask = [
        "rig",
        "study",
        "corner",
        "--session",
        "monday",
        "--panel",
        "a1.jpg",
        "a2.jpg",
        "--session",
        "friday",
        "--panel",
        "a3.jpg",
        "a4.jpg",
    ];
    let found = bench.run(&[&ask[..], &["--json"]].concat()).exits(0).json();
    assert_eq!(
        (&found["sessions"], &found["panels"]),
        (&2.into(), &1.into())
    );
    let coverage = &found["measures"]["coverage"];
    assert!(
        coverage["any_day_sd"].as_f64() >= coverage["sd"].as_f64(),
        "{coverage}"
    );
    bench
        .run(&ask)
        .exits(0)
        .says("in 2 sessions")
        .says("2 sessions tell little of what days differ by");
    bench
        .run(
            &[
                &ask[..9],
                &[
                    "friday", "--panel", "a3.jpg", "a4.jpg", "--panel", "a1.jpg", "a2.jpg",
                ],
            ]
            .concat(),
        )
        .exits(2)
        .refuses_in_two_lines()
        .complains("session `friday` holds 2, 2 photos, panel by panel");
}
