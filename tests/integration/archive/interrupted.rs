//! The program is told to stop while it writes: what it had begun is whole or gone, and it says so.

use std::process::{Command, Stdio};

use super::{ARCHIVE, keep_tiny};
use crate::bench::{Bench, PROGRAM};

/// Finishes of an export that takes a moment.
const FINISHES: usize = 12;

/// Times that the moment may be missed.
const TRIES: usize = 40;

/// Exports, and sends a signal once the part is there. Returns the exit code and what was said beside the answer.
fn exported_until(bench: &Bench, signal: &str) -> (Option<i32>, String) {
    let program = Command::new(PROGRAM)
        .args(["--archive", ARCHIVE, "export", "out"])
        .current_dir(bench.path("."))
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let part = bench.path(".out.paneprint-part");
    while !part.exists() && !bench.path("out").exists() {
        std::hint::spin_loop();
    }
    let sent = Command::new("kill")
        .args([signal, &program.id().to_string()])
        .status();
    assert!(sent.is_ok());
    let ended = program.wait_with_output().unwrap();
    let said = String::from_utf8(ended.stderr).unwrap();
    (ended.status.code(), said)
}

#[cfg(unix)]
#[test]
fn an_interrupt_leaves_nothing_half_done_and_says_so_in_a_line() {
    let bench = Bench::new();
    for number in 0..FINISHES {
        keep_tiny(&bench, &number.to_string()).exits(0);
    }
    for signal in ["-INT", "-TERM"] {
        let stopped = (0..TRIES).find_map(|_| {
            let _ = std::fs::remove_dir_all(bench.path("out"));
            let (code, said) = exported_until(&bench, signal);
            assert!(!bench.path(".out.paneprint-part").exists(), "{said}");
            (code != Some(0)).then_some((code, said))
        });
        let (code, said) = stopped.expect("every export ended before it could be stopped");
        assert_eq!(code, Some(130), "{said}");
        assert!(
            said.starts_with("Stopped. ") && said.lines().count() == 1,
            "{said}"
        );
        // It was stopped before its end, or just after.
        let whole = bench.path("out/all.csv").exists();
        assert_eq!(bench.path("out").exists(), whole);
        assert_eq!(said.contains("What was written by then"), whole, "{said}");
    }
    let _ = std::fs::remove_dir_all(bench.path("out"));
    bench.run(&["export", "out"]).exits(0);
    bench.run(&["verify"]).exits(0);
}
