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
