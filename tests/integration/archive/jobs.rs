//! Jobs are kept as surely as finishes: killed, two at once, damaged, exported, and in an archive of the version before.

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use paneprint::archive::{Archive, Job, verify};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::{ARCHIVE, keep_tiny, times, tiny, write_tiny};
use crate::bench::{Bench, PROGRAM};

/// Writes tiny photos that differ only in what follows their end.
fn write_unlike(bench: &Bench, folder: &str, photos: usize) {
    std::fs::create_dir_all(bench.path(folder)).unwrap();
    for i in 0..photos {
        let name = format!("{folder}/{i}.jpg");
        write_tiny(bench, &name);
        let unlike = [&tiny().0[..], format!("{folder} {i}").as_bytes()].concat();
        bench.file(&name, unlike);
    }
}

fn with_job() -> Bench {
    let bench = Bench::new();
    keep_tiny(&bench, "signed").exits(0);
    let details = [
        "--sample=signed",
        "--client=Smith",
        "--wall=2x1",
        "--stage=dry",
    ];
    bench
        .run(&[&["job", "new", "bar"][..], &details].concat())
        .exits(0);
    bench
}

fn job(bench: &Bench, name: &str) -> Job {
    let archive = Archive::open(&bench.path(ARCHIVE)).unwrap();
    archive.job(name).unwrap()
}

