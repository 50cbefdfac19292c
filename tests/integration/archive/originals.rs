//! An approved sample is an original: no statement of the program deletes or overwrites one, and the file itself refuses.

use std::fs;
use std::path::Path;

use super::{ARCHIVE, keep_tiny};
use crate::bench::Bench;

/// Tables of which rows may be taken away: what is worked out anew, or is said again as a whole; what is taken back, which the
/// history or `earlier_rig` still says; and which panels a job has, and what is usual, which are no finishes.
const MAY_GO: [&str; 10] = [
    "approval",
    "bin",
    "job_panel",
    "ladder_step",
    "look",
    "rig",
    "rig_study",
    "signature",
    "studio_default",
    "tag",
];

/// Tables of which rows may change: what a job says; the name and the notes of a finish and which reading of it holds, what is signed of it (the
/// history says what was signed before), and the checksum of any row.
const MAY_CHANGE: [&str; 4] = ["approval", "finish", "job", "{table}"];

/// Tables of which a row may be said anew: what is added in signing again; the rig before goes to `earlier_rig`.
const MAY_BE_SAID_ANEW: [&str; 6] = [
    "approval",
    "look",
    "rig",
    "rig_study",
    "signature",
    "studio_default",
];

/// The only file whose statements take finishes off the disk: those that are in the bin and are named.
const BIN: &str = "bin.rs";

/// What it says beside that: the rows and the bytes of such a finish go, and its history belongs to no finish any more.
const OF_THE_BIN: [&str; 4] = ["change", "file", "finish", "{table}"];

/// The word after each place where a text says something.
fn after<'a>(text: &'a str, said: &str) -> Vec<&'a str> {
    text.match_indices(said)
        .filter_map(|(at, _)| text[at + said.len()..].split_whitespace().next())
        .collect()
}

/// The text of each file with the file's name.
fn sources(folder: &Path, found: &mut Vec<(String, String)>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if !path.ends_with("tests.rs") {
            let text = fs::read_to_string(&path).unwrap();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            // What a file's own tests do to an archive of theirs is no statement of the program.
            let said = text.split("#[cfg(test)]").next().unwrap().to_owned();
            found.push((name, said));
        }
    }
}

#[test]
fn no_statement_takes_away_or_writes_over_what_was_kept() {
    let mut texts = Vec::new();
    sources(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("src/archive"),
        &mut texts,
    );
    let mut seen = 0;
    for (file, text) in &texts {
        let of_bin = |table: &str| file == BIN && OF_THE_BIN.contains(&table);
        for table in after(text, "DELETE FROM ") {
            let may = MAY_GO.contains(&table) || of_bin(table);
            assert!(may, "{file}: DELETE FROM {table}");
            seen += 1;
        }
        for table in after(text, "UPDATE ").into_iter().filter(|t| *t != "SET") {
            let may = MAY_CHANGE.contains(&table) || of_bin(table);
            assert!(may, "{file}: UPDATE {table}");
            seen += 1;
        }
        assert!(after(text, "DROP TABLE ").is_empty());
        let replaced = after(text, "INSERT OR REPLACE INTO ").into_iter();
        let anew = text.split("INSERT INTO ").skip(1);
        let anew = anew.filter(|said| said.contains("DO UPDATE SET"));
        let anew = anew.filter_map(|said| said.split_whitespace().next());
        for table in replaced.chain(anew) {
            assert!(MAY_BE_SAID_ANEW.contains(&table), "{table} is said anew");
        }
    }
    assert!(seen > 3, "only {seen} statements were found");
}

#[test]
fn the_file_itself_refuses_to_part_with_an_approved_sample() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    bench.run(&["approve", "bar"]).exits(0);
    let file = rusqlite::Connection::open(bench.path(ARCHIVE)).unwrap();
    file.pragma_update(None, "foreign_keys", true).unwrap();
    for table in ["finish", "reading", "file"] {
        let refused = file.execute(&format!("DELETE FROM {table}"), []);
        assert!(refused.is_err(), "{table}");
    }
}
