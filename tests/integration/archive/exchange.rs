//! Everything leaves as plain files and comes back; what comes is taken for hostile.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use paneprint::archive::{Archive, verify};
use serde_json::Value;

use super::{ARCHIVE, keep_tiny, write_tiny};
use crate::bench::{ALIKE, Bench, DARKER, LIGHTER, PROGRAM};

/// Every file below a folder, by its path there.
pub(super) fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut open = vec![folder.to_owned()];
    while let Some(one) = open.pop() {
        for entry in fs::read_dir(&one).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else {
                let below = path.strip_prefix(folder).unwrap().to_owned();
                found.insert(below, fs::read(path).unwrap());
            }
        }
    }
    found
}

/// Copies a folder with all that is in it.
pub(super) fn copy(from: &Path, to: &Path) {
    for (name, bytes) in files(from) {
        fs::create_dir_all(to.join(&name).parent().unwrap()).unwrap();
        fs::write(to.join(name), bytes).unwrap();
    }
}

/// A bench with a rig and two finishes: one approved, one with its photo and notes of two lines.
pub(super) fn with_two() -> Bench {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    bench
        .run(&["approve", "bar", "--allow", "coverage=0.04"])
        .exits(0);
    let keep = [
        "keep",
        "tiny.jpg",
        "--name=alcove",
        "--anyway",
        "--with-photo",
    ];
    bench
        .run(&[&keep[..], &["--notes", "poured still,\nthen \"rinsed\""]].concat())
        .exits(0);
    bench
}

#[test]
fn an_export_comes_back_into_an_empty_archive_byte_for_byte() {
    let bench = Bench::with_sample();
    bench.keep("pale", &LIGHTER);
    bench.keep("deep", &DARKER);
    let limits = ["approve", "signed", "--light", "pale", "--dark", "deep"];
    bench
        .run(
            &[
                &limits[..],
                &["--variety", "slight", "--allow", "tone_b=2.5"],
            ]
            .concat(),
        )
        .exits(0);
    // Two samples may name each other as their limits.
    bench.run(&["approve", "pale", "--dark", "signed"]).exits(0);
    bench
        .run(&["ladder", "make", "wear", "light=pale", "heavy=deep"])
        .exits(0);
    bench.photo("panel.jpg", &ALIKE);
    let decide = [
        "--overrule",
        "outside",
        "--because",
        "hangs in \"full\" light,\nby day",
    ];
    bench
        .run(
            &[
                &["match", "panel.jpg", "--to", "signed", "--rig", "corner"],
                &decide[..],
            ]
            .concat(),
        )
        .exits(1);
    let odd = "--name=../../up \"and\" <b>away</b>; DROP TABLE finish";
    bench
        .run(&["keep", "panel.jpg", "--rig", "corner", "--with-photo", odd])
        .exits(0);

    bench
        .run(&["export", "first", "--with-photo"])
        .exits(0)
        .says("4 finishes written to first.");
    let there = ["--archive", "other.sqlite"];
    let other = |args: &[&str]| bench.run_bare(&[&there[..], args].concat());
    other(&["import", "first"])
        .exits(0)
        .quietly()
        .says("4 finishes kept.")
        .says("1 rig and 1 ladder kept.");
    other(&["verify"])
        .exits(0)
        .says("4 finishes, 4 readings, 2 approved samples and 4 photos");
    other(&["export", "again", "--with-photo"]).exits(0);
    let (first, again) = (files(&bench.path("first")), files(&bench.path("again")));
    assert_eq!(
        first.keys().collect::<Vec<_>>(),
        again.keys().collect::<Vec<_>>()
    );
    for (name, bytes) in &first {
        assert!(*bytes == again[name], "{} has changed", name.display());
    }
    // Twice is once.
    let before = bench.bytes("other.sqlite");
    other(&["import", "first"])
        .exits(0)
        .says("0 finishes kept, 4 there already.");
    assert_eq!(before, bench.bytes("other.sqlite"));
    // The answers are the same.
    for args in [
        &["show", "signed"][..],
        &["ladder", "show", "wear"],
        &["match", "pale", "--to", "signed"],
    ] {
        assert_eq!(bench.run(args).out, other(args).out);
    }
    let lines = String::from_utf8(bench.bytes("first/all.ndjson")).unwrap();
    assert_eq!(lines.lines().count(), 4);
    for line in lines.lines() {
        let line: Value = serde_json::from_str(line).unwrap();
        assert!(line["measures"]["coverage"]["value"].is_number());
        let folder = bench
            .path("first/finishes")
            .join(line["folder"].as_str().unwrap());
        let card = fs::read_to_string(folder.join("card.txt")).unwrap();
        assert!(card.starts_with(line["name"].as_str().unwrap()));
    }
    let table = String::from_utf8(bench.bytes("first/all.csv")).unwrap();
    assert!(
        table.starts_with("name,kept_at,approved,size,stage,coverage,coverage_low,coverage_high,")
    );
}

