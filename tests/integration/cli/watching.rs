//! A folder is watched: each new photo is answered as it comes in.

use std::io::{BufRead, BufReader, Read};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::time::Duration;

use crate::bench::{ALIKE, BRIGHT, Bench, DARKER, PROGRAM};

/// How long an answer is waited for; a debug build on a busy machine is slow.
const PATIENCE: Duration = Duration::from_secs(120);

/// The program, watching, and the lines of JSON that it answers.
struct Watching {
    program: Child,
    answers: Receiver<serde_json::Value>,
}

impl Watching {
    /// Watches the folder `camera`, and waits until it does.
    fn begin(bench: &Bench, args: &[&str]) -> Watching {
        let mut program = Command::new(PROGRAM)
            .args(["--archive", "archive.sqlite"])
            .args(args)
            .arg("--json")
            .current_dir(bench.path("."))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (tell, answers) = mpsc::channel();
        let out = BufReader::new(program.stdout.take().unwrap());
        std::thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                let _ = tell.send(serde_json::from_str(&line).unwrap());
            }
        });
        let mut err = BufReader::new(program.stderr.take().unwrap());
        let mut first = String::new();
        err.read_line(&mut first).unwrap();
        assert!(first.starts_with("Watching "), "{first}");
        std::thread::spawn(move || err.read_to_end(&mut Vec::new()));
        Watching { program, answers }
    }

    fn answer(&self) -> serde_json::Value {
        self.answers.recv_timeout(PATIENCE).unwrap()
    }

    /// Ctrl-C.
    #[cfg(unix)]
    fn end(mut self) -> Option<i32> {
        let id = self.program.id().to_string();
        Command::new("kill").args(["-INT", &id]).status().unwrap();
        self.program.wait().unwrap().code()
    }
}

fn with_job() -> Bench {
    let bench = Bench::with_sample();
    std::fs::create_dir(bench.path("camera")).unwrap();
    bench
        .run(&[
            "job",
            "new",
            "bar",
            "--sample=signed",
            "--rig=corner",
            "--size=100x100mm",
            "--camera-folder=camera",
        ])
        .exits(0);
    bench
}

#[cfg(unix)]
#[test]
fn each_new_photo_is_answered_as_it_comes_in_and_a_bad_one_stops_nothing() {
    let bench = with_job();
    bench.photo_without_size("camera/before.jpg", &DARKER);
    let watching = Watching::begin(&bench, &["match", "--watch"]);
    bench.photo_without_size("camera/a.jpg", &ALIKE);
    let first = watching.answer();
    assert_eq!(
        (&first["panel"], &first["verdict"]),
        (&"a.jpg".into(), &"within".into())
    );
    assert_eq!(first["job"], "bar");
    // One that is cut short is waited for, and answered once it is whole.
    let whole = DARKER.jpeg();
    bench.file("camera/b.jpg", &whole[..whole.len() / 2]);
    std::thread::sleep(Duration::from_millis(1500));
    bench.photo_without_size("camera/b.jpg", &DARKER);
    let second = watching.answer();
    assert_eq!(
        (&second["panel"], &second["verdict"]),
        (&"b.jpg".into(), &"outside".into())
    );
    // One that cannot be judged by is complained of, and the next is answered.
    bench.photo_without_size("camera/c.jpg", &BRIGHT);
    std::thread::sleep(Duration::from_millis(700));
    bench.photo_without_size("camera/d.jpg", &ALIKE);
    assert_eq!(watching.answer()["panel"], "d.jpg");
    assert_eq!(watching.end(), Some(3));
    bench.run(&["match", "newest"]).exits(0).says("d.jpg");
}

#[cfg(unix)]
#[test]
fn what_comes_in_is_kept_and_numbered_with_nothing_typed() {
    let bench = with_job();
    let watching = Watching::begin(&bench, &["keep", "--watch", "camera"]);
    bench.photo_without_size("camera/a.jpg", &ALIKE);
    assert_eq!(watching.answer()["name"], "bar-1");
    bench.photo_without_size("camera/b.jpg", &DARKER);
    assert_eq!(watching.answer()["name"], "bar-2");
    assert_eq!(watching.end(), Some(0));
}

#[test]
fn a_folder_that_is_not_known_or_not_there_is_refused() {
    let bench = Bench::with_sample();
    bench
        .run(&["match", "--to", "signed", "--watch"])
        .exits(2)
        .refuses_in_two_lines();
    bench
        .run(&["check", "--watch", "nowhere"])
        .exits(2)
        .refuses_in_two_lines();
}
