//! An archive of an older version is brought up when it is opened: whole, with a copy beside it, and killed at any moment it
//! is as it was or as it is to be.

use std::process::{Command, Stdio};
use std::time::Instant;

use paneprint::archive::{Archive, verify};
use rusqlite::Connection;
use serde_json::json;

use super::{ARCHIVE, keep_tiny};
use crate::bench::{Bench, PROGRAM};

/// The steps of version 3.
const STEPS: [&str; 3] = [
    include_str!("../../../src/archive/sql/1_finishes.sql"),
    include_str!("../../../src/archive/sql/2_rig_studies.sql"),
    include_str!("../../../src/archive/sql/3_decisions.sql"),
];

/// Finishes in it.
const FINISHES: usize = 60;

/// The text of a fingerprint as programs of that version wrote it: figures and reasons one step deeper.
fn older_form(text: &str) -> String {
    let mut all: serde_json::Value = serde_json::from_str(text).unwrap();
    for (_, held) in all["measurements"].as_object_mut().unwrap() {
        let Some(value) = held.get("value") else {
            continue;
        };
        *held = if value.is_null() {
            json!({"Err": held["why"]})
        } else {
            json!({"Ok": {"value": value, "low": held["low"], "high": held["high"]}})
        };
    }
    assert!(all["measurements"]["coverage"]["Ok"]["value"].is_number());
    all.to_string()
}

/// An archive of version 3, with finishes that are copies of one the program keeps today, the first of them approved.
fn of_version_3(bench: &Bench) -> Vec<u8> {
    keep_tiny(bench, "pattern").exits(0);
    let today = Connection::open(bench.path(ARCHIVE)).unwrap();
    let pictures: (Vec<u8>, Vec<u8>) = today
        .query_row(
            "SELECT m.bytes, p.bytes FROM reading
             JOIN file AS m ON m.digest = silver_map JOIN file AS p ON p.digest = picture",
            [],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )
        .unwrap();
    let (map, picture) = pictures;
    let (text, settings, version): (String, String, i64) = today
        .query_row(
            "SELECT fingerprint, settings_digest, version FROM finish JOIN reading ON reading.id = reading_id",
            [],
            |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
        )
        .unwrap();
    let text = older_form(&text);
    let mut old = Connection::open(bench.path("old.sqlite")).unwrap();
    let all = old.transaction().unwrap();
    STEPS
        .iter()
        .for_each(|step| all.execute_batch(step).unwrap());
    all.execute_batch("PRAGMA application_id = 0x50616E65; PRAGMA user_version = 3")
        .unwrap();
    for i in 0..FINISHES {
        // Each map another one: what follows the picture's end is passed over.
        let map = [&map[..], i.to_string().as_bytes()].concat();
        all.execute(
            "INSERT INTO finish (name, kept_at, photo_name, photo_digest, settings_digest, version, fingerprint, silver_map,
             picture, notes) VALUES (?1, '2026-01-01T00:00:00Z', 'a.jpg', 'd', ?5, ?6, ?2, ?3, ?4, 'mine')",
            (format!("panel {i}"), &text, map, &picture, &settings, version),
        )
        .unwrap();
    }
    all.execute_batch("INSERT INTO approval (finish_id, approved_at, allowances) VALUES (1, '2026-01-02T00:00:00Z', '{}')")
        .unwrap();
    all.commit().unwrap();
    drop(old);
    bench.bytes("old.sqlite")
}

#[test]
fn an_older_archive_holds_all_it_held_with_digests_and_a_copy_lies_beside_it() {
    let bench = Bench::new();
    let before = of_version_3(&bench);
    let run = |args: &[&str]| bench.run_bare(&[&["--archive", "old.sqlite"], args].concat());
    run(&["verify"])
        .exits(0)
        .says("60 finishes, 60 readings and 1 approved sample");
    run(&["list"])
        .exits(0)
        .says("panel 59  (kept 2026-01-01")
        .says(", approved)");
    run(&["show", "panel 7"]).exits(0).says("Notes: mine");
    run(&["find", "panel 7"])
        .exits(0)
        .says("Of 59 kept finishes");
    let copy = "old.sqlite.v3-before.sqlite";
    let kept: (i64, i32) = Connection::open(bench.path(copy))
        .unwrap()
        .query_row(
            "SELECT count(*), (SELECT user_version FROM pragma_user_version) FROM finish WHERE length(silver_map) > 0",
            [],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )
        .unwrap();
    assert_eq!(kept, (60, 3));
    assert_ne!(before, bench.bytes("old.sqlite"));
}

#[test]
fn a_program_killed_while_it_brings_an_archive_up_leaves_it_as_it_was_or_as_it_is_to_be() {
    let bench = Bench::new();
    let before = of_version_3(&bench);
    let list = || {
        Command::new(PROGRAM)
            .args(["--archive", "old.sqlite", "list"])
            .current_dir(bench.path("."))
            .stdout(Stdio::null())
            .spawn()
            .unwrap()
    };
    let begun = Instant::now();
    list().wait().unwrap();
    let took = begun.elapsed();
    let mut in_the_act = 0;
    for i in 0..16_u32 {
        bench.file("old.sqlite", &before);
        for copy in ["old.sqlite.v3-before.sqlite", "old.sqlite-journal"] {
            let _ = std::fs::remove_file(bench.path(copy));
        }
        let mut program = list();
        std::thread::sleep(took * i / 16);
        let _ = program.kill();
        program.wait().unwrap();
        in_the_act += usize::from(bench.path("old.sqlite-journal").exists());
        let path = bench.path("old.sqlite");
        let names = Archive::open(&path).unwrap().names().unwrap();
        assert_eq!(names.len(), FINISHES, "after kill {i}");
        assert_eq!(verify(&path).unwrap().problems, []);
    }
    println!(
        "16 kills while an archive was brought up, {in_the_act} in the middle of a write; nothing lost"
    );
}
