//! Many photos and folders: each read on whatever became of the one before, and summed up at the end.

use std::fs;

use serde_json::Value;

use crate::bench::{ALIKE, BRIGHT, Bench, DARKER, SAMPLE};

/// A folder of two good photos, one that is too bright, one cut short, one of a kind that is not read, and a letter.
fn folder() -> Bench {
    let bench = Bench::new();
    fs::create_dir_all(bench.path("day/deeper")).unwrap();
    bench.photo("day/b.jpg", &SAMPLE);
    bench.photo("day/c.JPG", &ALIKE);
    bench.photo("day/d.jpg", &BRIGHT);
    bench.photo("day/deeper/a.jpg", &SAMPLE);
    bench.file("day/e.jpg", &SAMPLE.jpeg()[..SAMPLE.jpeg().len() / 2]);
    bench.file("day/f.heic", b"\0\0\0\x18ftypheic\0\0\0\0");
    bench.file("day/letter.txt", "Dear client,\n");
    bench.file("day/.hidden.jpg", SAMPLE.jpeg());
    bench
}

#[test]
fn a_folder_is_read_photo_by_photo_and_summed_up() {
    let bench = folder();
    bench
        .run(&["measure", "day"])
        .exits(2)
        .says("b.jpg\n")
        .says("c.JPG\n")
        .complains("this picture cannot be judged by")
        .complains("the picture is damaged")
        .complains("not a photo this program can read (found a HEIC picture")
        .complains("choose JPEG")
        .says(
            "5 photos: 2 good, 1 not fit to judge by (d.jpg), 2 could not be read (e.jpg, f.heic), 1 other file left alone.",
        );
}

#[test]
fn in_json_the_answers_stand_alone_and_the_summary_beside_them() {
    let bench = folder();
    let ran = bench.run(&["measure", "--json", "day"]).exits(2);
    let photos: Vec<Value> = ran
        .json_lines()
        .iter()
        .map(|o| o["photo"].clone())
        .collect();
    assert_eq!(photos, ["day/b.jpg", "day/c.JPG"]);
    ran.complains("5 photos: 2 good");
}

#[test]
fn the_worst_end_is_the_exit_code() {
    let bench = folder();
    let of = |photos: &[&str]| bench.run(&[&["measure"], photos].concat());
    of(&["day/b.jpg", "day/c.JPG"]).exits(0);
    of(&["day/d.jpg", "day/b.jpg"]).exits(3).says("b.jpg\n");
    of(&["day/d.jpg", "missing.jpg", "day/b.jpg"])
        .exits(2)
        .says("b.jpg\n");
}

#[test]
fn a_folder_without_a_photo_is_refused() {
    let bench = Bench::new();
    fs::create_dir(bench.path("empty")).unwrap();
    for command in ["measure", "check", "keep"] {
        bench
            .run(&[command, "empty"])
            .exits(2)
            .refuses_in_two_lines()
            .complains("there is no photo in this folder: empty");
    }
}

#[test]
fn many_photos_are_kept_each_under_its_own_name() {
    let bench = folder();
    bench.photo("day/g.jpg", &DARKER);
    let keep = |args: &[&str]| bench.run(&[&["keep", "day"], args].concat());
    keep(&["--name", "alcove"])
        .exits(2)
        .says("Kept as `alcove b` in")
        .says("Kept as `alcove g` in");
    // Again: what is kept stays, and the photos are told one by one.
    keep(&["--name", "alcove"])
        .exits(2)
        .complains("a finish named `alcove b` is already kept")
        .complains("a finish named `alcove g` is already kept")
        .says("6 photos: 0 good");
    keep(&[]).exits(2).says("Kept as `b` in");
    let listed = bench.run(&["list", "--json"]).exits(0).json_lines();
    let names: Vec<&str> = listed.iter().map(|f| f["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["alcove b", "alcove c", "alcove g", "b", "c", "g"]);
}

#[test]
fn one_picture_of_many_photos_is_refused() {
    let bench = folder();
    for command in ["measure", "check", "keep"] {
        bench
            .run(&[command, "day", "--picture", "all.png"])
            .exits(2)
            .refuses_in_two_lines()
            .complains("shows one photo");
    }
}

#[test]
fn the_photo_that_was_turned_on_its_way_is_told_by_the_others() {
    let bench = Bench::new();
    bench.photo("a.jpg", &SAMPLE);
    bench.photo("b.jpg", &ALIKE);
    bench.photo_turned("c.jpg", &SAMPLE);
    let ran = bench.run(&["measure", "--json", "a.jpg", "b.jpg", "c.jpg"]);
    let told: Vec<bool> = ran
        .json_lines()
        .iter()
        .map(|reading| reading.to_string().contains("stands_otherwise"))
        .collect();
    assert_eq!(told, [false, false, true]);
    let set = ["set", "a.jpg", "b.jpg", "c.jpg", "--anyway"];
    bench.run(&set).complains("The patches lie on another side");
}
