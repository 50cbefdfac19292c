//! An approved sample is an original: no statement of the program deletes or overwrites one, and the file itself refuses.

use std::fs;
use std::path::Path;

use super::{ARCHIVE, keep_tiny};
use crate::bench::Bench;

/// Tables of which rows may be taken away: what is worked out anew, or is said again as a whole.
const MAY_GO: [&str; 3] = ["ladder_step", "look", "rig_study"];

/// Tables of which rows may change: which reading of a finish holds, and the checksum of any row.
const MAY_CHANGE: [&str; 2] = ["finish", "{table}"];

/// Tables of which a row may be said anew: what is added in signing again; the rig before goes to `earlier_rig`.
const MAY_BE_SAID_ANEW: [&str; 4] = ["approval", "look", "rig", "rig_study"];

/// The word after each place where a text says something.
fn after<'a>(text: &'a str, said: &str) -> Vec<&'a str> {
    text.match_indices(said)
        .filter_map(|(at, _)| text[at + said.len()..].split_whitespace().next())
        .collect()
}

fn sources(folder: &Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if !path.ends_with("tests.rs") {
            let text = fs::read_to_string(path).unwrap();
            // What a file's own tests do to an archive of theirs is no statement of the program.
            found.push(text.split("#[cfg(test)]").next().unwrap().to_owned());
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
    // What is said in its own tests the program does not say.
    let said = texts
        .iter()
        .filter_map(|text| text.split("#[cfg(test)]").next());
    for text in said {
        for table in after(text, "DELETE FROM ") {
            assert!(MAY_GO.contains(&table), "DELETE FROM {table}");
            seen += 1;
        }
        for table in after(text, "UPDATE ").into_iter().filter(|t| *t != "SET") {
            assert!(MAY_CHANGE.contains(&table), "UPDATE {table}");
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
