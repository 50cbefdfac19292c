//! The largest claims, run in an address space of 1 GiB: what the program sets aside must not follow what a file claims.

#![expect(clippy::print_stdout, reason = "the memory in use is read off here")]

use std::io::Read;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::SOON;
use super::made::{even, header, many_tags, png, zeros};
use crate::bench::{Bench, PROGRAM};

/// Address space, KiB, as `ulimit -v` takes it.
const SPACE_KIB: &str = "1048576";

/// Memory that was ever in use at once may be no more than this, KiB: of a file that is refused, its own bytes and little
/// more.
const MOST_KIB: u64 = 200 << 10;

/// The system has this limit and tells what a process used.
fn can_be_limited() -> bool {
    let limits = Command::new("sh")
        .args(["-c", &format!("ulimit -v {SPACE_KIB}")])
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success());
    let can = limits && std::path::Path::new("/proc/self/status").exists();
    if !can {
        println!(
            "not run: this system sets no limit to an address space, or does not tell what was used"
        );
    }
    can
}

/// How long the largest photo may take, even of a program that is not optimised.
const LATE: Duration = Duration::from_secs(60);

struct Ran {
    code: Option<i32>,
    err: String,
    took: Duration,
    peak_kib: u64,
}

/// Runs the program in the limited space, and watches what it uses.
fn run(bench: &Bench, args: &[&str]) -> Ran {
    let begun = Instant::now();
    let mut child = Command::new("sh")
        .args([
            "-c",
            &format!("ulimit -v {SPACE_KIB} && exec \"$0\" \"$@\""),
            PROGRAM,
        ])
        .args(["--archive", "archive.sqlite"])
        .args(args)
        .current_dir(bench.path("."))
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut peak_kib = 0;
    let code = loop {
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let line = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let figure = line.and_then(|l| l.trim().trim_end_matches(" kB").parse().ok());
        peak_kib = peak_kib.max(figure.unwrap_or(0));
        if let Some(status) = child.try_wait().unwrap() {
            break status.code();
        }
        std::thread::sleep(Duration::from_millis(1));
    };
    let mut err = String::new();
    child
        .stderr
        .take()
        .unwrap()
        .read_to_string(&mut err)
        .unwrap();
    Ran {
        code,
        err,
        took: begun.elapsed(),
        peak_kib,
    }
}

#[test]
fn the_largest_claims_are_refused_in_a_gibibyte_and_soon() {
    if !can_be_limited() {
        return;
    }
    let bench = Bench::new();
    let bomb = |side: u32, bytes: usize| {
        png(&[
            (b"IHDR", &header(side, side, 2)),
            (b"IDAT", &zeros(bytes)),
            (b"IEND", &[]),
        ])
    };
    let beside = |name: &[u8; 4], head: &[u8]| {
        let body = [head, &zeros(1 << 30)].concat();
        png(&[
            (b"IHDR", &header(640, 640, 2)),
            (name, &body),
            (b"IDAT", &zeros(1000)),
            (b"IEND", &[]),
        ])
    };
    let too_large = "more than the 120 megapixels";
    for (name, bytes, said) in [
        (
            "a header of 100,000 x 100,000",
            bomb(100_000, 1000),
            too_large,
        ),
        (
            "a PNG of 100,000 x 100,000 with a stream of a gigabyte",
            bomb(100_000, 1 << 30),
            too_large,
        ),
        (
            "a text that unpacks to a gigabyte",
            beside(b"iTXt", b"Comment\0\x01\0\0\0"),
            "not have enough data",
        ),
        (
            "a profile that unpacks to a gigabyte",
            beside(b"iCCP", b"icc\0\0"),
            "not have enough data",
        ),
        ("a TIFF of a million tags", many_tags(1_000_000), "damaged"),
        (
            "a JPEG of 500 megapixels",
            even(0xC0, 25_000, 20_000, 3, 0),
            too_large,
        ),
        (
            "a progressive JPEG of 120 megapixels",
            even(0xC2, 12_000, 10_000, 3, 0),
            "12000 x 10000 pixels in several scans take 687 MiB, more than the 384 MiB",
        ),
        (
            "a progressive JPEG of 17 megapixels in 60,000 scans",
            even(0xC2, 4096, 4096, 3, 60_000),
            "Too many scans",
        ),
        (
            "a progressive JPEG of 500 megapixels",
            even(0xC2, 25_000, 20_000, 3, 0),
            too_large,
        ),
    ] {
        bench.file("photo.jpg", &bytes);
        let ran = run(&bench, &["measure", "photo.jpg", "--size", "100x100mm"]);
        let told = format!(
            "{name}: a file of {} KiB, at most {} MiB in use, {:.2?}\n{}",
            bytes.len() >> 10,
            ran.peak_kib >> 10,
            ran.took,
            ran.err
        );
        println!("{told}");
        assert_eq!(ran.code, Some(2), "{told}");
        assert!(
            ran.err.lines().count() == 2 && ran.err.contains(said),
            "{told}"
        );
        assert!(ran.took < SOON && ran.peak_kib < MOST_KIB, "{told}");
    }
}

/// The largest that is read, in kinds that take the most memory.
#[test]
fn the_largest_photos_that_are_read_fit_in_a_gibibyte() {
    if !can_be_limited() {
        return;
    }
    let bench = Bench::new();
    let wide = {
        let mut head = header(8192, 8192, 2);
        head[8] = 16;
        png(&[
            (b"IHDR", &head),
            (b"IDAT", &zeros((8192 * 6 + 1) * 8192 + 300)),
            (b"IEND", &[]),
        ])
    };
    let low = png(&[
        (b"IHDR", &header(1_800_000, 64, 0)),
        (b"IDAT", &zeros((1_800_000 + 1) * 64 + 300)),
        (b"IEND", &[]),
    ]);
    let (inside, above) = (
        "1000,1000 2000,1000 2000,2000 1000,2000",
        "5,5 55,5 55,55 5,55",
    );
    for (name, bytes, corners) in [
        (
            "a JPEG of 120 megapixels",
            even(0xC0, 12_000, 10_000, 3, 0),
            inside,
        ),
        (
            "a progressive JPEG of 67 megapixels",
            even(0xC2, 8192, 8192, 3, 0),
            inside,
        ),
        ("a PNG of 67 megapixels of 16 bits", wide, inside),
        ("a PNG of 1,800,000 x 64 pixels", low, above),
    ] {
        bench.file("photo.jpg", &bytes);
        let ran = run(
            &bench,
            &[
                "check",
                "photo.jpg",
                "--size",
                "100x100mm",
                "--corners",
                corners,
                "--picture",
                "placed.png",
            ],
        );
        println!(
            "{name}: {:?}, at most {} MiB in use, {:.2?}\n{}",
            ran.code,
            ran.peak_kib >> 10,
            ran.took,
            ran.err
        );
        assert!(matches!(ran.code, Some(0 | 3)), "{name}: {}", ran.err);
        assert!(ran.peak_kib > 0, "{name}");
        assert!(ran.took < LATE, "{name} took {:?}", ran.took);
    }
}
