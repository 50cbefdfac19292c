//! An archive of the version before is opened, and then says the same and has all that a new one has.

use rusqlite::Connection;
use rusqlite::types::Value;

use super::{ARCHIVE, keep_tiny};
use crate::bench::Bench;

/// The tables of version 8.
const BEFORE: [&str; 12] = [
    "approval",
    "earlier_rig",
    "file",
    "finish",
    "ladder_step",
    "look",
    "overruling",
    "photo",
    "reading",
    "recipe",
    "rig",
    "rig_study",
];

/// All rows of a table.
fn rows(file: &Connection, table: &str) -> Vec<Vec<Value>> {
    let mut all = file.prepare(&format!("SELECT * FROM {table}")).unwrap();
    let columns = all.column_count();
    let read = |row: &rusqlite::Row<'_>| (0..columns).map(|i| row.get(i)).collect();
    let rows = all.query_map([], read).unwrap();
    rows.map(Result::unwrap).collect()
}

/// What the file is made of.
fn schema(file: &Connection) -> Vec<Vec<Value>> {
    rows(
        file,
        "(SELECT type, name, sql FROM sqlite_schema ORDER BY type, name)",
    )
}

#[test]
fn an_archive_of_version_8_opens_with_all_that_it_held_and_with_all_that_is_new() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    keep_tiny(&bench, "alcove").exits(0);
    bench
        .run(&["approve", "bar", "--allow", "coverage=0.04"])
        .exits(0);
    bench
        .run(&["recipe", "bar", "--step", "attack, 140 s"])
        .exits(0);
    let fresh = Connection::open(bench.path(ARCHIVE)).unwrap();
    // The same rows in a file that the step of version 8 made.
    let old = Connection::open(bench.path("old.sqlite")).unwrap();
    old.execute_batch(include_str!("../../../src/archive/sql/8_archive.sql"))
        .unwrap();
    old.execute_batch(
        "PRAGMA foreign_keys = OFF; PRAGMA application_id = 1348562533; PRAGMA user_version = 8",
    )
    .unwrap();
    for table in BEFORE {
        for row in rows(&fresh, table) {
            let marks = vec!["?"; row.len()].join(", ");
            old.execute(
                &format!("INSERT INTO {table} VALUES ({marks})"),
                rusqlite::params_from_iter(row),
            )
            .unwrap();
        }
    }
    drop(old);
    let there = |args: &[&str]| bench.run_bare(&[&["--archive", "old.sqlite"], args].concat());
    for args in [
        &["list"][..],
        &["show", "bar"],
        &["recipe", "bar", "--show"],
    ] {
        assert_eq!(there(args).exits(0).out, bench.run(args).exits(0).out);
    }
    there(&["verify"]).exits(0).says("2 finishes, 2 readings");
    let old = Connection::open(bench.path("old.sqlite")).unwrap();
    assert_eq!(schema(&old), schema(&fresh));
    for table in BEFORE {
        assert_eq!(rows(&old, table), rows(&fresh, table), "{table}");
    }
    drop(old);
    // What is new works there too.
    there(&["rename", "alcove", "niche"]).exits(0);
    there(&["remove", "niche"]).exits(0);
    there(&["approve", "bar", "--withdraw"]).exits(0);
    there(&["verify"])
        .exits(0)
        .says("1 finish, 2 readings")
        .says("1 finish in the bin");
}