fn keeping(bench: &Bench, what: &str) -> Child {
    Command::new(PROGRAM)
        .args(["--archive", ARCHIVE, "keep", what, "--anyway"])
        .current_dir(bench.path("."))
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

#[test]
fn a_job_that_is_killed_while_it_keeps_has_every_panel_that_was_reported_and_no_half_one() {
    let kills = times("PANEPRINT_KILLS", 20);
    let bench = with_job();
    let mut rng = Pcg64::seed_from_u64(77);
    let mut reported = BTreeSet::new();
    for kill in 0..kills {
        let folder = format!("call{kill}");
        write_unlike(&bench, &folder, 3);
        let begun = Instant::now();
        let mut program = keeping(&bench, &folder);
        let journal = bench.path("archive.sqlite-journal");
        let wait = Duration::from_millis(rng.random_range(50..1500));
        while begun.elapsed() < wait && program.try_wait().unwrap().is_none() {
            if kill % 2 == 0 && journal.exists() {
                break;
            }
        }
        let _ = program.kill();
        let out = BufReader::new(program.stdout.take().unwrap());
        reported.extend(out.lines().map_while(Result::ok).filter_map(|line| {
            let rest = line.strip_prefix("Kept as `")?;
            Some(rest.split_once('`')?.0.to_owned())
        }));
        program.wait().unwrap();
        let panels = job(&bench, "bar").panels;
        let there: BTreeSet<String> = panels.iter().cloned().collect();
        assert_eq!(there.len(), panels.len(), "a panel stands twice");
        let lost: Vec<&String> = reported.difference(&there).collect();
        assert!(lost.is_empty(), "lost after kill {kill}: {lost:?}");
        let found = verify(&bench.path(ARCHIVE)).unwrap();
        assert_eq!(found.problems, [], "after kill {kill}");
        // Kept and noted in its job are one.
        assert_eq!(found.finishes, there.len() + 1);
    }
    println!("{kills} kills, {} panels reported, 0 lost", reported.len());
}

#[test]
fn two_programs_that_keep_in_one_job_give_every_panel_a_number_of_its_own() {
    let each = times("PANEPRINT_WRITERS", 8);
    let bench = with_job();
    for who in ["one", "two"] {
        write_unlike(&bench, who, each);
    }
    let both = ["one", "two"].map(|who| keeping(&bench, who));
    for mut program in both {
        assert!(program.wait().unwrap().success());
    }
    let mut panels = job(&bench, "bar").panels;
    let mut numbered: Vec<String> = (1..=2 * each).map(|n| format!("bar-{n}")).collect();
    panels.sort();
    numbered.sort();
    assert_eq!(panels, numbered);
    bench
        .run(&["verify"])
        .exits(0)
        .says("All is as it was kept");
}

#[test]
fn of_two_programs_that_begin_a_job_of_one_name_one_does() {
    let bench = with_job();
    let begin = || {
        Command::new(PROGRAM)
            .args(["--archive", ARCHIVE, "job", "new", "stairs"])
            .current_dir(bench.path("."))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap()
    };
    let running = [begin(), begin(), begin()];
    let codes = running.map(|mut p| p.wait().unwrap().code());
    let begun = codes.iter().filter(|c| **c == Some(0)).count();
    assert_eq!(begun, 1, "{codes:?}");
    bench.run(&["verify"]).exits(0);
}

#[test]
fn jobs_leave_and_come_back_byte_for_byte_and_what_is_here_stays() {
    let bench = with_job();
    write_unlike(&bench, "day", 2);
    bench.run(&["keep", "day", "--anyway"]).exits(0);
    bench.run(&["job", "new", "stairs"]).exits(0);
    bench.run(&["job", "close"]).exits(0);
    bench.run(&["job", "use", "bar"]).exits(0);
    bench
        .run(&["studio", "--paper=letter", "--stage=dry"])
        .exits(0);
    bench.run(&["export", "first"]).exits(0);
    let there = ["--archive", "other.sqlite"];
    let other = |args: &[&str]| bench.run_bare(&[&there[..], args].concat());
    other(&["import", "first"]).exits(0).says("2 jobs kept.");
    let named = other(&["job", "--json"]).exits(0).json();
    assert_eq!(named["name"], "bar");
    assert_eq!(named["panels"], serde_json::json!(["bar-1", "bar-2"]));
    other(&["export", "second"]).exits(0);
    let jobs = bench.bytes("first/jobs.json");
    assert_eq!(jobs, bench.bytes("second/jobs.json"));
    other(&["import", "first"]).exits(0);
    // A job that goes another way here stays as it is.
    other(&["job", "change", "--client", "Jones"]).exits(0);
    other(&["import", "first"])
        .exits(2)
        .complains("another one named `bar` is kept already");
    other(&["job"]).says("Jones");
    other(&["verify"]).exits(0);
    // What cannot be is refused, and the rest comes in.
    let text = String::from_utf8(jobs).unwrap();
    for (from, to) in [
        ("\"Smith\"", "\"two\\nlines\""),
        ("\"across\": 2", "\"across\": 0"),
        ("\"bar-2\"", "\"gone\""),
        ("\"bar-2\"", "\"bar-1\""),
        ("\"opened_at\": \"2", "\"opened_at\": \"x2"),
    ] {
        let harmed = text.replacen(from, to, 1);
        assert_ne!(harmed, text);
        bench.file("first/jobs.json", harmed);
        let _ = std::fs::remove_file(bench.path("third.sqlite"));
        let third = ["--archive", "third.sqlite", "import", "first"];
        bench.run_bare(&third).exits(2).says("3 finishes kept");
        let listed = ["--archive", "third.sqlite", "job", "list"];
        bench.run_bare(&listed).says("stairs").does_not_say("`bar`");
    }
    // Without all of its finishes a job stays.
    bench.run(&["export", "one", "signed"]).exits(0);
    let left = String::from_utf8(bench.bytes("one/jobs.json")).unwrap();
    assert!(left.contains("stairs") && !left.contains("bar"), "{left}");
}

#[test]
fn a_job_that_was_changed_behind_its_back_is_told_and_left_as_it_is() {
    let bench = with_job();
    write_unlike(&bench, "day", 2);
    bench.run(&["keep", "day", "--anyway"]).exits(0);
    bench.run(&["studio", "--paper=letter"]).exits(0);
    let sound = bench.bytes(ARCHIVE);
    for (sql, said) in [
        (
            "UPDATE job SET details = '{}'",
            "The job `bar`, or the list of its panels, has changed since it was kept.",
        ),
        (
            "UPDATE job_panel SET finish_id = 1 WHERE place = 1",
            "The job `bar`, or the list of its panels, has changed since it was kept.",
        ),
        (
            "UPDATE studio_default SET value = '\"a4\"' WHERE key = 'paper'",
            "What is usual in the studio has changed since it was kept: `paper`.",
        ),
        (
            "UPDATE job SET details = 'no longer'",
            "The job `bar` cannot be understood.",
        ),
        (
            "PRAGMA foreign_keys = OFF; DELETE FROM job",
            "Something in `job_panel` belongs to something in `job` that is gone.",
        ),
    ] {
        bench.file(ARCHIVE, &sound);
        rusqlite::Connection::open(bench.path(ARCHIVE))
            .unwrap()
            .execute_batch(sql)
            .unwrap();
        let before = bench.bytes(ARCHIVE);
        bench.run(&["verify"]).exits(2).says(said);
        bench.run(&["measure", "tiny.jpg", "--anyway"]).exits(2);
        assert!(before == bench.bytes(ARCHIVE), "{sql}");
    }
    bench.file(ARCHIVE, &sound);
    rusqlite::Connection::open(bench.path(ARCHIVE))
        .unwrap()
        .execute_batch("UPDATE job SET details = '{}'")
        .unwrap();
    bench
        .run(&["measure", "tiny.jpg", "--anyway"])
        .refuses_in_two_lines()
        .complains("--no-job");
    bench
        .run(&["measure", "tiny.jpg", "--anyway", "--no-job"])
        .exits(0);
}

#[test]
fn an_archive_of_the_version_before_gets_its_jobs_and_keeps_all_it_had() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    let shown = bench.run(&["show", "bar", "--json"]).exits(0).out;
    let file = rusqlite::Connection::open(bench.path(ARCHIVE)).unwrap();
    file.execute_batch(
        "DROP TABLE job_panel; DROP TABLE job; DROP TABLE studio_default; PRAGMA user_version = 9",
    )
    .unwrap();
    drop(file);
    assert_eq!(shown, bench.run(&["show", "bar", "--json"]).exits(0).out);
    bench
        .run(&["job", "new", "stairs", "--sample", "bar"])
        .exits(0);
    bench.run(&["verify"]).exits(0);
}
