//! A disk that does not give back what is asked of it, once or for good: neither is damage. strace makes the fault.

use std::process::Command;

use super::{ARCHIVE, keep_tiny};
use crate::bench::{Bench, Ran};

/// Whether reads can be made to fail here.
fn can_inject() -> bool {
    let traced = Command::new("strace")
        .args(["-o", "/dev/null", "true"])
        .output();
    let can = traced.is_ok_and(|run| run.status.success());
    if !can {
        println!("skipped: this test needs strace, and leave to use it");
    }
    can
}

/// Runs a command whose reads of the archive fail: the one of this number, or all from there on, however the file is read.
fn with_failing_reads(bench: &Bench, number: usize, for_good: bool, args: &[&str]) -> Ran {
    let path = std::fs::canonicalize(bench.path(ARCHIVE)).unwrap();
    let path = path.to_str().unwrap();
    let pages = format!(
        "inject=pread64:error=EIO:when={number}{}",
        if for_good { "+" } else { "" }
    );
    let mut wrapper = vec!["strace", "-f", "-qq", "-o", "/dev/null", "-P", path];
    wrapper.extend(["-e", "trace=read,pread64", "-e", &pages]);
    if for_good {
        wrapper.extend(["-e", "inject=read:error=EIO"]);
    }
    bench.run_through(&wrapper, args)
}

fn with_two() -> Bench {
    let bench = Bench::new();
    keep_tiny(&bench, "bar").exits(0);
    keep_tiny(&bench, "table").exits(0);
    bench
}

#[test]
fn a_read_that_fails_once_is_tried_again_and_nothing_is_said_of_it() {
    if !can_inject() {
        return;
    }
    let bench = with_two();
    let before = bench.bytes(ARCHIVE);
    for number in (1..60).step_by(4) {
        for command in [&["list"][..], &["verify"], &["show", "bar"]] {
            let ran = with_failing_reads(&bench, number, false, command);
            let ran = ran.exits(0).quietly();
            assert!(!ran.out.is_empty(), "{command:?} at {number}");
        }
        let approve = with_failing_reads(&bench, number, false, &["approve", "table"]);
        approve.exits(0);
    }
    bench.run(&["verify"]).exits(0);
    assert_ne!(bench.bytes(ARCHIVE), before);
}

#[test]
fn what_cannot_be_read_is_named_and_never_called_damage() {
    if !can_inject() {
        return;
    }
    let bench = with_two();
    let before = bench.bytes(ARCHIVE);
    for command in [
        &["remeasure", "--all"][..],
        &["export", "out"],
        &["show", "bar"],
        &["backup", "copy.sqlite"],
        &["list"],
    ] {
        let mut named = 0;
        for number in (1..120).step_by(7) {
            let ran = with_failing_reads(&bench, number, true, command);
            let at = format!("{command:?} at {number}: {}", ran.err);
            assert!(!ran.err.contains("is damaged"), "{at}");
            if ran.code() != Some(0) {
                assert_eq!(ran.code(), Some(2), "{at}");
                assert!(ran.err.contains("could not be read, though"), "{at}");
            }
            named += usize::from(ran.err.contains("what was kept of `"));
            let _ = std::fs::remove_dir_all(bench.path("out"));
            let _ = std::fs::remove_file(bench.path("copy.sqlite"));
        }
        let names_finishes = command.len() == 2 && command[0] != "backup";
        assert_eq!(named > 0, names_finishes, "{command:?}");
    }
    let ran = with_failing_reads(&bench, 1, true, &["verify"]).exits(2);
    assert!(!(ran.out + &ran.err).contains("not as kept"));
    assert_eq!(bench.bytes(ARCHIVE), before);
    bench.run(&["verify"]).exits(0);
}

#[test]
fn a_photo_that_is_not_given_back_is_tried_again_and_then_said_to_be_unread() {
    if !can_inject() {
        return;
    }
    let bench = with_two();
    let photo = std::fs::canonicalize(bench.path("tiny.jpg")).unwrap();
    let photo = ["tiny.jpg", photo.to_str().unwrap()];
    let keep = ["keep", "tiny.jpg", "--anyway", "--name=third"];
    for (when, code) in [("1+", 2), ("1", 0)] {
        let fault = format!("inject=read:error=EIO:when={when}");
        let paths = photo.map(|path| ["-P", path]).concat();
        let wrapper = [&["strace", "-f", "-qq", "-o", "/dev/null"], &paths[..]].concat();
        let wrapper = [&wrapper[..], &["-e", "trace=read", "-e", &fault]].concat();
        let ran = bench.run_through(&wrapper, &keep).exits(code);
        let unread = ran.err.contains("could not be read (");
        assert_eq!(unread, code == 2, "{}", ran.err);
    }
}
