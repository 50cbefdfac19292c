//! Names and notes are text wherever they are shown, whatever they look like.

use super::{ARCHIVE, keep_tiny, write_tiny};
use crate::bench::Bench;

const HOSTILE: [&str; 4] = [
    "x'); DROP TABLE finish; --",
    "<script>alert(1)</script>",
    "%s %n {} $(rm -rf .)",
    "\u{202e}drawkcab",
];

#[test]
fn names_and_notes_that_look_like_commands_are_kept_and_shown_as_text() {
    let bench = Bench::new();
    write_tiny(&bench, "tiny.jpg");
    for name in HOSTILE {
        let (named, notes) = (format!("--name={name}"), format!("--notes={name}"));
        bench
            .run(&["keep", "tiny.jpg", &named, &notes, "--anyway"])
            .exits(0);
        bench.run(&["approve", "--", name]).exits(0);
        let shown = paneprint::words::line(name);
        bench.run(&["show", "--", name]).exits(0).says(&shown);
    }
    let listed = bench.run(&["list", "--json"]).exits(0).json_lines();
    for (line, name) in listed.iter().zip(HOSTILE) {
        assert_eq!(
            (&line["name"], &line["notes"]),
            (&name.into(), &name.into())
        );
    }
    bench.run(&["verify"]).exits(0).says("4 approved samples");
}

#[test]
fn a_finish_of_another_version_of_the_measures_is_listed_with_the_others() {
    let bench = Bench::new();
    keep_tiny(&bench, "old").exits(0);
    keep_tiny(&bench, "new").exits(0);
    rusqlite::Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch("UPDATE finish SET version = 1 WHERE name = 'old'")
        .unwrap();
    let listed = bench
        .run(&["list"])
        .exits(0)
        .says("by version 1 of the measures")
        .out;
    assert_eq!(listed.lines().count(), 2);
    let lines = bench.run(&["list", "--json"]).exits(0).json_lines();
    assert_eq!(lines[0]["version"], 1);
    assert!(lines.iter().all(|l| l["coverage"].is_number()));
    bench
        .run(&["show", "old"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("`old` was measured by version 1");
}

#[test]
fn a_name_is_found_however_its_accents_are_written() {
    let bench = Bench::new();
    let (one_sign, two_signs) = ("\u{e9}toile", "e\u{301}toile");
    // As a phone writes it to the disk, and as a keyboard types it.
    write_tiny(&bench, &format!("{two_signs}.jpg"));
    let photo = format!("{one_sign}.jpg");
    bench.run(&["keep", &photo, "--anyway"]).exits(0);
    for typed in [one_sign, two_signs] {
        bench.run(&["show", typed]).exits(0).says(one_sign);
    }
    let listed = bench.run(&["list", "--json"]).exits(0).json_lines();
    assert_eq!(listed[0]["name"], one_sign);
    let named = format!("--name={two_signs}");
    bench
        .run(&["keep", &photo, "--anyway", &named])
        .exits(2)
        .complains("is already kept");
}
