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
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
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

/// A bench with a rig and two finishes: one approved, one with its photo and notes of two lines.
fn with_two() -> Bench {
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
        .says("4 finishes, 4 readings, 2 approved samples and 1 photo");
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
    assert!(!bench.path("none").exists() && !bench.path("none.part").exists());
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
    fs::create_dir(bench.path("left.part")).unwrap();
    bench
        .run(&["export", "left"])
        .exits(2)
        .refuses_in_two_lines();
    assert_eq!(fs::read_dir(bench.path("mine")).unwrap().count(), 1);
    fs::create_dir(bench.path("empty")).unwrap();
    bench.run(&["export", "empty/"]).exits(0);
    assert!(bench.path("empty/all.csv").exists() && !bench.path("empty.part").exists());
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

/// What is done to an export before it is taken in.
type Harm = (&'static str, fn(&Path), &'static str);

/// The folder of the finish `bar` in an export.
fn bar(export: &Path) -> PathBuf {
    let mut inside = fs::read_dir(export.join("finishes")).unwrap();
    let is_bar = |path: &PathBuf| {
        path.file_name()
            .unwrap()
            .to_string_lossy()
            .starts_with("bar-")
    };
    inside
        .find_map(|e| Some(e.unwrap().path()).filter(is_bar))
        .unwrap()
}

/// Changes `finish.json` of `bar` as text.
fn edit(export: &Path, from: &str, to: &str) {
    let file = bar(export).join("finish.json");
    let text = fs::read_to_string(&file).unwrap();
    assert!(text.contains(from), "{from}");
    fs::write(file, text.replacen(from, to, 1)).unwrap();
}

/// A PNG of a few bytes that claims to be so large.
fn bomb(side: u32) -> Vec<u8> {
    let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
    png.extend(side.to_be_bytes());
    png.extend(side.to_be_bytes());
    png.extend([8, 0, 0, 0, 0]);
    let mut crc = u32::MAX;
    for byte in &png[12..29] {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = (crc >> 1) ^ (0xedb8_8320 & 0_u32.wrapping_sub(crc & 1));
        }
    }
    png.extend((!crc).to_be_bytes());
    png
}

/// Puts other bytes in the place of the silver map, with the digest that goes with them.
fn other_map(export: &Path, bytes: &[u8]) {
    let map = bar(export).join("silver.png");
    let digest = |bytes: &[u8]| blake3::hash(bytes).to_hex().to_string();
    let was = digest(&fs::read(&map).unwrap());
    fs::write(&map, bytes).unwrap();
    edit(export, &was, &digest(bytes));
}

/// A grey PNG.
fn grey(width: u32, height: u32) -> Vec<u8> {
    let mut out = std::io::Cursor::new(Vec::new());
    image::GrayImage::from_pixel(width, height, image::Luma([200]))
        .write_to(&mut out, image::ImageFormat::Png)
        .unwrap();
    out.into_inner()
}

