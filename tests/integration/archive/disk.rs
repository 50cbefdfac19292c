//! A disk that is full, and files and folders that may not be written.

use std::path::PathBuf;
use std::process::Command;

use super::{ARCHIVE, keep_tiny, write_tiny};
use crate::bench::Bench;

/// A small disk of its own, where the test may mount one; taken away when the test is over.
struct SmallDisk(PathBuf);

impl SmallDisk {
    fn of(at: PathBuf, kib: u32) -> Option<Self> {
        std::fs::create_dir(&at).unwrap();
        let size = format!("size={kib}k");
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &size, "none"])
            .arg(&at)
            .output()
            .is_ok_and(|run| run.status.success());
        mounted.then_some(SmallDisk(at))
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(&self.0).status();
    }
}

#[test]
fn on_a_full_disk_what_was_kept_stays_and_the_rest_is_refused_in_words() {
    let bench = Bench::new();
    let Some(_disk) = SmallDisk::of(bench.path("small"), 400) else {
        println!("skipped: this test mounts a small disk, which only root may");
        return;
    };
    write_tiny(&bench, "tiny.jpg");
    let archive = ["--archive", "small/archive.sqlite"];
    let mut kept = Vec::new();
    let refused = loop {
        let name = format!("--name=panel {}", kept.len());
        let keep = ["keep", "tiny.jpg", "--anyway", &name];
        let ran = bench.run_bare(&[&archive[..], &keep].concat());
        if !ran.err.is_empty() {
            break ran;
        }
        kept.push(name);
        assert!(kept.len() < 100, "the disk never filled");
    };
    refused
        .exits(2)
        .refuses_in_two_lines()
        .complains("paneprint: the disk is full");
    assert!(!kept.is_empty());
    let listed = bench.run_bare(&[&archive[..], &["list", "--json"]].concat());
    assert_eq!(listed.exits(0).json_lines().len(), kept.len());
    bench
        .run_bare(&[&archive[..], &["verify"]].concat())
        .exits(0);
    // There is no room for a copy either, and nothing is left of the try.
    bench
        .run_bare(&[&archive[..], &["backup", "small/copy.sqlite"]].concat())
        .exits(2)
        .refuses_in_two_lines();
    let left = std::fs::read_dir(bench.path("small")).unwrap().count();
    assert_eq!(left, 1);
    println!(
        "{} finishes kept before the disk was full, all there",
        kept.len()
    );
}

/// A photo's file made larger by comments that say nothing.
fn padded(jpeg: &[u8], by: usize) -> Vec<u8> {
    let comment = |i: usize| {
        let noise = (0..65_000u32).map(move |k| k.wrapping_mul(2_654_435_761).to_le_bytes()[i % 4]);
        [0xFF, 0xFE, 0xFD, 0xEA].into_iter().chain(noise)
    };
    let (start, rest) = jpeg.split_at(2);
    let comments = (0..by / 65_004).flat_map(comment);
    (start.iter().copied())
        .chain(comments)
        .chain(rest.iter().copied())
        .collect()
}

#[test]
fn a_write_too_large_for_the_disk_leaves_no_journal_and_the_archive_whole() {
    let bench = Bench::new();
    let Some(_disk) = SmallDisk::of(bench.path("small"), 3000) else {
        println!("skipped: this test mounts a small disk, which only root may");
        return;
    };
    write_tiny(&bench, "tiny.jpg");
    let archive = ["--archive", "small/archive.sqlite"];
    let keep = |name| {
        bench.run_bare(
            &[
                &archive[..],
                &[
                    "keep",
                    "tiny.jpg",
                    "--anyway",
                    "--with-photo",
                    "--name",
                    name,
                ],
            ]
            .concat(),
        )
    };
    keep("bar").exits(0);
    // More than SQLite holds back in memory, and more than there is room for.
    let large = padded(&bench.bytes("tiny.jpg"), 6 << 20);
    bench.file("tiny.jpg", large);
    keep("large")
        .exits(2)
        .refuses_in_two_lines()
        .complains("the disk is full");
    let left = std::fs::read_dir(bench.path("small")).unwrap().count();
    assert_eq!(left, 1, "a journal is left");
    bench
        .run_bare(&[&archive[..], &["verify"]].concat())
        .exits(0)
        .says("1 finish");
}

#[test]
fn where_a_file_may_grow_no_further_what_was_kept_stays() {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    let before = bench.bytes(ARCHIVE);
    // In blocks of 512 bytes: as large as it is, and a page more. The signal is passed over, as a server would.
    let blocks = (before.len() / 512 + 8).to_string();
    let shell = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$@\"");
    write_tiny(&bench, "tiny.jpg");
    bench
        .run_through(
            &["sh", "-c", &shell, "sh"],
            &["keep", "tiny.jpg", "--name=next", "--anyway"],
        )
        .exits(2)
        .refuses_in_two_lines()
        .complains(": archive.sqlite");
    bench
        .run(&["list"])
        .exits(0)
        .says("bar")
        .does_not_say("next");
    bench.run(&["verify"]).exits(0);
    keep_tiny(&bench, "next").exits(0);
}

/// What must be typed before a command so that the machine's protection holds for it; root minds none.
fn mortal() -> Option<&'static [&'static str]> {
    let root = Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|id| id.stdout == b"0\n");
    let nobody: &[&str] = &["setpriv", "--reuid", "65534", "--clear-groups"];
    if !root {
        return Some(&["env"]);
    }
    let there = Command::new(nobody[0])
        .args(&nobody[1..])
        .arg("true")
        .status();
    there.is_ok_and(|run| run.success()).then_some(nobody)
}

#[cfg(unix)]
#[test]
fn a_protected_archive_or_folder_is_read_and_said_to_be_protected_where_it_would_be_written() {
    use std::fs::Permissions;
    use std::os::unix::fs::PermissionsExt;

    let Some(mortal) = mortal() else {
        println!("skipped: this test needs setpriv where it is run by root");
        return;
    };
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    let before = bench.bytes(ARCHIVE);
    let set = |name: &str, mode: u32| {
        std::fs::set_permissions(bench.path(name), Permissions::from_mode(mode)).unwrap();
    };
    for (file, folder) in [(0o444, 0o555), (0o444, 0o777), (0o666, 0o555)] {
        set(ARCHIVE, file);
        set(".", folder);
        let run = |args: &[&str]| bench.run_through(mortal, args);
        run(&["list"]).exits(0).says("bar");
        run(&["show", "bar"]).exits(0);
        run(&["verify"]).exits(0);
        for args in [
            &["approve", "bar"][..],
            &["keep", "tiny.jpg", "--name=next", "--anyway"],
        ] {
            run(args)
                .exits(2)
                .refuses_in_two_lines()
                .complains("paneprint: the archive");
        }
    }
    set(".", 0o755);
    assert_eq!(before, bench.bytes(ARCHIVE));
    assert_eq!(std::fs::read_dir(bench.path(".")).unwrap().count(), 3);
}
