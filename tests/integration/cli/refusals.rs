//! What cannot be done is refused in plain words, and nothing crashes.

use std::fs;

use crate::bench::{BRIGHT, BRIGHT_PLAIN, Bench, SAMPLE};

#[test]
fn what_is_no_photo_is_refused_by_name_in_one_line_and_a_hint() {
    let bench = Bench::new();
    let mut dot = std::io::Cursor::new(Vec::new());
    image::RgbImage::new(1, 1)
        .write_to(&mut dot, image::ImageFormat::Png)
        .unwrap();
    bench.file("letter.jpg", "Dear client,\nthe mirror is ready.\n");
    bench.file("cut.jpg", &SAMPLE.jpeg()[..SAMPLE.jpeg().len() / 2]);
    bench.file("dot.png", dot.into_inner());
    bench.file("empty.jpg", "");
    fs::create_dir(bench.path("folder")).unwrap();
    for (file, said) in [
        ("letter.jpg", "found a text file"),
        ("cut.jpg", "damaged or cut short"),
        ("dot.png", "only 1 x 1 pixels"),
        ("empty.jpg", "found an empty file"),
        ("folder", "there is no photo in this folder"),
        ("missing.jpg", "there is no such file"),
    ] {
        for json in [&[][..], &["--json"]] {
            bench
                .run(&[&["measure", file, "--size", "100x100mm"], json].concat())
                .exits(2)
                .refuses_in_two_lines()
                .complains(&format!(": {file}"))
                .complains(said);
        }
    }
}

#[cfg(unix)]
#[test]
fn a_file_may_be_called_anything_and_is_still_named_in_one_line() {
    let bench = Bench::new();
    for (name, shown) in [
        ("two\nlines.jpg", "two\u{fffd}lines.jpg"),
        ("red\x1b[31m.jpg", "red\u{fffd}[31m.jpg"),
        ("it's \"the\" one & <b>.jpg", "it's \"the\" one & <b>.jpg"),
    ] {
        bench.file(name, "Dear client,\n");
        bench
            .run(&["measure", name])
            .exits(2)
            .refuses_in_two_lines()
            .complains(shown);
    }
}

#[test]
fn impossible_placements_are_refused_in_words() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    for (args, said) in [
        (
            ["--corners", "190,90 810,710 810,90 190,710"],
            "their sides cross",
        ),
        (
            ["--corners", "810,90 190,90 190,710 810,710"],
            "the wrong way round",
        ),
        (
            ["--corners", "190,90 1810,90 1810,710 190,710"],
            "the top right corner at (1810, 90) lies outside the photo, which is 1000 x 800 pixels",
        ),
        (["--patch", "grey:980,90,60,60"], "outside the photo"),
        (
            ["--patch", "mirror:300,300,60,60"],
            "the mirror patch (number 1) lies on the panel",
        ),
        (
            ["--patch", "grey:900,400,0,0"],
            "is 0 x 0 pixels; expected at least 8 x 8",
        ),
        (["--patch-reflectance", "18"], "is 18; expected from 0.01"),
        (["--size", "100x300mm"], "but the size says 0.33 times"),
    ] {
        bench
            .run(&[&["measure", "panel.jpg"], &args[..]].concat())
            .exits(2)
            .refuses_in_two_lines()
            .complains(": panel.jpg\n")
            .complains(said);
    }
}

#[test]
fn words_that_cannot_be_read_are_refused_with_how_to_write_them() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    for (args, said) in [
        (
            ["--size", "100x100"],
            "`100x100` has no unit; write it like 100x100mm",
        ),
        (["--size", "0x0mm"], "each side must be from 5 mm to 10 m"),
        (["--corners", "1,2 3,4"], "is not four corners"),
        (["--patch", "card:1,2,3,4"], "write grey:x,y,width,height"),
        (["--side", "left"], "front, back"),
        (["--stage", "done"], "wet, dry, backed"),
    ] {
        let ran = bench
            .run(&[&["measure", "panel.jpg"], &args[..]].concat())
            .exits(2)
            .complains(said);
        assert_eq!(ran.out, "");
    }
}

#[test]
fn a_photo_nothing_is_said_of_asks_for_its_placement() {
    let bench = Bench::new();
    bench.bare_photo("panel.jpg", &SAMPLE);
    bench
        .run(&["measure", "panel.jpg"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("the panel's size is not given for this photo: panel.jpg")
        .complains("Give --size, width first");
}

#[test]
fn a_broken_placement_file_is_named_with_what_is_wrong_and_where() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    for (text, said) in [
        ("{\"size\": ", "line 1"),
        ("{\"sise\": \"1x1mm\"}", "unknown field `sise`"),
        ("{\"size\": \"100x100\"}", "write it like 100x100mm"),
        ("", "line 1"),
        (
            "{\"corners\": [[1, 2]]}",
            "expected four corners such as [[12, 10]",
        ),
        ("{\"size\": 600}", "expected a size such as \"600x400mm\""),
        (
            "{\"patches\": [\"card:1,2,3,4\"]}",
            "`card:1,2,3,4` is not a patch",
        ),
        ("{\"stage\": \"done\"}", "unknown variant `done`"),
    ] {
        bench.file("panel.jpg.place.json", text);
        bench
            .run(&["measure", "panel.jpg"])
            .exits(2)
            .refuses_in_two_lines()
            .complains("panel.jpg.place.json")
            .complains(said);
    }
}

#[test]
fn a_bad_photo_does_not_stop_the_next() {
    let bench = Bench::new();
    bench.photo("panel.jpg", &SAMPLE);
    bench.file("letter.jpg", "Dear client,\n");
    let ran = bench
        .run(&["measure", "--json", "letter.jpg", "panel.jpg"])
        .exits(2)
        .complains("letter.jpg");
    assert_eq!(ran.json()["photo"], "panel.jpg");
}

#[test]
fn one_picture_file_cannot_hold_two_photos() {
    let bench = Bench::new();
    bench
        .run(&["measure", "a.jpg", "b.jpg", "--picture", "c.png"])
        .exits(2)
        .refuses_in_two_lines();
}

#[test]
fn a_picture_too_bright_to_judge_by_is_refused_unless_the_maker_goes_on_anyway() {
    let bench = Bench::with_rig();
    bench.photo("bright.jpg", &BRIGHT);
    let ask = ["measure", "bright.jpg", "--rig", "corner", "--json"];
    bench
        .run(&ask)
        .exits(3)
        .refuses_in_two_lines()
        .complains("this picture cannot be judged by. The picture is too bright")
        .complains("--anyway");
    let ran = bench.run(&[&ask[..], &["--anyway"]].concat()).exits(0);
    assert_eq!(ran.json()["anyway"], true);
    bench
        .run(&["measure", "bright.jpg", "--rig", "corner", "--anyway"])
        .exits(0)
        .says("! The picture is too bright");
}

#[test]
fn a_rig_is_not_learnt_from_an_aged_mirror_nor_from_one_too_bright() {
    let bench = Bench::new();
    bench.photo("aged.jpg", &SAMPLE);
    bench
        .run(&["rig", "make", "corner", "--plain", "aged.jpg"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("plain, unaged mirror");
    bench.photo("bright.jpg", &BRIGHT_PLAIN);
    bench
        .run(&["rig", "make", "corner", "--plain", "bright.jpg"])
        .exits(3)
        .refuses_in_two_lines()
        .complains("too bright");
}