#[test]
fn one_finish_leaves_with_its_limit_pieces_and_without_its_photo_unless_asked() {
    let bench = Bench::with_sample();
    bench.keep("pale", &LIGHTER);
    bench.keep("deep", &DARKER);
    bench
        .run(&["approve", "signed", "--light", "pale"])
        .exits(0);
    bench
        .run(&["ladder", "make", "wear", "light=pale", "heavy=deep"])
        .exits(0);
    let done = bench
        .run(&["export", "out", "signed", "--json"])
        .exits(0)
        .json();
    // In the order in which they were kept, and of one second by name.
    let mut taken: Vec<&str> = done["finishes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|name| name.as_str().unwrap())
        .collect();
    taken.sort_unstable();
    assert_eq!(taken, ["pale", "signed"]);
    // A ladder stays behind where one of its finishes does.
    assert!(
        !String::from_utf8(bench.bytes("out/ladders.json"))
            .unwrap()
            .contains("wear")
    );
    bench
        .run(&["export", "none", "gone"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("`gone`");
    assert!(!bench.path("none").exists() && !bench.path(".none.paneprint-part").exists());
    // Where the limit piece is damaged, it stays, and its sample says so.
    rusqlite::Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch(
            "UPDATE reading SET fingerprint = '{}'
             WHERE finish_id = (SELECT id FROM finish WHERE name = 'pale')",
        )
        .unwrap();
    let part = bench
        .run(&["export", "part", "signed", "--json"])
        .exits(2)
        .complains("`signed` was signed with `pale`, which stayed behind");
    assert_eq!(part.json()["damaged"], serde_json::json!(["pale"]));
    let two = with_two();
    two.run(&["export", "out"])
        .exits(0)
        .says("1 of their photos are kept too and stayed behind");
    assert!(
        files(&two.path("out"))
            .keys()
            .all(|f| !f.to_string_lossy().contains("photo-"))
    );
    two.run_bare(&["--archive", "new.sqlite", "import", "out"])
        .exits(0);
    // The photo that comes later is kept beside what is there.
    two.run(&["export", "photos", "--with-photo"]).exits(0);
    for said in [
        "The photo of one that was there is kept now too.",
        "2 there already.",
    ] {
        two.run_bare(&["--archive", "new.sqlite", "import", "photos"])
            .exits(0)
            .says(said);
    }
    two.run_bare(&["--archive", "new.sqlite", "verify"])
        .exits(0)
        .says("1 photo");
}

#[test]
fn an_export_is_there_whole_or_not_at_all_and_never_in_anything_that_is_there() {
    let bench = with_two();
    fs::create_dir(bench.path("mine")).unwrap();
    bench.file("mine/letter.txt", "Dear client");
    for there in ["mine", "tiny.jpg"] {
        bench
            .run(&["export", there])
            .exits(2)
            .refuses_in_two_lines()
            .complains("there is something of that name already");
    }
    // What a program left that was stopped is in nobody's way.
    let left = ".left.paneprint-part";
    fs::create_dir_all(bench.path(left).join("finishes/half")).unwrap();
    bench.run(&["export", "left"]).exits(0);
    assert!(!bench.path(left).exists() && !bench.path("left/finishes/half").exists());
    assert_eq!(fs::read_dir(bench.path("mine")).unwrap().count(), 1);
    fs::create_dir(bench.path("empty")).unwrap();
    bench.run(&["export", "empty/"]).exits(0);
    assert!(bench.path("empty/all.csv").exists() && !bench.path(".empty.paneprint-part").exists());
}

#[test]
fn what_is_sound_in_a_damaged_archive_can_leave() {
    let bench = with_two();
    rusqlite::Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch("UPDATE reading SET fingerprint = '{}' WHERE finish_id = 1")
        .unwrap();
    bench
        .run(&["export", "out"])
        .exits(2)
        .complains("what was kept of `bar` is damaged")
        .says("1 finish written to out.");
    bench
        .run_bare(&["--archive", "new.sqlite", "import", "out"])
        .exits(0)
        .says("1 finish kept.");
}

#[test]
fn what_was_changed_does_not_leave_as_if_it_were_sound() {
    let bench = with_two();
    bench.run(&[
        "match",
        "alcove",
        "--to",
        "bar",
        "--overrule",
        "outside",
        "--because",
        "so",
    ]);
    let sound = bench.bytes(ARCHIVE);
    for (harm, stays, shown) in [
        ("UPDATE finish SET notes = 'mine' WHERE id = 2", "alcove", 0),
        ("UPDATE overruling SET decided = 'within'", "bar", 2),
        ("DELETE FROM reading WHERE finish_id = 1", "bar", 2),
    ] {
        bench.file(ARCHIVE, &sound);
        rusqlite::Connection::open(bench.path(ARCHIVE))
            .unwrap()
            .execute_batch(&format!("PRAGMA foreign_keys = OFF; {harm}"))
            .unwrap();
        let _ = fs::remove_dir_all(bench.path("out"));
        let left = bench.run(&["export", "out", "--json"]).exits(2);
        assert_eq!(left.json()["damaged"], serde_json::json!([stays]), "{harm}");
        bench.run(&["verify"]).exits(2).says(stays);
        let ran = bench.run(&["show", "bar"]);
        assert_eq!(ran.code(), Some(shown), "{harm}");
    }
    // Another's reading is not shown for it; its own leaves.
    bench.file(ARCHIVE, &sound);
    rusqlite::Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch("UPDATE finish SET reading_id = 2 WHERE id = 1")
        .unwrap();
    bench.run(&["show", "bar"]).exits(2);
    bench.run(&["export", "whole"]).exits(0);
    // A decision that was changed holds no longer.
    bench.file(ARCHIVE, &sound);
    bench.run(&["match", "alcove", "--to", "bar"]).exits(1);
    rusqlite::Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch("UPDATE overruling SET reason = 'not so'")
        .unwrap();
    bench
        .run(&["match", "alcove", "--to", "bar"])
        .exits(2)
        .says("Within")
        .complains("what was kept of `bar` is damaged");
}

#[test]
fn a_damaged_rig_ladder_or_limit_piece_stays_and_the_rest_leaves() {
    let bench = with_two();
    rusqlite::Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch(
            "PRAGMA foreign_keys = OFF;
             INSERT INTO rig (name, made_at, rig) VALUES ('corner', 'then', 'its light');
             INSERT INTO ladder_step VALUES ('torn', 1, 'light', 1, NULL), ('torn', 2, 'heavy', 99, NULL);",
        )
        .unwrap();
    let done = bench
        .run(&["export", "out", "--json"])
        .exits(2)
        .complains("the rig `corner`, or its study, is damaged")
        .complains("the ladder `torn` is damaged");
    assert_eq!(done.json()["finishes"].as_array().unwrap().len(), 2);
    let ladders = String::from_utf8(bench.bytes("out/ladders.json")).unwrap();
    assert!(!ladders.contains("torn"));
    bench
        .run(&["verify"])
        .exits(2)
        .says("The ladder `torn` has steps whose finishes are gone.");
    bench
        .run_bare(&["--archive", "new.sqlite", "import", "out"])
        .exits(0)
        .says("2 finishes kept.");
    rusqlite::Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch(
            "UPDATE reading SET fingerprint = '{}'
             WHERE finish_id = (SELECT id FROM finish WHERE name = 'bar')",
        )
        .unwrap();
    // What comes where that one is kept finds it damaged; the rest comes in.
    bench
        .run(&["import", "out"])
        .exits(2)
        .complains("what was kept of `bar` is damaged")
        .says("1 there already, 1 refused");
}

#[test]
fn a_name_that_is_kept_otherwise_is_refused_and_what_was_signed_here_stays() {
    let bench = with_two();
    bench.run(&["export", "out"]).exits(0);
    // The same piece, signed otherwise since.
    bench
        .run(&["approve", "bar", "--allow", "coverage=0.02"])
        .exits(0);
    let shown = bench.run(&["show", "bar", "--json"]).out;
    bench
        .run(&["import", "out"])
        .exits(0)
        .says("0 finishes kept, 2 there already.")
        .says("signed, decided or noted of `bar`, or written of how it was made, differs in the export");
    assert_eq!(shown, bench.run(&["show", "bar", "--json"]).out);
    // Another piece of the same name.
    let other = Bench::with_rig();
    other.keep("bar", &DARKER);
    copy(&bench.path("out"), &other.path("out"));
    let before = other.run(&["show", "bar", "--json"]).out;
    other
        .run(&["import", "out"])
        .exits(2)
        .complains("another one named `bar` is kept already")
        .says("1 finish kept, 1 refused.");
    assert_eq!(before, other.run(&["show", "bar", "--json"]).out);
}

#[test]
fn a_folder_that_is_no_export_is_refused() {
    let bench = Bench::new();
    fs::create_dir_all(bench.path("photos")).unwrap();
    write_tiny(&bench, "tiny.jpg");
    for folder in ["photos", "tiny.jpg", "gone"] {
        bench
            .run(&["import", folder])
            .exits(2)
            .refuses_in_two_lines()
            .complains("it is not there");
    }
    let two = with_two();
    two.run(&["export", "out"]).exits(0);
    two.file("out/rigs.json", "[]");
    two.run_bare(&["--archive", "new.sqlite", "import", "out"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("it cannot be understood");
    two.run_bare(&["--archive", "new.sqlite", "list"])
        .exits(0)
        .says("Nothing is kept yet");
}

#[test]
fn an_import_that_is_killed_has_taken_in_all_or_nothing() {
    let bench = Bench::new();
    write_tiny(&bench, "tiny.jpg");
    for i in 0..6 {
        keep_tiny(&bench, &format!("panel {i}")).exits(0);
    }
    bench.run(&["export", "out"]).exits(0);
    let run = |archive: &str| {
        Command::new(PROGRAM)
            .args(["--archive", archive, "import", "out"])
            .current_dir(bench.path("."))
            .stdout(Stdio::null())
            .spawn()
            .unwrap()
    };
    let begun = Instant::now();
    run("whole.sqlite").wait().unwrap();
    let took = begun.elapsed();
    let mut ends = [0; 2];
    for i in 0..12_u32 {
        let archive = format!("killed-{i}.sqlite");
        let mut program = run(&archive);
        std::thread::sleep(Duration::min(took * i / 10, took));
        let _ = program.kill();
        program.wait().unwrap();
        let path = bench.path(&archive);
        let kept = Archive::open(&path).unwrap().names().unwrap().len();
        assert!(kept == 0 || kept == 6, "{kept} of 6 after kill {i}");
        assert_eq!(verify(&path).unwrap().problems, []);
        ends[usize::from(kept == 6)] += 1;
    }
    println!(
        "imports killed: {} took in nothing, {} all",
        ends[0], ends[1]
    );
    assert!(bench.path(ARCHIVE).exists());
}

#[test]
fn an_export_without_colour_comes_in_and_leaves_without() {
    let bench = with_two();
    bench.run(&["export", "out"]).exits(0);
    // As it was written before colour was kept.
    for folder in fs::read_dir(bench.path("out/finishes")).unwrap() {
        let folder = folder.unwrap().path();
        let file = folder.join("finish.json");
        let mut finish: Value = serde_json::from_slice(&fs::read(&file).unwrap()).unwrap();
        finish["schema"] = 3.into();
        for reading in finish["readings"].as_array_mut().unwrap() {
            assert!(reading["colour"]["digest"].is_string());
            reading.as_object_mut().unwrap().remove("colour");
        }
        fs::remove_file(folder.join("colour.png")).unwrap();
        fs::write(file, without_colour(&folder, &finish)).unwrap();
    }
    let other = |args: &[&str]| bench.run_bare(&[&["--archive", "other.sqlite"], args].concat());
    other(&["import", "out"]).exits(0);
    other(&["verify"]).exits(0);
    other(&["show", "bar", "--page", "bar.html"]).exits(0);
    other(&["export", "again"]).exits(0);
    let again = files(&bench.path("again"));
    assert!(again.keys().all(|name| !name.ends_with("colour.png")));
}

/// The text of `finish.json` without the colour of its readings, everything else as it stands: digests hold for texts byte by
/// byte.
fn without_colour(folder: &Path, finish: &Value) -> String {
    let text = fs::read_to_string(folder.join("finish.json")).unwrap();
    let begin = text.find("\"colour\": {").unwrap();
    let end = begin + text[begin..].find("},").unwrap() + 2;
    let text = format!("{}{}", &text[..begin], text[end..].trim_start());
    let text = text.replacen("\"schema\": 5", "\"schema\": 3", 1);
    let read: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(&read, finish);
    text
}

#[test]
fn a_colour_that_was_changed_or_is_another_panels_is_found() {
    let bench = with_two();
    let file = rusqlite::Connection::open(bench.path(ARCHIVE)).unwrap();
    let png = {
        let mut out = std::io::Cursor::new(Vec::new());
        image::RgbImage::new(3, 40)
            .write_to(&mut out, image::ImageFormat::Png)
            .unwrap();
        out.into_inner()
    };
    let digest = blake3::hash(&png).to_hex().to_string();
    file.execute(
        "INSERT INTO file (digest, bytes) VALUES (?1, ?2)",
        (&digest, &png),
    )
    .unwrap();
    file.execute(
        "UPDATE reading SET colour = ?1 WHERE finish_id = (SELECT id FROM finish WHERE name = 'bar')",
        [&digest],
    )
    .unwrap();
    drop(file);
    let problems = verify(&bench.path(ARCHIVE)).unwrap().problems;
    let bar = || "bar".to_owned();
    assert!(problems.contains(&paneprint::archive::Problem::ReadingChanged(bar())));
    assert!(problems.contains(&paneprint::archive::Problem::PictureUnreadable(bar())));
}
