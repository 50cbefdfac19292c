//! What was kept by a slip is taken back, and nothing is lost by it.

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use paneprint::archive::{Archive, verify};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use rusqlite::Connection;

use super::{ARCHIVE, keep_tiny, times, write_tiny};
use crate::bench::{Bench, DARKER, LIGHTER, PLAIN, PROGRAM};

/// Names of what is kept.
fn names(bench: &Bench) -> Vec<String> {
    let archive = Archive::open(&bench.path(ARCHIVE)).unwrap();
    archive.names().unwrap()
}

#[test]
fn what_was_kept_under_a_wrong_name_gets_another_and_all_goes_with_it() {
    let bench = Bench::new();
    keep_tiny(&bench, "bra").exits(0);
    keep_tiny(&bench, "alcove").exits(0);
    bench
        .run(&["recipe", "bra", "--step", "attack, 140 s"])
        .exits(0);
    bench.run(&["approve", "bra"]).exits(0);
    bench
        .run(&["rename", "bra", "bar"])
        .exits(0)
        .quietly()
        .says("`bra` is named `bar` from now on.");
    bench.run(&["show", "bra"]).exits(2);
    bench
        .run(&["show", "bar"])
        .exits(0)
        .says("An approved sample since 2")
        .says("attack, 140 s")
        .says("`bra` was renamed to `bar`.");
    // The name is free again, and the other one is not.
    keep_tiny(&bench, "bra").exits(0);
    for (old, new, said) in [
        ("bra", "bar", "a finish named `bar` is already kept"),
        (
            "bra",
            "BAR",
            "`BAR` differs only in capitals or spaces from `bar`",
        ),
        ("gone", "new", "no finish named `gone`"),
        ("bra", " ", "cannot be a name"),
    ] {
        bench
            .run(&["rename", old, new])
            .exits(2)
            .refuses_in_two_lines()
            .complains(said);
    }
    // Its own capitals may change.
    bench.run(&["rename", "bar", "Bar"]).exits(0);
    bench.run(&["verify"]).exits(0);
}

#[test]
fn names_that_differ_only_in_capitals_or_spaces_are_one() {
    let bench = Bench::new();
    keep_tiny(&bench, "Bar sample").exits(0);
    keep_tiny(&bench, "bar  SAMPLE")
        .exits(2)
        .refuses_in_two_lines()
        .complains("`bar  SAMPLE` differs only in capitals or spaces from `Bar sample`");
    for typed in ["bar sample", "BARSAMPLE", " Bar  Sample"] {
        let shown = bench.run(&["show", typed, "--json"]).exits(0).json();
        assert_eq!(shown["name"], "Bar sample", "{typed}");
    }
    bench
        .run(&["approve", "bar sample"])
        .exits(0)
        .says("`Bar sample` is an approved sample.");
    bench
        .run(&["recipe", "bar sample", "--step", "attack, 140 s"])
        .exits(0);
    bench.run(&["match", "BAR SAMPLE", "--to", "bar sample"]);
    bench.run(&["remeasure", "bar sample"]).exits(0);
    bench.run(&["export", "out", "bar sample"]).exits(0);
    // A number's figures are never run together.
    keep_tiny(&bench, "panel 1 12").exits(0);
    keep_tiny(&bench, "panel 11 2").exits(0);
    assert_eq!(names(&bench).len(), 3);
}

