//! The bench for the real program: a folder of its own with an archive in it, painted photos, commands and what they
//! must say.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use assert_cmd::Command;
use paneprint::frame::placement::Placement;
use paneprint::frame::quad::Quad;
use paneprint::placement::{Sidecar, sidecar_path};
use paneprint::synth::{Arrangement, Finish, Ridges, Shot, Speckles, photograph};
use paneprint::units::SizeMm;
use serde_json::Value;

/// The program under test.
pub(crate) const PROGRAM: &str = env!("CARGO_BIN_EXE_paneprint");

/// Small enough to be read in a moment, large enough for intervals under the allowances.
pub(crate) const SIZE: SizeMm = SizeMm {
    width: 100.0,
    height: 100.0,
};

/// A photo that is painted once, when a test first needs it.
pub(crate) struct Painted {
    finish: fn() -> Finish,
    shot: fn() -> Shot,
    file: OnceLock<(Vec<u8>, Placement)>,
}

impl Painted {
    const fn new(finish: fn() -> Finish, shot: fn() -> Shot) -> Self {
        Painted {
            finish,
            shot,
            file: OnceLock::new(),
        }
    }

    fn file(&self) -> &(Vec<u8>, Placement) {
        self.file.get_or_init(|| {
            let photo = photograph(&(self.finish)().paint(SIZE, 12.0), &(self.shot)());
            (photo.jpeg().unwrap(), photo.placement)
        })
    }

    /// The bytes of the JPEG file.
    pub(crate) fn jpeg(&self) -> &[u8] {
        &self.file().0
    }

    /// The four corners as `--corners` takes them.
    pub(crate) fn corners(&self) -> String {
        let points = self.file().1.corners.0.map(|[x, y]| format!("{x},{y}"));
        points.join(" ")
    }

    /// The grey card as `--patch` takes it.
    pub(crate) fn patch(&self) -> String {
        let [a, _, c, _] = self.file().1.patches[0].corners.0;
        format!("grey:{},{},{},{}", a[0], a[1], c[0] - a[0], c[1] - a[1])
    }
}

fn shot() -> Shot {
    Shot::bench(SIZE).sized(1000, 800)
}

/// A photo of its own after the panel was taken out and put back a little otherwise.
fn put_back(seed: u64, tilt_deg: f64) -> Shot {
    Shot {
        tilt_x_deg: tilt_deg,
        tilt_y_deg: -tilt_deg / 2.0,
        exposure_ev: tilt_deg / 20.0,
        seed,
        ..shot()
    }
}

fn overexposed() -> Shot {
    Shot {
        exposure_ev: 1.5,
        ..shot()
    }
}

/// The finish of the sample, so many times as much silver lost between the specks and so many times as many specks.
fn aged(seed: u64, loss: f64, specks: f64) -> Finish {
    Finish {
        veil: 0.03 * loss,
        ridges: Some(Ridges {
            angle_deg: 62.0,
            spacing_mm: 5.0,
            depth: 0.08 * loss,
            wobble_deg: 3.0,
        }),
        speckles: Some(Speckles {
            per_cm2: 4.0 * specks,
            diameter_median_mm: 1.6,
            spread: 0.2,
            arrangement: Arrangement::Spaced,
            floor: 0.0,
        }),
        ..Finish::seeded(seed)
    }
}

/// An unaged mirror.
pub(crate) static PLAIN: Painted = Painted::new(|| Finish::seeded(1), shot);
/// The sample that is signed.
pub(crate) static SAMPLE: Painted = Painted::new(|| aged(2, 1.0, 1.0), shot);
/// Another panel of the same finish, tilted otherwise.
pub(crate) static ALIKE: Painted = Painted::new(
    || aged(3, 1.0, 1.0),
    || Shot {
        tilt_y_deg: 3.0,
        ..shot()
    },
);
/// The sample, taken out and put back each time.
pub(crate) static AGAIN: [Painted; 3] = [
    Painted::new(|| aged(2, 1.0, 1.0), || put_back(21, 0.0)),
    Painted::new(|| aged(2, 1.0, 1.0), || put_back(22, 2.0)),
    Painted::new(|| aged(2, 1.0, 1.0), || put_back(23, -3.0)),
];
/// Stopped too early.
pub(crate) static LIGHTER: Painted = Painted::new(|| aged(4, 0.5, 0.3), shot);
/// Left too long.
pub(crate) static DARKER: Painted = Painted::new(|| aged(5, 2.0, 2.2), shot);
/// The same put back.
pub(crate) static DARKER_AGAIN: Painted = Painted::new(|| aged(5, 2.0, 2.2), || put_back(24, 1.0));
/// The unaged mirror put back.
pub(crate) static PLAIN_AGAIN: Painted = Painted::new(|| Finish::seeded(1), || put_back(25, 1.0));
/// About as many more specks as are allowed: nobody could say.
pub(crate) static DOUBTFUL: Painted = Painted::new(|| aged(6, 1.0, 1.15), shot);
/// The sample, far too bright.
pub(crate) static BRIGHT: Painted = Painted::new(|| aged(2, 1.0, 1.0), overexposed);
/// The unaged mirror, far too bright.
pub(crate) static BRIGHT_PLAIN: Painted = Painted::new(|| Finish::seeded(1), overexposed);
/// The sample from behind.
pub(crate) static BEHIND: Painted = Painted::new(
    || aged(2, 1.0, 1.0),
    || Shot {
        side: paneprint::frame::placement::Side::Back,
        ..shot()
    },
);

