//! An export made of any bytes, taken into an archive.
//!
//! A case is six files with [`PART`] between them: `finish.json`, `silver.png`, `picture.png`, `rigs.json`, `ladders.json`,
//! `all.ndjson`. The words `@SILVER@`, `@PICTURE@`, `@FINGERPRINT@` and `@RECIPE@` in the first stand for the digests, in order
//! that what was changed is looked at and not only refused for having changed. What was taken must be sound, leave, and be there
//! when it comes again.

#![no_main]

use std::fs;

use libfuzzer_sys::fuzz_target;
use paneprint::archive::exchange::Outcome;
use paneprint::archive::{Archive, Recipe, verify};
use paneprint::document::card::{Leaving, card};
use paneprint::document::line::{cells, line};
use paneprint::document::page::page;
use paneprint::document::reading::{Named, document};
use paneprint::silver::{self, Silver};
use paneprint_fuzz::{Bench, allow_caught_panics};
use serde::Deserialize;
use serde_json::value::RawValue;

const PART: &[u8] = b"\n@PART@\n";

#[derive(Deserialize)]
struct Finish<'a> {
    #[serde(borrow)]
    readings: Vec<Reading<'a>>,
    #[serde(borrow, default)]
    recipes: Vec<RecipeFile<'a>>,
}

#[derive(Deserialize)]
struct Reading<'a> {
    #[serde(borrow)]
    fingerprint: &'a RawValue,
}

#[derive(Deserialize)]
struct RecipeFile<'a> {
    #[serde(borrow)]
    recipe: &'a RawValue,
}

fn parts(data: &[u8]) -> Vec<&[u8]> {
    let (mut parts, mut rest) = (Vec::new(), data);
    while let Some(at) = rest.windows(PART.len()).position(|w| w == PART) {
        parts.push(&rest[..at]);
        rest = &rest[at + PART.len()..];
    }
    parts.push(rest);
    parts
}

fn digest(bytes: &[u8]) -> String {
    blake3::hash(bytes).to_hex().to_string()
}

/// The first file with the digests in it.
fn finish(text: &[u8], silver: &[u8], picture: &[u8]) -> Vec<u8> {
    let Ok(text) = std::str::from_utf8(text) else {
        return text.to_vec();
    };
    let mut text = text
        .replace("@SILVER@", &digest(silver))
        .replace("@PICTURE@", &digest(picture));
    let first = |f: &Finish<'_>| {
        [
            ("@FINGERPRINT@", f.readings.first().map(|r| r.fingerprint)),
            ("@RECIPE@", f.recipes.first().map(|r| r.recipe)),
        ]
        .map(|(word, raw)| Some((word, digest(raw?.get().as_bytes()))))
    };
    let digests = serde_json::from_str(&text).ok().map(|f| first(&f));
    for (word, digest) in digests.into_iter().flatten().flatten() {
        text = text.replace(word, &digest);
    }
    text.into_bytes()
}

thread_local! {
    static BENCH: Bench = Bench::new();
    static EMPTY: Vec<u8> = {
        let bench = Bench::new();
        let path = bench.path("empty.sqlite");
        drop(Archive::open(&path).expect("an archive"));
        fs::read(path).expect("its bytes")
    };
}

/// Everything that is said of a finish.
fn said(archive: &Archive, name: &str) {
    let (Ok(Some(finish)), Ok(approval)) = (archive.finish(name), archive.approval(name)) else {
        return;
    };
    let decisions = archive.overrulings_beside(name).expect("decisions");
    let recipes = archive.recipes_of(name).expect("recipes").into_iter();
    let recipes: Vec<Recipe> = recipes.map(|r| r.expect("a recipe")).collect();
    let leaving = Leaving {
        name,
        kept_at: &finish.kept_at,
        photo_name: &finish.photo_name,
        notes: &finish.notes,
        approval: approval.as_ref(),
        recipes: &recipes,
        decisions: &decisions,
        fingerprint: Some(&finish.fingerprint),
        readings: 2,
        folder: "one",
    };
    let _ = (line(&leaving), cells(&leaving), card(&leaving));
    let kept = archive.pictures(name).expect("pictures");
    let Ok(plane) = silver::silver_of(&kept.silver_map) else {
        return;
    };
    let silver = Silver {
        plane,
        tints: kept.colour.and_then(|png| silver::tints_of(&png).ok()),
        px_per_mm: finish.fingerprint.provenance.px_per_mm,
        speckles: None,
    };
    let named = Named {
        title: name.to_owned(),
        photo: finish.photo_name.clone(),
        fingerprint: &finish.fingerprint,
        kept: None,
        recipe: recipes.last(),
        gone: None,
    };
    let _ = document(&named, Some(&silver)).map(|document| page(&document));
}

/// Every finish leaves, and what came of it is there again when it comes back.
fn leaves(archive: &mut Archive, bench: &Bench) {
    for name in archive.names().expect("names") {
        said(archive, &name);
        let exported = archive.export(&name, true).expect("a finish that leaves");
        for (file, bytes) in exported.files {
            bench.file(&format!("again/finishes/one/{file}"), &bytes);
        }
        let again = archive.import(&bench.path("again")).expect("an export");
        for came in again.finishes {
            assert!(
                matches!(came.outcome, Outcome::There),
                "{}: {:?}",
                came.name,
                came.outcome
            );
        }
    }
    let names = archive.names().expect("names").into_iter().collect();
    let damaged = [
        archive.rigs_file().expect("rigs").1,
        archive.ladders_file(&names).expect("ladders").1,
        archive.looks("own").expect("looks").damaged,
    ];
    assert!(damaged.iter().all(Vec::is_empty), "{damaged:?}");
    archive.recipes().expect("recipes");
}

fn run(data: &[u8], bench: &Bench, empty: &[u8]) {
    let parts = parts(data);
    let part = |i: usize| parts.get(i).copied().unwrap_or_default();
    let _ = fs::remove_dir_all(bench.path("came"));
    let _ = fs::remove_dir_all(bench.path("again"));
    let whole = finish(part(0), part(1), part(2));
    bench.file("came/finishes/one/finish.json", &whole);
    bench.file("came/finishes/one/silver.png", part(1));
    bench.file("came/finishes/one/picture.png", part(2));
    for (i, name) in ["rigs.json", "ladders.json", "all.ndjson"]
        .into_iter()
        .enumerate()
    {
        if parts.len() > 3 + i {
            bench.file(&format!("came/{name}"), part(3 + i));
        }
    }
    let path = bench.file("archive.sqlite", empty);
    let mut archive = Archive::open(&path).expect("an archive");
    let import = archive.import(&bench.path("came"));
    assert!(
        bench
            .names()
            .iter()
            .all(|n| ["came", "again", "archive.sqlite"].contains(&n.as_str())),
        "written elsewhere: {:?}",
        bench.names()
    );
    let sound = verify(&path).expect("an archive");
    assert!(sound.problems.is_empty(), "{:?}", sound.problems);
    match import {
        Ok(_) => leaves(&mut archive, bench),
        Err(_) => assert!(archive.names().expect("names").is_empty()),
    }
}

fuzz_target!(init: allow_caught_panics(), |data: &[u8]| {
    BENCH.with(|bench| EMPTY.with(|empty| run(data, bench, empty)));
});
