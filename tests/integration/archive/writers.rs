//! Two programs keep panels at once, and a third copies the archive meanwhile: none loses anything.

use std::process::{Child, Command, Stdio};

use paneprint::archive::Archive;

use super::{ARCHIVE, keep_tiny, times, write_tiny};
use crate::bench::{Bench, PROGRAM};

fn keeping(bench: &Bench, who: &str) -> Child {
    Command::new(PROGRAM)
        .args(["--archive", ARCHIVE, "keep", who, "--anyway", "--json"])
        .arg(format!("--name={who}"))
        .current_dir(bench.path("."))
        .stdout(Stdio::null())
        .spawn()
        .unwrap()
}

/// A folder of photos for each.
fn photos(bench: &Bench, who: &str, each: usize) {
    std::fs::create_dir(bench.path(who)).unwrap();
    (0..each).for_each(|i| write_tiny(bench, &format!("{who}/{i}.jpg")));
}

#[test]
fn two_programs_that_keep_at_once_both_keep_everything_while_a_third_copies() {
    let each = times("PANEPRINT_WRITERS", 25);
    let bench = Bench::new();
    let both = ["one", "two"];
    both.iter().for_each(|who| photos(&bench, who, each));
    // Both make the archive: neither finds one there.
    let mut running: Vec<Child> = both.iter().map(|who| keeping(&bench, who)).collect();
    let mut copies = 0;
    while running.iter_mut().any(|p| p.try_wait().unwrap().is_none()) {
        if bench.path(ARCHIVE).metadata().is_ok_and(|m| m.len() > 0) {
            let to = format!("copy-{copies}.sqlite");
            bench
                .run(&["backup", &to])
                .exits(0)
                .says("written and checked");
            copies += 1;
        }
        std::thread::sleep(std::time::Duration::from_millis(200));
    }
    for mut program in running {
        assert!(program.wait().unwrap().success());
    }
    let kept = Archive::open(&bench.path(ARCHIVE))
        .unwrap()
        .names()
        .unwrap();
    assert_eq!(kept.len(), 2 * each);
    bench
        .run(&["verify"])
        .exits(0)
        .says("All is as it was kept");
    println!(
        "{} finishes kept by two programs at once, {copies} copies made meanwhile",
        kept.len()
    );
}

#[test]
fn a_name_kept_by_two_programs_at_once_is_kept_by_one_of_them() {
    let bench = Bench::new();
    write_tiny(&bench, "same.jpg");
    let keep = || {
        Command::new(PROGRAM)
            .args(["--archive", ARCHIVE, "keep", "same.jpg", "--anyway"])
            .current_dir(bench.path("."))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    };
    let running = [keep(), keep(), keep()];
    let codes = running.map(|mut p| p.wait().unwrap().code());
    assert_eq!(
        codes.iter().filter(|c| **c == Some(0)).count(),
        1,
        "{codes:?}"
    );
    assert_eq!(
        codes.iter().filter(|c| **c == Some(2)).count(),
        2,
        "{codes:?}"
    );
}

#[test]
fn an_archive_that_another_program_holds_is_waited_for_and_read_meanwhile() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    let other = rusqlite::Connection::open(bench.path(ARCHIVE)).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    bench.run(&["list"]).exits(0).says("bar");
    let waiting = std::thread::spawn(move || {
        std::thread::sleep(std::time::Duration::from_millis(700));
        other.execute_batch("ROLLBACK").unwrap();
    });
    bench.run(&["approve", "bar"]).exits(0);
    waiting.join().unwrap();
}

#[test]
fn a_backup_goes_to_a_new_file_or_nowhere() {
    let bench = Bench::new();
    bench
        .run(&["backup", "copy.sqlite"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("there is no archive here");
    keep_tiny(&bench, "bar").exits(0);
    bench.run(&["approve", "bar"]).exits(0);
    bench
        .run(&["backup", "copy.sqlite"])
        .exits(0)
        .says("1 finish, 1 reading and 1 approved sample");
    let copy = bench.bytes("copy.sqlite");
    for there in ["copy.sqlite", "archive.sqlite"] {
        bench
            .run(&["backup", there])
            .exits(2)
            .refuses_in_two_lines()
            .complains("there is something of that name already");
    }
    // What a program left that was stopped is in nobody's way.
    bench.file(".new.sqlite.paneprint-part", "half of a copy");
    bench.run(&["backup", "new.sqlite"]).exits(0);
    assert!(!bench.path(".new.sqlite.paneprint-part").exists());
    bench
        .run(&["backup", "gone/copy.sqlite"])
        .exits(2)
        .refuses_in_two_lines();
    assert_eq!(copy, bench.bytes("copy.sqlite"));
    assert!(!bench.path(".copy.sqlite.paneprint-part").exists());
    let shown = bench.run(&["show", "bar"]).exits(0).out;
    let of_copy = bench.run_bare(&["show", "bar", "--archive", "copy.sqlite"]);
    assert_eq!(shown, of_copy.exits(0).out);
}