/// Panels attacked longer and longer, the loss growing less and less.
pub(crate) static ATTACKED: [Painted; 7] = [
    Painted::new(|| aged(31, 0.25, 0.3), || put_back(31, 0.0)),
    Painted::new(|| aged(32, 0.6, 0.7), || put_back(32, 1.0)),
    Painted::new(|| aged(33, 0.95, 1.0), || put_back(33, -1.0)),
    Painted::new(|| aged(34, 1.2, 1.3), || put_back(34, 2.0)),
    Painted::new(|| aged(35, 1.4, 1.5), || put_back(35, -2.0)),
    Painted::new(|| aged(36, 1.6, 1.7), || put_back(36, 1.5)),
    Painted::new(|| aged(37, 1.75, 1.85), || put_back(37, -1.5)),
];

/// Seconds for which they were attacked.
pub(crate) const SECONDS: [u32; 7] = [40, 70, 100, 130, 160, 200, 240];

/// A bench with some of them kept, each with its recipe.
pub(crate) fn attacked(panels: usize) -> Bench {
    let bench = Bench::with_rig();
    for (i, seconds) in SECONDS.iter().enumerate().take(panels) {
        let name = format!("try {}", i + 1);
        bench.keep(&name, &ATTACKED[i]);
        let step = format!("attack, {seconds} s, 21 C");
        bench.run(&["recipe", &name, "--step", &step]).exits(0);
    }
    bench
}

/// A folder of its own, gone when the test is.
pub(crate) struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    /// An empty one.
    pub(crate) fn new() -> Self {
        Bench {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    /// With the rig `corner` made.
    pub(crate) fn with_rig() -> Self {
        let bench = Bench::new();
        bench.photo("plain.jpg", &PLAIN);
        bench
            .run(&["rig", "make", "corner", "--plain", "plain.jpg"])
            .exits(0);
        bench
    }

    /// With the rig, and the sample kept and approved as `signed`.
    pub(crate) fn with_sample() -> Self {
        let bench = Bench::with_rig();
        bench.keep("signed", &SAMPLE);
        bench.run(&["approve", "signed"]).exits(0);
        bench
    }

    /// A path in the folder.
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a file.
    pub(crate) fn file(&self, name: &str, content: impl AsRef<[u8]>) {
        fs::write(self.path(name), content).unwrap();
    }

    /// The bytes of a file.
    pub(crate) fn bytes(&self, name: &str) -> Vec<u8> {
        fs::read(self.path(name)).unwrap()
    }

    /// Writes a photo and its placement file.
    pub(crate) fn photo(&self, name: &str, painted: &Painted) {
        self.bare_photo(name, painted);
        let placement = Sidecar::from(&painted.file().1);
        let text = serde_json::to_vec(&placement).unwrap();
        fs::write(sidecar_path(&self.path(name)), text).unwrap();
    }

    /// Writes a placement file that says where things lie and not how large the panel is, then its photo.
    pub(crate) fn photo_without_size(&self, name: &str, painted: &Painted) {
        let placement = Sidecar::from(&painted.file().1);
        let mut place = serde_json::to_value(&placement).unwrap();
        let keys = place.as_object_mut().unwrap();
        keys.retain(|key, _| key == "corners" || key == "patches");
        fs::write(sidecar_path(&self.path(name)), place.to_string()).unwrap();
        self.bare_photo(name, painted);
    }

    /// Writes a photo that was turned by 180° on its way, its corners named as they then lie.
    pub(crate) fn photo_turned(&self, name: &str, painted: &Painted) {
        let (jpeg, placement) = painted.file();
        let turned = image::load_from_memory(jpeg).unwrap().rotate180();
        let frame = [f64::from(turned.width()), f64::from(turned.height())];
        let lies = |quad: &Quad| {
            let [a, b, c, d] = quad.0.map(|[x, y]| [frame[0] - x, frame[1] - y]);
            Quad([c, d, a, b])
        };
        let mut placement = placement.clone();
        placement.corners = lies(&placement.corners);
        for patch in &mut placement.patches {
            patch.corners = lies(&patch.corners);
        }
        turned.save(self.path(name)).unwrap();
        let text = serde_json::to_vec(&Sidecar::from(&placement)).unwrap();
        fs::write(sidecar_path(&self.path(name)), text).unwrap();
    }

    /// Writes a photo without its placement.
    pub(crate) fn bare_photo(&self, name: &str, painted: &Painted) {
        self.file(name, painted.jpeg());
    }

    /// Keeps a photo under a name, read with the rig `corner`.
    #[track_caller]
    pub(crate) fn keep(&self, name: &str, painted: &Painted) {
        self.keep_in("corner", name, painted);
    }

    /// The same with another rig.
    #[track_caller]
    pub(crate) fn keep_in(&self, rig: &str, name: &str, painted: &Painted) {
        self.photo("kept.jpg", painted);
        let name = format!("--name={name}");
        self.run(&["keep", "kept.jpg", &name, "--rig", rig])
            .exits(0);
    }

    /// Runs the program in the folder, with its archive there.
    pub(crate) fn run(&self, args: &[&str]) -> Ran {
        let mut all = vec!["--archive", "archive.sqlite"];
        all.extend(args);
        run_in(self.folder.path(), &all)
    }

    /// The same through another program, which runs it.
    pub(crate) fn run_through(&self, wrapper: &[&str], args: &[&str]) -> Ran {
        let mut all = wrapper[1..].to_vec();
        all.push(PROGRAM);
        if !args.contains(&"--archive") {
            all.extend(["--archive", "archive.sqlite"]);
        }
        all.extend(args);
        run_program(wrapper[0], self.folder.path(), &all)
    }

    /// Runs the program for a reader that goes away at once, and tells its exit code.
    pub(crate) fn run_unheard(&self, args: &[&str]) -> Option<i32> {
        let mut program = std::process::Command::new(PROGRAM)
            .args(["--archive", "archive.sqlite"])
            .args(args)
            .current_dir(self.folder.path())
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::null())
            .spawn()
            .unwrap();
        drop(program.stdout.take());
        program.wait().unwrap().code()
    }

    /// The same without naming the archive.
    pub(crate) fn run_bare(&self, args: &[&str]) -> Ran {
        run_in(self.folder.path(), args)
    }
}

