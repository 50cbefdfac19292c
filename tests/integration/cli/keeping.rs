//! What is kept stays as it is: names, lists, and files that are no archive.

use crate::bench::{Bench, SAMPLE};

#[test]
fn a_name_kept_twice_is_refused_and_nothing_is_overwritten() {
    let bench = Bench::with_rig();
    bench.keep("bar", &SAMPLE);
    let before = bench.run(&["show", "bar", "--json"]).exits(0).out;
    bench
        .run(&["keep", "kept.jpg", "--name", "bar", "--notes", "again"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("a finish named `bar` is already kept");
    assert_eq!(before, bench.run(&["show", "bar", "--json"]).out);
}

#[test]
fn any_name_that_can_be_shown_is_kept_and_shown_as_text() {
    let bench = Bench::with_rig();
    let names = [
        "bar, second wall",
        "the \"good\" one's twin",
        "../../up",
        "<b>bold</b>",
        "x'); DROP TABLE finish; --",
        "-leading",
        "Grünspan 銀",
    ];
    for name in names {
        bench.keep(name, &SAMPLE);
    }
    let listed = bench.run(&["list", "--json"]).exits(0).json_lines();
    let listed: Vec<&str> = listed.iter().map(|f| f["name"].as_str().unwrap()).collect();
    assert_eq!(listed, names);
    let text = bench.run(&["list"]).exits(0).out;
    for (name, line) in names.iter().zip(text.lines()) {
        assert!(line.starts_with(&format!("{name}  (kept 2")), "{line}");
        bench.run(&["show", "--", name]).exits(0).says(name);
    }
    let mut files: Vec<_> = std::fs::read_dir(bench.path("."))
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .collect();
    files.sort();
    assert_eq!(
        files,
        [
            "archive.sqlite",
            "kept.jpg",
            "kept.jpg.place.json",
            "plain.jpg",
            "plain.jpg.place.json"
        ]
    );
}

#[test]
fn a_name_that_cannot_be_shown_is_refused() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &SAMPLE);
    bench.photo("plain.jpg", &crate::bench::PLAIN);
    for name in ["", "  ", "two\nlines", "bell\x07", &"long ".repeat(50)] {
        let kept = format!("--name={name}");
        for args in [
            &["keep", "panel.jpg", &kept][..],
            &["rig", "make", name, "--plain", "plain.jpg"],
        ] {
            bench
                .run(args)
                .exits(2)
                .refuses_in_two_lines()
                .complains("cannot be a name");
        }
    }
    bench.run(&["list"]).exits(0).says("Nothing is kept yet");
}

#[test]
fn what_is_kept_is_listed_and_shown_with_its_notes_and_approval() {
    let bench = Bench::with_rig();
    bench.photo("panel.jpg", &SAMPLE);
    let keep = ["keep", "panel.jpg", "--name", "bar", "--rig", "corner"];
    let notes = ["--notes", "poured still, 40 s", "--stage", "dry"];
    bench
        .run(&[&keep[..], &notes].concat())
        .exits(0)
        .says("Kept as `bar` in archive.sqlite");
    bench
        .run(&["approve", "bar"])
        .exits(0)
        .says("approved sample");
    bench.run(&["list"]).exits(0).says(", approved)");
    bench
        .run(&["show", "bar"])
        .exits(0)
        .says("approved 2")
        .says("Notes: poured still, 40 s");
    let shown = bench.run(&["show", "bar", "--json"]).exits(0).json();
    let measured = bench
        .run(&["measure", "panel.jpg", "--rig", "corner", "--json"])
        .json();
    assert_eq!(shown["measures"], measured["measures"]);
    assert_eq!(shown["placement"]["stage"], "dry");
}

#[test]
fn without_an_archive_named_it_lies_in_the_data_folder() {
    let bench = Bench::new();
    bench
        .run_bare(&["list"])
        .exits(0)
        .says("Nothing is kept yet");
}

#[test]
fn a_file_that_is_no_archive_a_newer_an_older_or_a_damaged_one_is_refused_and_left_alone() {
    let bench = Bench::with_sample();
    let archive = bench.bytes("archive.sqlite");
    bench.file("letter.txt", "Dear client,\n");
    bench.file("long.txt", "Dear client,\n".repeat(1000));
    bench.bare_photo("photo.jpg", &SAMPLE);
    let other = rusqlite::Connection::open(bench.path("foreign.sqlite")).unwrap();
    other.execute_batch("CREATE TABLE theirs (x)").unwrap();
    drop(other);
    for (file, version) in [("newer.sqlite", 99), ("older.sqlite", 3)] {
        bench.file(file, &archive);
        rusqlite::Connection::open(bench.path(file))
            .unwrap()
            .pragma_update(None, "user_version", version)
            .unwrap();
    }
    // Past the first page, which tells what the file is, everything is overwritten; or cut off.
    let mut scribbled = archive.clone();
    scribbled[4096..].fill(0xa5);
    bench.file("scribbled.sqlite", scribbled);
    bench.file("cut.sqlite", &archive[..archive.len() / 2]);
    bench.photo("panel.jpg", &SAMPLE);
    for (file, said) in [
        ("letter.txt", "not a paneprint archive"),
        ("long.txt", "not a paneprint archive"),
        ("photo.jpg", "not a paneprint archive"),
        ("foreign.sqlite", "not a paneprint archive"),
        ("newer.sqlite", "this archive has version 99; "),
        ("older.sqlite", "this archive has version 3; "),
        ("scribbled.sqlite", "damaged and was left as it is"),
        ("cut.sqlite", "damaged and was left as it is"),
    ] {
        let before = bench.bytes(file);
        for args in [
            &["list"][..],
            &["show", "signed"],
            &["keep", "panel.jpg", "--name", "new"],
            &["approve", "signed"],
        ] {
            bench
                .run_bare(&[&["--archive", file], args].concat())
                .exits(2)
                .refuses_in_two_lines()
                .complains(&format!(": {file}"))
                .complains(said);
            assert!(before == bench.bytes(file), "{file} {args:?}");
        }
    }
}
