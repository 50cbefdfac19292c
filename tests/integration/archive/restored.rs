//! A backup put back in the archive's place, and what a write that was cut short leaves for it.

use std::fs;

use super::{ARCHIVE, keep_tiny};
use crate::bench::Bench;

/// What is set aside.
fn aside(bench: &Bench) -> Vec<String> {
    let names = fs::read_dir(bench.path(".")).unwrap();
    let names = names.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut aside: Vec<String> = names.filter(|n| n.starts_with("archive before ")).collect();
    aside.sort();
    aside
}

#[test]
fn a_backup_takes_the_archives_place_and_what_was_there_is_set_aside() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    bench.run(&["backup", "monday.sqlite"]).exits(0);
    keep_tiny(&bench, "later").exits(0);
    let before = bench.bytes(ARCHIVE);
    let restored = bench.run(&["backup", "monday.sqlite", "--restore", "--json"]);
    let restored = restored.exits(0).json();
    let aside = aside(&bench);
    assert_eq!(aside.len(), 1);
    assert!(restored["set_aside"].as_str().unwrap().ends_with(&aside[0]));
    assert_eq!(bench.bytes(&aside[0]), before);
    bench
        .run(&["list"])
        .exits(0)
        .says("bar")
        .does_not_say("later");
    bench.run(&["verify"]).exits(0);
    // What was set aside is an archive like any other.
    bench
        .run_bare(&["--archive", &aside[0], "list"])
        .exits(0)
        .says("later");
}

#[test]
fn a_journal_that_belongs_to_the_archive_before_does_not_spoil_what_is_restored() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    bench.run(&["backup", "monday.sqlite"]).exits(0);
    keep_tiny(&bench, "later").exits(0);
    // A journal of the later archive: SQLite would roll it back into whatever has that name.
    let file = rusqlite::Connection::open(bench.path(ARCHIVE)).unwrap();
    file.execute_batch(
        "PRAGMA cache_size = 1; BEGIN IMMEDIATE; UPDATE finish SET kept_at = kept_at || ' '",
    )
    .unwrap();
    let journal = format!("{ARCHIVE}-journal");
    let hot = fs::read(bench.path(&journal)).unwrap();
    drop(file);
    fs::write(bench.path(&journal), hot).unwrap();
    bench
        .run(&["backup", "monday.sqlite", "--restore"])
        .exits(0)
        .says("Restored and checked");
    assert!(!bench.path(&journal).exists());
    bench.run(&["verify"]).exits(0);
    bench
        .run(&["list"])
        .exits(0)
        .says("bar")
        .does_not_say("later");
}

#[test]
fn what_is_no_sound_copy_is_not_put_back() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    bench.run(&["backup", "monday.sqlite"]).exits(0);
    let mut bytes = bench.bytes("monday.sqlite");
    let middle = bytes.len() / 2;
    bytes[middle..].fill(0x5A);
    bench.file("spoilt.sqlite", bytes);
    let before = bench.bytes(ARCHIVE);
    for from in ["spoilt.sqlite", "none.sqlite", "tiny.jpg"] {
        bench
            .run(&["backup", from, "--restore"])
            .exits(2)
            .refuses_in_two_lines();
        assert_eq!(bench.bytes(ARCHIVE), before, "{from}");
        assert!(aside(&bench).is_empty(), "{from}");
    }
    fs::remove_file(bench.path(ARCHIVE)).unwrap();
    bench
        .run(&["backup", "monday.sqlite", "--restore"])
        .exits(0);
    bench.run(&["list"]).exits(0).says("bar");
    assert!(aside(&bench).is_empty());
}

#[cfg(unix)]
#[test]
fn an_archive_is_its_owners_alone() {
    use std::os::unix::fs::PermissionsExt;
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    bench.run(&["backup", "copy.sqlite"]).exits(0);
    let tiny = ["keep", "tiny.jpg", "--anyway"];
    bench
        .run_bare(&[&["--archive", "new/deep/a.sqlite"], &tiny[..]].concat())
        .exits(0);
    for (path, wanted) in [
        (ARCHIVE, 0o600),
        ("copy.sqlite", 0o600),
        ("new/deep/a.sqlite", 0o600),
        ("new/deep", 0o700),
        ("new", 0o700),
    ] {
        let mode = fs::metadata(bench.path(path)).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, wanted, "{path}");
    }
}

#[test]
fn a_copy_that_is_laid_over_the_archive_by_hand_is_not_ruined_by_the_journal_of_what_was_there() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    bench.run(&["backup", "monday.sqlite"]).exits(0);
    fs::copy(bench.path(ARCHIVE), bench.path("copied.sqlite")).unwrap();
    keep_tiny(&bench, "later").exits(0);
    let file = rusqlite::Connection::open(bench.path(ARCHIVE)).unwrap();
    file.execute_batch(
        "PRAGMA cache_size = 1; BEGIN IMMEDIATE; UPDATE finish SET kept_at = kept_at || ' ';
         INSERT INTO file (digest, bytes) VALUES ('spilt', zeroblob(100000))",
    )
    .unwrap();
    let journal = format!("{ARCHIVE}-journal");
    let hot = fs::read(bench.path(&journal)).unwrap();
    let torn = bench.bytes(ARCHIVE);
    drop(file);
    for copy in ["monday.sqlite", "copied.sqlite"] {
        fs::copy(bench.path(copy), bench.path(ARCHIVE)).unwrap();
        bench.file(&journal, &hot);
        for command in [
            &["list"][..],
            &["verify"],
            &["approve", "bar"],
            &["backup", "other.sqlite"],
        ] {
            bench
                .run(command)
                .exits(2)
                .refuses_in_two_lines()
                .complains("this journal is not that of archive.sqlite");
        }
        assert_eq!(bench.bytes(ARCHIVE), bench.bytes(copy));
        assert_eq!(bench.bytes(&journal), hot);
        fs::remove_file(bench.path(&journal)).unwrap();
        bench.run(&["verify"]).exits(0).says("1 finish");
    }
    // Its own one is replayed.
    bench.file(ARCHIVE, torn);
    bench.file(&journal, &hot);
    bench.run(&["verify"]).exits(0).says("2 finishes");
    assert!(!bench.path(&journal).exists());
}
