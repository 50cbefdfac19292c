//! Files that are half there, scribbled over, or no archive at all.

use super::{ARCHIVE, keep_tiny};
use crate::bench::{Bench, Ran};

/// Commands that only read.
const READING: [&[&str]; 4] = [
    &["list"],
    &["show", "panel 1"],
    &["verify"],
    &["backup", "copy.sqlite"],
];

/// It was refused in two lines, or answered; the file is as it was.
#[track_caller]
fn answers_or_refuses(bench: &Bench, file: &str, args: &[&str]) -> Ran {
    let before = bench.bytes(file);
    let ran = bench.run_bare(&[&["--archive", file], args].concat());
    assert!(!ran.err.contains("panicked") && !ran.err.contains("program itself failed"));
    assert_eq!(before, bench.bytes(file), "{args:?} changed {file}");
    let _ = std::fs::remove_file(bench.path("copy.sqlite"));
    let complaint: Vec<&str> = ran.err.lines().collect();
    match complaint[..] {
        [] => ran,
        [what, next] if what.starts_with("paneprint: ") && next.starts_with("  ") => ran.exits(2),
        _ => panic!("{args:?} of {file}: {}", ran.err),
    }
}

#[test]
fn a_file_cut_at_any_sixteenth_is_refused_in_words_and_left_alone() {
    let bench = Bench::new();
    (0..3).for_each(|i| drop(keep_tiny(&bench, &format!("panel {i}")).exits(0)));
    let whole = bench.bytes(ARCHIVE);
    for part in 1..16 {
        bench.file("cut.sqlite", &whole[..whole.len() * part / 16]);
        for args in READING {
            let ran = answers_or_refuses(&bench, "cut.sqlite", args);
            assert!(!ran.err.is_empty(), "{part}/16: {args:?} said {}", ran.out);
        }
    }
    // Of an empty one there is nothing to say but that it is empty.
    bench.file("cut.sqlite", "");
    for args in [&["verify"][..], &["backup", "copy.sqlite"]] {
        bench
            .run_bare(&[&["--archive", "cut.sqlite"], args].concat())
            .exits(2)
            .complains("this file is empty");
    }
}

#[test]
fn a_file_scribbled_over_anywhere_is_never_taken_for_sound() {
    let bench = Bench::new();
    (0..2).for_each(|i| drop(keep_tiny(&bench, &format!("panel {i}")).exits(0)));
    let whole = bench.bytes(ARCHIVE);
    let page = 4096;
    for at in (0..whole.len() / page).map(|n| n * page) {
        let mut spotted = whole.clone();
        spotted[at..at + page].fill(0xa5);
        bench.file("spotted.sqlite", spotted);
        for args in READING {
            let ran = answers_or_refuses(&bench, "spotted.sqlite", args);
            let looks = matches!(args[0], "verify" | "backup");
            assert!(
                !looks || ran.code() == Some(2),
                "page {}: {args:?}",
                at / page
            );
        }
    }
}

#[test]
fn a_single_byte_changed_in_a_reading_or_a_picture_is_found_and_named() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    let file = rusqlite::Connection::open(bench.path(ARCHIVE)).unwrap();
    let change = |sql: &str, kind: &str| {
        file.execute_batch(&format!("SAVEPOINT before; {sql}; RELEASE before"))
            .unwrap();
        let found = bench.run(&["verify", "--json"]).exits(2).json();
        let kinds: Vec<&str> = found["problems"]
            .as_array()
            .unwrap()
            .iter()
            .map(|p| p["kind"].as_str().unwrap())
            .collect();
        assert!(kinds.contains(&kind), "{sql}: {kinds:?}");
        assert_eq!(found["problems"][0]["name"], "bar");
        bench.run(&["verify"]).exits(2).says("`bar`");
        bench
            .run(&["backup", "copy.sqlite"])
            .exits(2)
            .refuses_in_two_lines();
        assert!(!bench.path("copy.sqlite").exists());
    };
    change(
        "UPDATE reading SET fingerprint = replace(fingerprint, '\"coverage\"', '\"Coverage\"')",
        "reading_changed",
    );
    bench
        .run(&["show", "bar"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("what was kept of `bar` is damaged");
    change(
        "UPDATE file SET bytes = x'00' WHERE id = 1",
        "picture_changed",
    );
}