#[test]
fn what_is_removed_is_nowhere_but_in_the_bin_and_comes_back_as_it_was() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    keep_tiny(&bench, "alcove").exits(0);
    let before = bench.run(&["show", "bar", "--json"]).exits(0).json();
    bench
        .run(&["remove", "bar", "--because", "the wrong photo"])
        .exits(0)
        .quietly()
        .says("`bar` is in the bin, and nothing has left the disk.")
        .says("paneprint restore \"bar\"");
    for args in [
        &["show", "bar"][..],
        &["approve", "bar"],
        &["recipe", "bar", "--step", "attack, 140 s"],
        &["remeasure", "bar"],
        &["note", "bar", "mine"],
        &["export", "out", "bar"],
        &["remove", "bar"],
    ] {
        bench
            .run(args)
            .exits(2)
            .complains("`bar` was removed and is in the bin")
            .complains("paneprint restore NAME");
    }
    bench.run(&["list"]).exits(0).does_not_say("bar");
    bench.run(&["find", "alcove"]).does_not_say("bar");
    bench.run(&["match", "bar", "--to", "alcove"]).exits(2);
    bench
        .run(&["verify"])
        .exits(0)
        .says("1 finish, 2 readings and 1 finish in the bin");
    let bin = bench.run(&["remove", "--bin", "--json"]).exits(0).json();
    assert_eq!(bin["bin"][0]["name"], "bar");
    let bears = bin["bin"][0]["in_bin_as"].as_str().unwrap().to_owned();
    bench.run(&["show", &bears]).exits(2);
    // Its name is free; then it comes back under another.
    keep_tiny(&bench, "Bar").exits(0);
    bench
        .run(&["restore", "bar"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("`bar` differs only in capitals or spaces from `Bar`");
    bench
        .run(&["restore", "bar", "--as", "alcove"])
        .exits(2)
        .complains("a finish named `alcove` is already kept");
    bench.run(&["remove", "Bar"]).exits(0);
    bench
        .run(&["restore", &bears])
        .exits(0)
        .says("`bar` is back from the bin, as it was.");
    let mut after = bench.run(&["show", "bar", "--json"]).exits(0).json();
    assert_eq!(after["changes"].as_array().unwrap().len(), 2);
    assert_eq!(after["changes"][0]["reason"], "the wrong photo");
    after["changes"] = before["changes"].clone();
    assert_eq!(after, before);
    bench
        .run(&["restore", "gone"])
        .exits(2)
        .complains("nothing named `gone` is in the bin");
    bench.run(&["verify"]).exits(0);
}

#[test]
fn what_is_needed_is_not_removed_and_it_is_said_what_to_do_first() {
    let bench = Bench::with_sample();
    bench.keep("pale", &LIGHTER);
    bench.keep("deep", &DARKER);
    bench
        .run(&["approve", "signed", "--light", "pale"])
        .exits(0);
    bench
        .run(&["ladder", "make", "wear", "light=pale", "heavy=deep"])
        .exits(0);
    let refused = |name: &str, said: &str, next: &str| {
        bench
            .run(&["remove", name])
            .exits(2)
            .refuses_in_two_lines()
            .complains(said)
            .complains(next);
    };
    refused("signed", "it is an approved sample", "--withdraw");
    refused(
        "pale",
        "it is a limit piece of the sample `signed`",
        "--no-light",
    );
    refused("deep", "it is a step of the ladder `wear`", "--replace");
    // All of them, or none.
    bench.keep("spare", &LIGHTER);
    bench.run(&["remove", "spare", "signed"]).exits(2);
    assert_eq!(names(&bench).len(), 4);
    bench
        .run(&["approve", "signed", "--no-light"])
        .exits(0)
        .does_not_say("as light as");
    bench.run(&["ladder", "remove", "wear"]).exits(0);
    bench
        .run(&["approve", "signed", "--withdraw", "--because", "another"])
        .exits(0)
        .says("`signed` is no approved sample any more");
    bench
        .run(&["approve", "signed", "--withdraw"])
        .exits(2)
        .complains("`signed` is no approved sample");
    bench
        .run(&["show", "signed"])
        .exits(0)
        .does_not_say("An approved sample")
        .says("its approval was taken back. Reason: another");
    bench.run(&["remove", "signed", "pale", "deep"]).exits(0);
    assert_eq!(names(&bench), ["spare"]);
    bench.run(&["verify"]).exits(0);
}

#[test]
fn limits_and_own_figures_are_taken_back_and_the_history_says_what_they_were() {
    let bench = Bench::with_sample();
    bench.keep("pale", &LIGHTER);
    let own = ["--light", "pale", "--allow", "coverage=0.04"];
    bench
        .run(&[&["approve", "signed"], &own[..], &["--variety", "slight"]].concat())
        .exits(0);
    for (back, said) in [
        (&["--no-dark"][..], "`signed` has no dark limit"),
        (
            &["--disallow", "tone_b"],
            "no allowance of your own for `tone_b`",
        ),
        (&["--disallow", "shine"], "there is no measure `shine`"),
        (&["--no-light", "--no-dark"], "`signed` has no dark limit"),
    ] {
        bench
            .run(&[&["approve", "signed"], back].concat())
            .exits(2)
            .refuses_in_two_lines()
            .complains(said);
    }
    let back = ["--no-light", "--no-variety", "--disallow", "coverage"];
    let now = bench
        .run(&[&["approve", "signed"], &back[..], &["--json"]].concat())
        .exits(0)
        .json();
    assert!(now["light"].is_null() && now["variety"].is_null());
    assert_eq!(now["allowances"], serde_json::json!({}));
    let shown = bench.run(&["show", "signed", "--json"]).exits(0).json();
    let changes = shown["changes"].as_array().unwrap();
    let last = changes.last().unwrap();
    assert_eq!(last["done"], "signed_anew");
    assert_eq!(last["before"]["light"], "pale");
    assert_eq!(last["before"]["allowances"]["coverage"], 0.04);
    assert!(last["after"]["light"].is_null());
    bench.run(&["verify"]).exits(0);
}

#[test]
fn a_rig_and_a_ladder_are_replaced_only_when_that_is_said() {
    let bench = Bench::with_sample();
    bench.photo("plain.jpg", &PLAIN);
    let make = ["rig", "make", "Corner", "--plain", "plain.jpg"];
    bench
        .run(&make)
        .exits(2)
        .refuses_in_two_lines()
        .complains("there is a rig named `corner` already")
        .complains("--replace");
    bench.run(&[&make[..], &["--replace"]].concat()).exits(0);
    bench
        .run(&["rig", "list"])
        .exits(0)
        .says("Corner  (made 2")
        .says("another took the place of `corner`");
    // A photo is still read by the light of its own corner.
    bench
        .run(&["remeasure", "signed"])
        .exits(0)
        .says("It reads as before");
    bench.run(&["rig", "rename", "corner", "niche"]).exits(0);
    bench
        .run(&["measure", "kept.jpg", "--rig", "Niche"])
        .exits(0);
    bench
        .run(&["measure", "kept.jpg", "--rig", "corner"])
        .exits(2)
        .complains("no rig named `corner`");
    bench
        .run(&["remeasure", "signed"])
        .exits(0)
        .says("It reads as before");
    bench.keep_in("niche", "pale", &LIGHTER);
    bench.keep_in("niche", "deep", &DARKER);
    let ladder = ["ladder", "make", "wear", "light=pale", "heavy=deep"];
    bench.run(&ladder).exits(0);
    let other = ["ladder", "make", "Wear", "faint=pale", "usual=signed"];
    bench
        .run(&other)
        .exits(2)
        .refuses_in_two_lines()
        .complains("there is a ladder named `wear` already");
    bench.run(&[&other[..], &["--replace"]].concat()).exits(0);
    bench
        .run(&["ladder", "show", "wear"])
        .exits(0)
        .says("Ladder `Wear`, from light to heavy: faint, usual.")
        .says("Its steps were: light, heavy.");
    bench.run(&["verify"]).exits(0);
}

#[test]
fn notes_and_tags_are_changed_and_listed_by() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    keep_tiny(&bench, "alcove").exits(0);
    bench
        .run(&[
            "note",
            "bar",
            "poured still",
            "--tag",
            "hotel",
            "--tag",
            "warm",
        ])
        .exits(0)
        .says("Notes: poured still")
        .says("Tags: hotel, warm");
    bench
        .run(&["note", "bar", "--untag", "Warm", "--tag", "HOTEL"])
        .exits(0)
        .says("Tags: hotel")
        .does_not_say("warm");
    bench
        .run(&["note", "bar", "--untag", "warm"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("`bar` has no tag `warm`");
    bench
        .run(&["list", "--tag", "hotel"])
        .exits(0)
        .says("bar")
        .says("tagged hotel")
        .does_not_say("alcove");
    bench
        .run(&["list", "--tag", "none"])
        .exits(0)
        .says("Nothing that is kept has this tag.");
    let shown = bench.run(&["show", "bar", "--json"]).exits(0).json();
    assert_eq!(shown["notes"], "poured still");
    assert_eq!(shown["changes"].as_array().unwrap().len(), 2);
    bench.run(&["note", "bar", ""]).exits(0);
    bench
        .run(&["note", "alcove"])
        .exits(0)
        .says("No notes and no tags.");
    bench.run(&["verify"]).exits(0);
}

#[test]
fn only_what_is_named_leaves_the_disk_and_the_history_stays() {
    let bench = Bench::new();
    write_tiny(&bench, "tiny.jpg");
    bench
        .run(&["keep", "tiny.jpg", "--name=bar", "--anyway"])
        .exits(0);
    // Bytes that another finish needs stay.
    bench
        .run(&["keep", "tiny.jpg", "--name=alcove", "--anyway"])
        .exits(0);
    bench.run(&["note", "bar", "mine"]).exits(0);
    bench
        .run(&["remove", "--for-good", "bar"])
        .exits(2)
        .refuses_in_two_lines()
        .complains("nothing named `bar` is in the bin");
    bench.run(&["remove", "bar"]).exits(0);
    keep_tiny(&bench, "bar").exits(0);
    std::thread::sleep(Duration::from_millis(1100));
    bench.run(&["remove", "bar"]).exits(0);
    bench
        .run(&["remove", "--for-good", "bar"])
        .exits(2)
        .complains("several named `bar` are in the bin: `bar (removed 2");
    let bin = bench.run(&["remove", "--bin", "--json"]).exits(0).json();
    let bears = bin["bin"][0]["in_bin_as"].as_str().unwrap();
    bench
        .run(&["remove", "--for-good", bears])
        .exits(0)
        .says("`bar` left the bin for good.");
    bench
        .run(&["verify"])
        .exits(0)
        .says("1 finish, 2 readings, 1 photo and 1 finish in the bin");
    bench.run(&["remove", "--for-good", "bar"]).exits(0);
    bench.run(&["remove", "alcove"]).exits(0);
    bench.run(&["remove", "--for-good", "alcove"]).exits(0);
    bench
        .run(&["remove", "--bin"])
        .exits(0)
        .says("The bin is empty.")
        .says("`alcove` left the bin for good.");
    let file = Connection::open(bench.path(ARCHIVE)).unwrap();
    let count = |table: &str| -> i64 {
        file.query_row(&format!("SELECT count(*) FROM {table}"), [], |row| {
            row.get(0)
        })
        .unwrap()
    };
    for table in ["file", "finish", "reading", "photo", "look", "bin"] {
        assert_eq!(count(table), 0, "{table}");
    }
    // Noted once, removed three times, gone three times.
    assert_eq!(count("change"), 7);
    drop(file);
    bench.run(&["verify"]).exits(0);
}

#[test]
fn the_bin_and_the_history_leave_and_come_back_byte_for_byte() {
    let bench = Bench::with_sample();
    bench.photo("plain.jpg", &PLAIN);
    bench.keep("pale", &LIGHTER);
    bench.keep("deep", &DARKER);
    bench
        .run(&[
            "approve",
            "signed",
            "--light",
            "pale",
            "--signed-by",
            "the client",
        ])
        .exits(0);
    for args in [
        &["approve", "signed", "--no-light"][..],
        &["note", "signed", "mine", "--tag", "hotel", "--tag", "a"],
        &["remove", "deep", "--because", "the wrong photo"],
        &["rename", "pale", "light one"],
        &["rig", "rename", "corner", "niche"],
    ] {
        bench.run(args).exits(0);
    }
    bench.keep_in("niche", "gone", &LIGHTER);
    bench.run(&["remove", "gone"]).exits(0);
    bench.run(&["remove", "--for-good", "gone"]).exits(0);
    bench
        .run(&["export", "first", "--with-photo"])
        .exits(0)
        .says("2 finishes written to first.")
        .says("The one in the bin went along.");
    let other = |args: &[&str]| bench.run_bare(&[&["--archive", "other.sqlite"], args].concat());
    other(&["import", "first"]).exits(0).quietly();
    other(&["export", "again", "--with-photo"]).exits(0);
    let (first, again) = ["first", "again"]
        .map(|folder| super::exchange::files(&bench.path(folder)))
        .into();
    assert_eq!(first, again);
    // Twice is once.
    let before = bench.bytes("other.sqlite");
    other(&["import", "first"])
        .exits(0)
        .says("0 finishes kept, 3 there already.");
    assert_eq!(before, bench.bytes("other.sqlite"));
    for args in [
        &["show", "signed"][..],
        &["remove", "--bin"],
        &["rig", "list"],
        &["verify"],
    ] {
        let own = bench.run(args).exits(0).out;
        let there = other(args).exits(0).out;
        assert_eq!(own.replace("archive.", ""), there.replace("other.", ""));
    }
    other(&["restore", "deep"]).exits(0);
    // A finish that leaves alone takes neither the bin nor what belongs to others along.
    bench.run(&["export", "one", "signed"]).exits(0);
    let history = String::from_utf8(bench.bytes("one/history.json")).unwrap();
    assert!(history.contains("niche") && !history.contains("gone"));
    assert_eq!(
        std::fs::read_dir(bench.path("one/finishes"))
            .unwrap()
            .count(),
        1
    );
}

#[test]
fn what_was_changed_in_the_bin_or_the_history_is_found() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    keep_tiny(&bench, "alcove").exits(0);
    bench
        .run(&["approve", "alcove", "--signed-by", "Ann"])
        .exits(0);
    bench.run(&["note", "alcove", "--tag", "hotel"]).exits(0);
    bench.run(&["remove", "bar"]).exits(0);
    let sound = bench.bytes(ARCHIVE);
    for (harm, said) in [
        (
            "UPDATE change SET reason = 'not so'",
            "What the history says of `alcove` has changed",
        ),
        (
            "UPDATE bin SET name = 'other'",
            "What is noted of `other` in the bin has changed",
        ),
        (
            "UPDATE tag SET tag = 'house'",
            "The tags of `alcove` have changed",
        ),
        (
            "UPDATE signature SET signed_by = 'Eve'",
            "What was signed of `alcove` has changed",
        ),
    ] {
        bench.file(ARCHIVE, &sound);
        Connection::open(bench.path(ARCHIVE))
            .unwrap()
            .execute_batch(harm)
            .unwrap();
        bench.run(&["verify"]).exits(2).says(said);
    }
}

#[test]
fn a_program_that_is_killed_while_it_takes_something_back_has_done_it_or_not() {
    let kills = times("PANEPRINT_KILLS", 24);
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    keep_tiny(&bench, "alcove").exits(0);
    let begun = Instant::now();
    bench.run(&["remove", "bar"]).exits(0);
    let took = begun.elapsed();
    bench.run(&["restore", "bar"]).exits(0);
    let mut rng = Pcg64::seed_from_u64(5);
    let mut killed = 0;
    for call in 0..kills {
        let in_bin = !names(&bench).contains(&"bar".to_owned());
        let args = match (in_bin, call % 3) {
            (true, 0) => &["remove", "--for-good", "no such"][..],
            (true, _) => &["restore", "bar"],
            (false, _) => &["remove", "bar"],
        };
        let mut program = Command::new(PROGRAM)
            .args(["--archive", ARCHIVE])
            .args(args)
            .current_dir(bench.path("."))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(took.mul_f64(rng.random::<f64>()));
        killed += usize::from(program.try_wait().unwrap().is_none());
        let _ = program.kill();
        program.wait().unwrap();
        let found = verify(&bench.path(ARCHIVE)).unwrap();
        assert_eq!(found.problems, [], "after call {call}");
        assert_eq!((found.finishes + found.in_bin, found.readings), (2, 2));
    }
    println!("{killed} of {kills} calls were killed before they ended");
}

#[test]
fn two_programs_that_change_at_once_both_change_and_one_name_goes_to_one() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    keep_tiny(&bench, "alcove").exits(0);
    let run = |args: &[&str]| {
        Command::new(PROGRAM)
            .args(["--archive", ARCHIVE])
            .args(args)
            .current_dir(bench.path("."))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    };
    let tags: Vec<String> = (0..12).map(|i| format!("tag {i}")).collect();
    let running = tags.iter().map(|tag| run(&["note", "bar", "--tag", tag]));
    for mut program in running.collect::<Vec<_>>() {
        assert!(program.wait().unwrap().success());
    }
    let shown = bench.run(&["show", "bar", "--json"]).exits(0).json();
    assert_eq!(shown["tags"].as_array().unwrap().len(), tags.len());
    assert_eq!(shown["changes"].as_array().unwrap().len(), tags.len());
    let both = [
        run(&["rename", "bar", "one"]),
        run(&["rename", "alcove", "One"]),
    ];
    let codes = both.map(|mut program| program.wait().unwrap().code());
    assert!(
        codes.contains(&Some(0)) && codes.contains(&Some(2)),
        "{codes:?}"
    );
    bench.run(&["verify"]).exits(0);
}

#[test]
fn where_the_disk_is_full_nothing_is_taken_back_by_half() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    let before = bench.bytes(ARCHIVE);
    let blocks = (before.len() / 512).to_string();
    let shell = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$@\"");
    let long = "so ".repeat(20_000);
    bench
        .run_through(&["sh", "-c", &shell, "sh"], &["note", "bar", &long])
        .exits(2)
        .refuses_in_two_lines();
    bench.run(&["verify"]).exits(0);
    let shown = bench.run(&["show", "bar", "--json"]).exits(0).json();
    assert_eq!(shown["notes"], "");
    assert_eq!(shown["changes"], serde_json::json!([]));
}
