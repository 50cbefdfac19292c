//! `measure`: the contract of a reading's JSON, where things are said, pictures, streams.

use std::process::{Command, Stdio};

use paneprint::fingerprint::metric::figures;
use serde_json::Value;

use crate::bench::{ALIKE, BEHIND, Bench, PROGRAM, SAMPLE};

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value}"))
}

#[test]
fn a_reading_is_one_json_object_a_line_a_photo_and_the_same_bytes_twice() {
    let bench = Bench::new();
    bench.photo("one.jpg", &SAMPLE);
    bench.photo("two.jpg", &ALIKE);
    let ask = ["measure", "--json", "one.jpg", "two.jpg"];
    let ran = bench.run(&ask).exits(0).quietly();
    let photos: Vec<Value> = ran
        .json_lines()
        .iter()
        .map(|o| o["photo"].clone())
        .collect();
    assert_eq!(photos, ["one.jpg", "two.jpg"]);
    assert_eq!(ran.out, bench.run(&ask).out);
}

/// What the sample need not have a figure of.
const PERHAPS_NOT_ON_SAMPLE: [&str; 4] =
    ["speckle_axis", "speckle_rows", "patina_hue", "patina_scale"];

#[test]
fn a_reading_has_every_key_that_was_promised() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &SAMPLE);
    let reading = bench
        .run(&["measure", "panel.jpg", "--rig", "corner", "--json"])
        .exits(0)
        .json();
    assert!(reading["schema"].is_u64());
    for key in ["px_per_mm", "speckle_floor_mm"] {
        assert!(number(&reading[key]) > 0.0, "{key}");
    }
    assert_eq!(reading["silver_scale"], "plain");
    assert!(reading["flags"].is_array());
    assert_eq!(reading["placement"]["corners"].as_array().unwrap().len(), 4);
    let patch = &reading["placement"]["patches"][0];
    assert_eq!(patch["kind"], "grey");
    assert_eq!(patch["corners"].as_array().unwrap().len(), 4);
    let measures = reading["measures"].as_object().unwrap();
    assert_eq!(measures.len(), figures().count());
    // The sample has no colour of its own, and its specks lie anywhere.
    let mut none = figures().filter(|row| measures[row.key]["value"].is_null());
    let other = none.find(|row| !PERHAPS_NOT_ON_SAMPLE.contains(&row.key));
    assert_eq!(other, None);
    for row in figures() {
        let measure = &measures[row.key];
        assert_eq!(measure["unit"], row.unit, "{}", row.key);
        if measure["value"].is_null() {
            assert!(!measure["why"].as_str().unwrap().is_empty(), "{}", row.key);
        } else {
            let [low, value, high] = ["low", "value", "high"].map(|k| number(&measure[k]));
            assert!(low <= value && value <= high, "{}: {measure}", row.key);
            assert!((row.range.0..=row.range.1).contains(&value), "{}", row.key);
        }
    }
}

#[test]
fn fractions_add_to_one_and_parts_to_the_aggressiveness() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    let reading = bench
        .run(&["measure", "panel.jpg", "--json"])
        .exits(0)
        .json();
    let value = |key: &str| number(&reading["measures"][key]["value"]);
    let area = value("clear_fraction") + value("veil_fraction") + value("dark_fraction");
    // Each figure is rounded to six decimals, the parts and the aggressiveness to four.
    assert!((area - 1.0).abs() < 2e-6, "{area}");
    let parts = ["even", "fine", "middle", "coarse"].map(|k| number(&reading["parts"][k]));
    let sum: f64 = parts.iter().sum();
    assert!((sum - value("aggressiveness")).abs() < 3e-4, "{parts:?}");
}

