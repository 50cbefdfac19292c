//! Bad placement files, each with what must be said of it.

use std::fmt::Write as _;
use std::time::Instant;

use super::{SOON, tiny};
use crate::bench::Bench;

const NOT_UNDERSTOOD: &str = "this placement file cannot be understood";

/// A line is short enough to be read.
const LONGEST_LINE: usize = 600;

fn many(what: &str, count: usize) -> String {
    let mut text = format!("{{\"{what}\": [");
    for i in 0..count {
        let comma = if i == 0 { "" } else { ", " };
        let step = if what == "steps" {
            format!("{}:", 0.01 + i as f64 / 1e5)
        } else {
            String::new()
        };
        write!(text, "{comma}\"{step}0,0,9,9\"").unwrap();
    }
    text + "]}"
}

fn cases() -> Vec<(&'static str, Vec<u8>, &'static str)> {
    let corners =
        |text: &str| format!("{{\"size\": \"40x40mm\", \"corners\": {text}}}").into_bytes();
    let nested = |open: &str, close: &str| [open.repeat(100_000), close.repeat(100_000)].concat();
    vec![
        ("empty", Vec::new(), NOT_UNDERSTOOD),
        ("no JSON", b"size = 40x40mm".to_vec(), NOT_UNDERSTOOD),
        ("no text", vec![0xFF, 0xFE, 0, 0x7B], NOT_UNDERSTOOD),
        (
            "100,000 brackets",
            nested("[", "]").into_bytes(),
            NOT_UNDERSTOOD,
        ),
        (
            "100,000 braces",
            nested("{\"size\":", "}").into_bytes(),
            NOT_UNDERSTOOD,
        ),
        (
            "brackets for corners",
            corners(&nested("[", "]")),
            NOT_UNDERSTOOD,
        ),
        (
            "not a number",
            corners("[[NaN,1],[2,1],[2,2],[1,2]]"),
            NOT_UNDERSTOOD,
        ),
        (
            "a number past all numbers",
            corners("[[1e999,1],[2,1],[2,2],[1,2]]"),
            NOT_UNDERSTOOD,
        ),
        (
            "huge numbers",
            corners("[[1e308,-1e308],[2,1],[2,2],[1,2]]"),
            "lies outside the photo",
        ),
        (
            "a key twice",
            b"{\"size\": \"40x40mm\", \"size\": \"50x50mm\"}".to_vec(),
            NOT_UNDERSTOOD,
        ),
        ("wrong types", b"{\"size\": 40}".to_vec(), NOT_UNDERSTOOD),
        (
            "sides of wrong types",
            b"{\"size\": {\"width\": true, \"height\": {}}}".to_vec(),
            NOT_UNDERSTOOD,
        ),
        (
            "a side of nothing",
            b"{\"size\": {\"width\": 0, \"height\": -4}}".to_vec(),
            NOT_UNDERSTOOD,
        ),
        (
            "a side past all measure",
            b"{\"size\": {\"width\": 1e300, \"height\": 40}}".to_vec(),
            NOT_UNDERSTOOD,
        ),
        ("a list", b"[1, 2, 3]".to_vec(), NOT_UNDERSTOOD),
        (
            "crossing corners",
            corners("[[10,10],[90,90],[90,10],[10,90]]"),
            "their sides cross",
        ),
        (
            "corners outside",
            corners("[[10,10],[9000,10],[9000,9000],[10,9000]]"),
            "lies outside the photo",
        ),
        (
            "corners in one place",
            corners("[[10,10],[10,10],[10,10],[10,10]]"),
            "their sides cross",
        ),
        (
            "corners on a line",
            corners("[[10,10],[20,20],[30,30],[40,40]]"),
            "their sides cross",
        ),
        (
            "a text without end for corners",
            corners(&format!("\"{}\"", "1,2 ".repeat(100_000))),
            NOT_UNDERSTOOD,
        ),
        (
            "a text without end for a size",
            format!("{{\"size\": \"{}mm\"}}", "9".repeat(500_000)).into_bytes(),
            NOT_UNDERSTOOD,
        ),
        (
            "a key without end",
            format!("{{\"{}\": 1}}", "k".repeat(500_000)).into_bytes(),
            NOT_UNDERSTOOD,
        ),
        (
            "commands for a terminal",
            b"{\"size\": \"\\u001b[2J\\n\\u0007mm\"}".to_vec(),
            NOT_UNDERSTOOD,
        ),
        (
            "50,000 patches",
            many("patches", 50_000).into_bytes(),
            "50000 patches",
        ),
        (
            "30,000 steps",
            many("steps", 30_000).into_bytes(),
            "30000 steps",
        ),
        (
            "100 MB of spaces",
            vec![b' '; 100_000_000],
            "it is larger than 1 MiB",
        ),
    ]
}

#[test]
fn each_bad_placement_file_is_refused_in_one_clear_line_and_soon() {
    let bench = Bench::new();
    bench.file("photo.jpg", tiny().0);
    for (name, text, said) in cases() {
        bench.file("photo.jpg.place.json", text);
        let begun = Instant::now();
        let ran = bench.run(&["measure", "photo.jpg"]);
        let took = begun.elapsed();
        assert!(took < SOON, "{name} took {took:?}");
        let longest = ran.err.lines().map(str::len).max().unwrap_or(0);
        assert!(
            longest < LONGEST_LINE,
            "{name}: a line of {longest}: {:.200}",
            ran.err
        );
        ran.exits(2)
            .refuses_in_two_lines()
            .complains("photo.jpg")
            .complains(said);
    }
}

/// What is typed is held to the same.
#[test]
fn what_is_typed_without_end_is_refused_in_few_words() {
    let bench = Bench::new();
    bench.file("photo.jpg", tiny().0);
    for (flag, text) in [
        ("--corners", "1,2 ".repeat(20_000)),
        ("--patch", format!("grey:{}", "9,".repeat(40_000))),
        ("--size", format!("{}mm", "9".repeat(80_000))),
        ("--corners", "NaN,1 2,1 2,2 1,2".to_owned()),
        ("--patch", "grey=inf:1,1,20,20".to_owned()),
        ("--size", "-40x40mm".to_owned()),
        ("--proportions", "1:0".to_owned()),
    ] {
        let ran = bench
            .run(&["measure", "photo.jpg", &format!("{flag}={text}")])
            .exits(2);
        assert!(
            ran.err.lines().count() < 8 && !ran.err.contains("panicked"),
            "{flag}: {:.300}",
            ran.err
        );
    }
}

#[cfg(unix)]
#[test]
fn a_placement_file_that_is_no_plain_file_is_refused() {
    let bench = Bench::new();
    bench.file("photo.jpg", tiny().0);
    let place = bench.path("photo.jpg.place.json");
    let made = std::process::Command::new("mkfifo")
        .arg(&place)
        .status()
        .unwrap();
    assert!(made.success());
    let refused = || {
        let begun = Instant::now();
        bench
            .run(&["measure", "photo.jpg"])
            .exits(2)
            .refuses_in_two_lines()
            .complains("photo.jpg.place.json");
        assert!(begun.elapsed() < SOON);
    };
    refused();
    std::fs::remove_file(&place).unwrap();
    std::os::unix::fs::symlink("/dev/zero", &place).unwrap();
    refused();
    std::fs::remove_file(&place).unwrap();
    std::fs::create_dir(&place).unwrap();
    refused();
}
