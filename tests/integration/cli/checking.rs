//! `check`: fit or not, and the one thing to mend first.

use paneprint::quality::FLAGS;

use crate::bench::{BRIGHT, Bench, SAMPLE};

#[test]
fn a_good_picture_is_fit_and_a_bad_one_says_what_to_mend_first() {
    let bench = Bench::with_rig();
    bench.photo("good.jpg", &SAMPLE);
    bench.photo("bright.jpg", &BRIGHT);
    bench
        .run(&["check", "good.jpg", "--rig", "corner"])
        .exits(0)
        .quietly()
        .says("good.jpg\n  Fit to judge by.");
    bench
        .run(&["check", "bright.jpg"])
        .exits(3)
        .quietly()
        .says("bright.jpg\n  Not fit to judge by.\n  First: The picture is too bright");
    bench
        .run(&["check", "good.jpg", "bright.jpg"])
        .exits(3)
        .says("2 photos: 1 good, 1 not fit to judge by (bright.jpg).");
}

#[test]
fn the_json_names_every_flag_with_its_words() {
    let bench = Bench::new();
    bench.photo("bright.jpg", &BRIGHT);
    let seen = bench
        .run(&["check", "bright.jpg", "--json"])
        .exits(3)
        .json();
    assert_eq!(seen["fit"], false);
    assert_eq!(seen["fix_first"]["key"], "clipped");
    for flag in seen["flags"].as_array().unwrap() {
        let row = FLAGS.iter().find(|f| f.key == flag["key"]).unwrap();
        assert_eq!(flag["meaning"], row.meaning);
        assert_eq!(flag["remedy"], row.remedy);
        assert_eq!(flag["blocks"], row.blocks);
    }
    assert_eq!(seen["placement"]["corners"].as_array().unwrap().len(), 4);
}

#[test]
fn what_is_no_photo_is_refused_as_everywhere() {
    let bench = Bench::new();
    bench.file("letter.jpg", "Dear client,\n");
    bench
        .run(&["check", "letter.jpg", "--size", "100x100mm"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("found a text file");
}

#[test]
fn proportions_are_enough_to_see_where_the_panel_lies_and_to_write_it_down() {
    let bench = Bench::new();
    bench.bare_photo("panel.jpg", &SAMPLE);
    let asked = ["check", "panel.jpg", "--proportions", "1:1"];
    bench
        .run(&[&asked[..], &["--picture", "seen.png"]].concat())
        .exits(0)
        .quietly()
        .says("Not judged: the panel's size is not known.")
        .says("The panel was found by its edges; one grey card beside it.")
        .says("Give --size as well");
    let picture = image::load_from_memory(&bench.bytes("seen.png")).unwrap();
    assert!(picture.width() >= 900, "{}", picture.width());
    let seen = bench
        .run(&[&asked[..], &["--json", "--write-place"]].concat())
        .exits(0)
        .json();
    assert!(seen["fit"].is_null());
    assert_eq!(seen["placement"]["found"]["by"], "edges");
    let written: serde_json::Value =
        serde_json::from_slice(&bench.bytes("panel.jpg.place.json")).unwrap();
    assert_eq!(written["corners"], seen["placement"]["corners"]);
    assert!(written["size"].is_null());
    // The corners that were written and a size are all that measuring needs.
    bench
        .run(&["check", "panel.jpg", "--size", "100x100mm"])
        .exits(0)
        .says("Fit to judge by.");
}

#[test]
fn proportions_do_not_measure_and_are_refused_in_words() {
    let bench = Bench::new();
    bench.bare_photo("panel.jpg", &SAMPLE);
    bench
        .run(&["measure", "panel.jpg", "--proportions", "1:1"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("the panel's size is not given");
    bench
        .run(&["check", "panel.jpg"])
        .exits(2)
        .complains("the panel's size is not given");
    for unlike in ["3", "0:2", "3:nan", "100:1"] {
        bench
            .run(&["check", "panel.jpg", "--proportions", unlike])
            .exits(2)
            .complains("are no proportions");
    }
}

#[test]
fn what_was_found_is_drawn_on_the_photo() {
    let bench = Bench::new();
    bench.bare_photo("panel.jpg", &SAMPLE);
    bench
        .run(&[
            "check",
            "panel.jpg",
            "--size",
            "100x100mm",
            "--picture",
            "seen.png",
        ])
        .exits(0);
    let picture = image::load_from_memory(&bench.bytes("seen.png")).unwrap();
    assert!(picture.width() > picture.height());
}