const HARMS: [Harm; 25] = [
    (
        "no JSON",
        |e| fs::write(bar(e).join("finish.json"), "{").unwrap(),
        "finish.json: it cannot be understood",
    ),
    (
        "wrong types",
        |e| edit(e, "\"notes\": \"\"", "\"notes\": 7"),
        "finish.json: it cannot be understood",
    ),
    (
        "more keys",
        |e| edit(e, "\"notes\": \"\"", "\"notes\": \"\", \"x\": 1"),
        "finish.json: it cannot be understood",
    ),
    (
        "a key gone",
        |e| edit(e, "\"notes\": \"\",", ""),
        "finish.json: it cannot be understood",
    ),
    (
        "too deep",
        |e| {
            edit(
                e,
                "{\"version\":",
                &format!(
                    "{{\"x\":{}{},\"version\":",
                    "[".repeat(5000),
                    "]".repeat(5000)
                ),
            )
        },
        "finish.json: ",
    ),
    (
        "a newer form",
        |e| edit(e, "\"schema\": 3", "\"schema\": 9"),
        "it has form 9",
    ),
    (
        "a huge file",
        |e| {
            fs::File::create(bar(e).join("finish.json"))
                .unwrap()
                .set_len(20 << 20)
                .unwrap()
        },
        "larger than 16 MiB",
    ),
    (
        "a name of two lines",
        |e| edit(e, "\"name\": \"bar\"", "\"name\": \"b\\nar\""),
        "`name` cannot be used",
    ),
    (
        "a date that is none",
        |e| edit(e, "\"kept_at\": \"2", "\"kept_at\": \"x"),
        "`kept_at` cannot be used",
    ),
    (
        "a terminal's command",
        |e| edit(e, "\"notes\": \"\"", "\"notes\": \"\\u001b[2J\""),
        "`notes` cannot be used",
    ),
    (
        "an allowance of nothing",
        |e| edit(e, "\"coverage\": 0.04", "\"silver\": 0.04"),
        "`allowances` cannot be used",
    ),
    (
        "a limit piece that is not there",
        |e| edit(e, "\"light\": null", "\"light\": \"gone\""),
        "its limit piece `gone` is neither here",
    ),
    (
        "a changed figure",
        |e| {
            edit(
                e,
                "\"coverage\":{\"Ok\":{\"value\":0",
                "\"coverage\":{\"Ok\":{\"value\":1",
            )
        },
        "it has changed since it was written",
    ),
    (
        "a way out",
        |e| {
            edit(
                e,
                "\"file\": \"silver.png\"",
                "\"file\": \"../../rigs.json\"",
            )
        },
        "it names a file outside its folder",
    ),
    (
        "an absolute way out",
        |e| edit(e, "\"file\": \"silver.png\"", "\"file\": \"/etc/passwd\""),
        "it names a file outside its folder",
    ),
    (
        "a picture gone",
        |e| fs::remove_file(bar(e).join("picture.png")).unwrap(),
        "picture.png: it is not there",
    ),
    (
        "a picture changed",
        |e| fs::write(bar(e).join("picture.png"), "x").unwrap(),
        "picture.png: it has changed",
    ),
    (
        "no picture",
        |e| other_map(e, b"GIF89a"),
        "silver.png: it is no picture that opens",
    ),
    (
        "a map of one pixel",
        |e| other_map(e, &grey(1, 1)),
        "silver.png: it cannot be the silver map of its reading (found 1 x 1 pixels)",
    ),
    (
        "a map of another shape",
        |e| other_map(e, &grey(40, 400)),
        "silver.png: it cannot be the silver map of its reading",
    ),
    (
        "a map with more behind it",
        |e| {
            let map = fs::read(bar(e).join("silver.png")).unwrap();
            other_map(e, &[&map[..], b"more"].concat());
        },
        "silver.png: it is no picture that opens (something follows its end)",
    ),
    (
        "a picture that is huge",
        |e| other_map(e, &bomb(50_000)),
        "silver.png: it is no picture that opens",
    ),
    (
        "a picture that is vast",
        |e| other_map(e, &bomb(u32::MAX >> 1)),
        "silver.png: it is no picture that opens",
    ),
    (
        "a link",
        |e| link(&bar(e).join("silver.png"), Path::new("/etc/passwd")),
        "silver.png: it is a link, a folder or a device",
    ),
    (
        "a folder",
        |e| {
            fs::remove_file(bar(e).join("silver.png")).unwrap();
            fs::create_dir(bar(e).join("silver.png")).unwrap();
        },
        "silver.png: it is a link, a folder or a device",
    ),
];

#[cfg(unix)]
fn link(at: &Path, to: &Path) {
    fs::remove_file(at).unwrap();
    std::os::unix::fs::symlink(to, at).unwrap();
}

#[cfg(not(unix))]
fn link(at: &Path, _: &Path) {
    fs::remove_file(at).unwrap();
    fs::create_dir(at).unwrap();
}

fn copy(from: &Path, to: &Path) {
    for (name, bytes) in files(from) {
        fs::create_dir_all(to.join(&name).parent().unwrap()).unwrap();
        fs::write(to.join(name), bytes).unwrap();
    }
}

#[test]
fn each_thing_that_is_wrong_with_a_finish_is_one_error_that_names_the_file_and_the_rest_comes_in() {
    let bench = with_two();
    bench.run(&["export", "good", "--with-photo"]).exits(0);
    for (i, (harm, harms, said)) in HARMS.iter().enumerate() {
        let (export, archive) = (format!("export-{i}"), format!("{i}.sqlite"));
        copy(&bench.path("good"), &bench.path(&export));
        harms(&bench.path(&export));
        let ran = bench
            .run_bare(&["--archive", &archive, "import", &export])
            .exits(2)
            .says("1 finish kept, 1 refused.");
        let lines: Vec<&str> = ran.err.lines().collect();
        assert_eq!(lines.len(), 2, "{harm}: {}", ran.err);
        assert!(lines[0].contains(said), "{harm}: {}", ran.err);
        assert!(
            lines[0].contains(&format!("{export}/finishes/bar-")),
            "{harm}: {}",
            ran.err
        );
        let listed = bench.run_bare(&["--archive", &archive, "list"]).exits(0);
        assert!(
            listed.out.starts_with("alcove") && listed.out.lines().count() == 1,
            "{harm}"
        );
        bench.run_bare(&["--archive", &archive, "verify"]).exits(0);
    }
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
        .complains("rigs.json: it cannot be understood");
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
