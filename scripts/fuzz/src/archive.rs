//! An archive of any bytes, opened, listed, looked over and taken out.
//!
//! A case that is no SQLite file is `TABLE.COLUMN`, a line's end, and what to write into that column of a sound archive: a
//! number where it reads as one, text where it is text, bytes else. So rows are reached that a changed page would hide.

#![no_main]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use libfuzzer_sys::fuzz_target;
use paneprint::archive::{Archive, backup, verify};
use paneprint_fuzz::{Bench, allow_caught_panics};
use rusqlite::Connection;
use rusqlite::types::Value;

thread_local! {
    static BENCH: Bench = Bench::new();
    /// A sound archive, which `scripts/fuzz/run` names.
    static SOUND: Vec<u8> = std::env::var_os("PANEPRINT_SOUND_ARCHIVE")
        .and_then(|path| fs::read(path).ok())
        .unwrap_or_default();
}

/// Writes into a column of a sound archive; nothing where the place is none.
fn write_into(path: &Path, data: &[u8]) -> Option<()> {
    let end = data.iter().position(|b| *b == b'\n')?;
    let place = std::str::from_utf8(&data[..end]).ok()?;
    let (table, column) = place.split_once('.')?;
    let word = |w: &str| !w.is_empty() && w.bytes().all(|b| b.is_ascii_lowercase() || b == b'_');
    if !word(table) || !word(column) {
        return None;
    }
    let value = match std::str::from_utf8(&data[end + 1..]) {
        Ok("NULL") => Value::Null,
        Ok(text) => text
            .parse()
            .map(Value::Integer)
            .or_else(|_| text.parse().map(Value::Real))
            .unwrap_or_else(|_| Value::Text(text.to_owned())),
        Err(_) => Value::Blob(data[end + 1..].to_vec()),
    };
    let connection = Connection::open(path).ok()?;
    connection.pragma_update(None, "foreign_keys", false).ok()?;
    connection
        .pragma_update(None, "ignore_check_constraints", true)
        .ok()?;
    connection.pragma_update(None, "synchronous", "OFF").ok()?;
    connection
        .execute(&format!("UPDATE {table} SET {column} = ?1"), [value])
        .ok()?;
    Some(())
}

/// Everything that is read of an archive.
fn read(path: &Path, bench: &Bench) -> paneprint::Result<()> {
    let mut archive = Archive::open_there(path)?;
    let _ = archive.listed();
    let _ = archive.looks("own");
    let _ = archive.rigs_file();
    let _ = archive.recipes();
    for ladder in archive.ladders().unwrap_or_default() {
        let _ = archive.ladder(&ladder);
    }
    let names = archive.names()?;
    let all: BTreeSet<String> = names.iter().cloned().collect();
    let _ = archive.ladders_file(&all);
    for name in names.iter().take(20) {
        let _ = archive.finish(name);
        let _ = archive.readings(name);
        let _ = archive.approval(name);
        let _ = archive.overrulings_beside(name);
        let _ = archive.recipes_of(name);
        let _ = archive.export(name, true);
    }
    let copy = bench.path("copy.sqlite");
    let _ = fs::remove_file(&copy);
    let _ = backup(path, &copy);
    Ok(())
}

fn run(data: &[u8], bench: &Bench, sound: &[u8]) {
    for left in bench.names() {
        let _ = fs::remove_file(bench.path(&left));
    }
    let foreign = !data.starts_with(b"SQLite format 3\0");
    let path = bench.file("archive.sqlite", if foreign { sound } else { data });
    if foreign && write_into(&path, data).is_none() {
        let path = bench.file("foreign.sqlite", data);
        if !data.is_empty() {
            assert!(Archive::open_there(&path).is_err());
            assert_eq!(
                fs::read(&path).expect("the file"),
                data,
                "a foreign file was changed"
            );
        }
        return;
    }
    let _ = verify(&path);
    let _ = read(&path, bench);
}

fuzz_target!(init: allow_caught_panics(), |data: &[u8]| {
    BENCH.with(|bench| SOUND.with(|sound| run(data, bench, sound)));
});
