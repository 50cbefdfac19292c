//! A reader that goes away, as `| head -1` does, changes neither what is done nor the exit code.

use crate::bench::{ALIKE, BRIGHT, Bench, DARKER, SAMPLE};

#[test]
fn the_exit_code_is_the_commands_own() {
    let bench = Bench::with_sample();
    bench.photo("darker.jpg", &DARKER);
    bench.photo("bright.jpg", &BRIGHT);
    let matched = ["match", "darker.jpg", "--to", "signed", "--rig", "corner"];
    assert_eq!(bench.run_unheard(&matched), Some(1));
    assert_eq!(bench.run_unheard(&["check", "bright.jpg"]), Some(3));
    assert_eq!(bench.run_unheard(&["show", "nobody"]), Some(2));
    assert_eq!(bench.run_unheard(&["list"]), Some(0));
}

#[test]
fn all_that_was_asked_is_done() {
    let bench = Bench::with_rig();
    bench.photo("a.jpg", &SAMPLE);
    bench.photo("b.jpg", &ALIKE);
    bench.photo("c.jpg", &DARKER);
    let kept = ["keep", "a.jpg", "b.jpg", "c.jpg", "--rig", "corner"];
    assert_eq!(bench.run_unheard(&kept), Some(0));
    for name in ["a", "b", "c"] {
        bench.run(&["show", name]).exits(0);
    }
}

#[test]
fn a_damaged_archive_is_told_by_the_code_alone() {
    let bench = Bench::with_sample();
    let mut bytes = bench.bytes("archive.sqlite");
    let middle = bytes.len() / 2;
    bytes[middle..].fill(0x5A);
    bench.file("archive.sqlite", bytes);
    let heard = bench.run(&["verify"]).code();
    assert_ne!(heard, Some(0));
    assert_eq!(bench.run_unheard(&["verify"]), heard);
}

#[test]
fn what_was_kept_is_told_beside_where_it_cannot_be_answered() {
    if !std::path::Path::new("/dev/full").exists() {
        return;
    }
    let bench = Bench::with_rig();
    bench.photo("a.jpg", &SAMPLE);
    let full = ["sh", "-c", "exec \"$@\" >/dev/full", "sh"];
    bench
        .run_through(&full, &["keep", "a.jpg", "--rig", "corner"])
        .exits(2)
        .complains("Kept as `a`")
        .complains("the answer could not be written");
    bench.run(&["show", "a"]).exits(0);
}

#[cfg(unix)]
#[test]
fn where_there_is_no_output_at_all_the_work_is_done_and_the_code_is_true() {
    let bench = Bench::with_rig();
    bench.photo("a.jpg", &SAMPLE);
    let closed = ["sh", "-c", "exec \"$@\" >&-", "sh"];
    let keep = ["keep", "a.jpg", "--rig", "corner"];
    bench.run_through(&closed, &keep).exits(0);
    bench.run_through(&closed, &keep).exits(2);
    bench.run_through(&closed, &["show", "a"]).exits(0);
    bench.run_through(&closed, &["show", "b"]).exits(2);
}