#[test]
fn flags_on_the_command_line_beat_the_placement_file_which_alone_is_enough() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    bench.bare_photo("bare.jpg", &SAMPLE);
    let read = |args: &[&str]| {
        let ran = bench.run(&[&["measure", "--json"], args].concat()).exits(0);
        ran.json()
    };
    let file = read(&["panel.jpg"]);
    let flags = read(&[
        "bare.jpg",
        "--size=100x100mm",
        "--corners",
        &SAMPLE.corners(),
        "--patch",
        &SAMPLE.patch(),
    ]);
    assert_eq!(file["measures"], flags["measures"]);
    let both = read(&["panel.jpg", "--size=200x200mm", "--stage=wet"]);
    assert_eq!(both["placement"]["size"]["width"], 200.0);
    assert_eq!(both["placement"]["stage"], "wet");
    assert_eq!(both["placement"]["corners"], file["placement"]["corners"]);
    let halved = number(&file["px_per_mm"]) / number(&both["px_per_mm"]);
    assert!((halved - 2.0).abs() < 1e-3, "{halved}");
}

#[test]
fn inches_are_read_as_what_they_are() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    let reading = bench
        .run(&["measure", "panel.jpg", "--json", "--size", "4x4in"])
        .exits(0)
        .json();
    assert!((number(&reading["placement"]["size"]["width"]) - 101.6).abs() < 1e-9);
}

#[test]
fn a_panel_seen_from_behind_reads_as_from_the_front() {
    let bench = Bench::with_rig();
    bench.photo("front.jpg", &SAMPLE);
    bench.photo("behind.jpg", &BEHIND);
    let read = |photo: &str| {
        let ran = bench.run(&["measure", photo, "--json", "--rig", "corner"]);
        ran.exits(0).json()
    };
    let (front, behind) = (read("front.jpg"), read("behind.jpg"));
    assert_eq!(behind["placement"]["side"], "back");
    // Two photos of the same panel; the tilt goes the other way round.
    for (key, off) in [("coverage", 0.01), ("streak_angle", 2.0)] {
        let value = |r: &Value| number(&r["measures"][key]["value"]);
        let (front, behind) = (value(&front), value(&behind));
        assert!((front - behind).abs() < off, "{key}: {front}, {behind}");
    }
}

#[test]
fn a_reading_in_words_names_its_photo_and_says_what_is_weak() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    let ran = bench
        .run(&["measure", "panel.jpg"])
        .exits(0)
        .quietly()
        .says("panel.jpg\n")
        .says("of the silver is left")
        .says("streaks at 6")
        .says("! Nothing in the photo shows full silver");
    for row in figures() {
        assert!(ran.out.contains(row.title), "{}", row.title);
    }
}

#[test]
fn nothing_is_coloured_where_there_is_no_terminal() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    for args in [&["measure", "panel.jpg", "missing.jpg"][..], &["--help"]] {
        let ran = bench.run(args);
        assert!(!(ran.out + &ran.err).contains('\x1b'));
    }
}

#[test]
fn the_picture_of_a_reading_is_a_png_that_opens() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    bench
        .run(&["measure", "panel.jpg", "--picture", "counted.png"])
        .exits(0);
    let picture = image::load_from_memory(&bench.bytes("counted.png")).unwrap();
    assert!(picture.width() > 300 && picture.height() > 300);
    assert!(!bench.path("counted.png.part").exists());
    bench
        .run(&["measure", "panel.jpg", "--picture", "nowhere/counted.png"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("this file could not be written");
}

#[test]
fn a_reader_that_goes_away_is_no_failure() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    let mut program = Command::new(PROGRAM)
        .args(["measure", "--json"])
        .arg(bench.path("panel.jpg"))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(program.stdout.take());
    let ended = program.wait_with_output().unwrap();
    assert_eq!(ended.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&ended.stderr), "");
}

#[test]
fn version_and_help_are_there() {
    let bench = Bench::new();
    let version = format!("paneprint {}", env!("CARGO_PKG_VERSION"));
    bench
        .run_bare(&["--version"])
        .exits(0)
        .quietly()
        .says(&version);
    bench.run_bare(&["--help"]).exits(0).quietly().says("match");
    bench
        .run_bare(&["match", "--help"])
        .exits(0)
        .says("--to <NAME>");
    bench.run_bare(&["polish"]).exits(2).complains("polish");
}