fn run_in(folder: &Path, args: &[&str]) -> Ran {
    run_program(PROGRAM, folder, args)
}

fn run_program(program: &str, folder: &Path, args: &[&str]) -> Ran {
    // What a test forgets to name must not land in the data folder of whoever runs it.
    let output = Command::new(program)
        .args(args)
        .current_dir(folder)
        .env("HOME", folder)
        .env("XDG_DATA_HOME", folder.join("data"))
        .output()
        .unwrap();
    Ran {
        line: args.join(" "),
        code: output.status.code(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// What a command did. Each expectation passes it on.
pub(crate) struct Ran {
    line: String,
    code: Option<i32>,
    /// Standard output.
    pub(crate) out: String,
    /// Standard error.
    pub(crate) err: String,
}

impl Ran {
    #[track_caller]
    fn expect(self, holds: bool, what: &str) -> Self {
        assert!(
            holds,
            "expected {what}\nof: paneprint {}\nexit {:?}\n--- out\n{}\n--- err\n{}",
            self.line, self.code, self.out, self.err
        );
        self
    }

    /// The exit code.
    pub(crate) fn code(&self) -> Option<i32> {
        self.code
    }

    /// Ended with this exit code.
    #[track_caller]
    pub(crate) fn exits(self, code: i32) -> Self {
        let holds = self.code == Some(code);
        self.expect(holds, &format!("exit code {code}"))
    }

    /// Said this.
    #[track_caller]
    pub(crate) fn says(self, text: &str) -> Self {
        let holds = self.out.contains(text);
        self.expect(holds, &format!("`{text}` on stdout"))
    }

    /// Did not say this.
    #[track_caller]
    pub(crate) fn does_not_say(self, text: &str) -> Self {
        let holds = !self.out.contains(text);
        self.expect(holds, &format!("no `{text}` on stdout"))
    }

    /// Complained of this.
    #[track_caller]
    pub(crate) fn complains(self, text: &str) -> Self {
        let holds = self.err.contains(text);
        self.expect(holds, &format!("`{text}` on stderr"))
    }

    /// Nothing to complain of.
    #[track_caller]
    pub(crate) fn quietly(self) -> Self {
        let holds = self.err.is_empty();
        self.expect(holds, "nothing on stderr")
    }

    /// One line that says what is wrong, one indented line that says what to do, no answer, no sign of a crash.
    #[track_caller]
    pub(crate) fn refuses_in_two_lines(self) -> Self {
        let lines: Vec<&str> = self.err.lines().collect();
        let holds = self.out.is_empty()
            && lines.len() == 2
            && lines[0].starts_with("paneprint: ")
            && lines[1].starts_with("  ")
            && lines[1].ends_with('.')
            && !self.err.contains("panicked");
        self.expect(holds, "one line and one hint on stderr and nothing else")
    }

    /// The JSON objects of the answer, one a line.
    #[track_caller]
    pub(crate) fn json_lines(&self) -> Vec<Value> {
        let object = |line: &str| serde_json::from_str(line).ok().filter(Value::is_object);
        self.out
            .lines()
            .map(|line| object(line).unwrap_or_else(|| panic!("no JSON object: {line}")))
            .collect()
    }

    /// The only JSON object of the answer.
    #[track_caller]
    pub(crate) fn json(&self) -> Value {
        let mut lines = self.json_lines();
        assert_eq!(lines.len(), 1, "{}", self.out);
        lines.remove(0)
    }
}
