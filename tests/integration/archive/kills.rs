//! The program is killed at any moment while it keeps panels: what it said it kept is there, and nothing is half there.
//!
//! `PANEPRINT_KILLS=300 cargo test --release --test integration archive::kills -- --nocapture` kills it as often as was
//! promised; without it a few times, so that all tests stay quick.

use std::collections::BTreeSet;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use paneprint::archive::{Archive, verify};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::{ARCHIVE, times, write_tiny};
use crate::bench::{Bench, PROGRAM};

/// Photos in one call.
const PHOTOS: usize = 3;

/// Kills the program after a while, or in the middle of a write once so many are over, and says which names it reported as
/// kept, and whether it was killed before it ended.
fn kept_until_killed(
    bench: &Bench,
    call: usize,
    wait: Duration,
    writes: Option<usize>,
) -> (Vec<String>, bool) {
    let photos: Vec<String> = (0..PHOTOS).map(|i| format!("{i}.jpg")).collect();
    let mut program = Command::new(PROGRAM)
        .args(["--archive", ARCHIVE, "keep", "--anyway"])
        .arg(format!("--name={call}"))
        .args(&photos)
        .current_dir(bench.path("."))
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let journal = bench.path("archive.sqlite-journal");
    let begun = Instant::now();
    let (mut over, mut writing) = (0, false);
    while begun.elapsed() < wait {
        let ended = program.try_wait().unwrap().is_some();
        let writes_now = journal.exists();
        over += usize::from(writing && !writes_now);
        writing = writes_now;
        if ended || (writing && writes.is_some_and(|n| over >= n)) {
            break;
        }
    }
    let killed = program.try_wait().unwrap().is_none();
    let _ = program.kill();
    let out = BufReader::new(program.stdout.take().unwrap());
    let reported = out
        .lines()
        .map_while(Result::ok)
        .filter_map(|line| {
            let rest = line.strip_prefix("Kept as `")?;
            Some(rest.split_once('`')?.0.to_owned())
        })
        .collect();
    program.wait().unwrap();
    (reported, killed)
}

#[test]
fn nothing_that_was_reported_as_kept_is_lost_and_nothing_is_half_kept() {
    let kills = times("PANEPRINT_KILLS", 40);
    let bench = Bench::new();
    (0..PHOTOS).for_each(|i| write_tiny(&bench, &format!("{i}.jpg")));
    // How long a whole call takes, so that kills fall all over it.
    let begun = Instant::now();
    let (whole, _) = kept_until_killed(&bench, 0, Duration::MAX, None);
    let took = begun.elapsed();
    assert_eq!(whole.len(), PHOTOS);

    let mut rng = Pcg64::seed_from_u64(31);
    let mut reported: BTreeSet<String> = whole.into_iter().collect();
    let (mut killed, mut in_the_act, mut cut_short, mut unreported) = (0, 0, 0, 0);
    let mut call = 1;
    while killed < kills {
        let (wait, writes) = if call % 2 == 0 {
            (Duration::MAX, Some(rng.random_range(0..PHOTOS)))
        } else {
            (took.mul_f64(1.1 * rng.random::<f64>()), None)
        };
        let (names, was_killed) = kept_until_killed(&bench, call, wait, writes);
        let hot = bench.path("archive.sqlite-journal").exists();
        reported.extend(names);
        let archive = Archive::open(&bench.path(ARCHIVE)).unwrap();
        let there: BTreeSet<String> = archive.names().unwrap().into_iter().collect();
        let lost: Vec<&String> = reported.difference(&there).collect();
        assert!(lost.is_empty(), "lost after kill {killed}: {lost:?}");
        let of_call = |n: &&String| n.starts_with(&format!("{call} "));
        cut_short += usize::from(was_killed && there.iter().filter(of_call).count() < PHOTOS);
        for name in there.iter().filter(of_call) {
            archive.finish_named(name).unwrap();
            archive.pictures(name).unwrap();
        }
        unreported = there.len() - reported.len();
        drop(archive);
        let found = verify(&bench.path(ARCHIVE)).unwrap();
        assert_eq!(found.problems, [], "after kill {killed}");
        assert_eq!(found.finishes, there.len());
        killed += usize::from(was_killed);
        in_the_act += usize::from(was_killed && hot);
        call += 1;
    }
    // Half of the calls are killed as soon as a write is seen; a slow look may come too late for some.
    assert!(
        8 * in_the_act >= killed && 2 * cut_short >= killed,
        "of {killed} kills {in_the_act} fell in a write and {cut_short} left a call half done"
    );
    println!(
        "{killed} kills, {in_the_act} in the middle of a write; {} finishes reported as kept, 0 lost; {unreported} kept \
         whole before they could be reported",
        reported.len()
    );
}
