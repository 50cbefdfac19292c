//! What is kept stays kept: the real program is killed, runs out of disk, meets another that is writing, or a file that is
//! half there.

#![expect(
    clippy::print_stdout,
    reason = "how often it was killed, and what was skipped, is for those who ask"
)]

mod cut;
mod disk;
mod exchange;
mod harms;
mod interrupted;
mod jobs;
mod kills;
mod names;
mod originals;
mod recipes;
mod remeasure;
mod restored;
mod taking_back;
mod unread;
mod upgraded;
mod verify;
mod writers;

use std::sync::OnceLock;

use paneprint::placement::{Sidecar, sidecar_path};
use paneprint::synth::{Arrangement, Finish, Shot, Speckles, photograph};
use paneprint::units::SizeMm;

use crate::bench::{Bench, Ran};

/// The archive of a bench.
const ARCHIVE: &str = "archive.sqlite";

/// A panel so small that it is read in a moment. The picture is too small to judge by, so it is kept `--anyway`.
const TINY: SizeMm = SizeMm {
    width: 40.0,
    height: 40.0,
};

/// The files of a photo and of its placement.
fn tiny() -> &'static (Vec<u8>, Vec<u8>) {
    static FILES: OnceLock<(Vec<u8>, Vec<u8>)> = OnceLock::new();
    FILES.get_or_init(|| {
        let finish = Finish {
            veil: 0.05,
            speckles: Some(Speckles {
                per_cm2: 3.0,
                diameter_median_mm: 1.6,
                spread: 0.2,
                arrangement: Arrangement::Spaced,
                floor: 0.0,
            }),
            ..Finish::seeded(9)
        };
        let photo = photograph(&finish.paint(TINY, 6.0), &Shot::bench(TINY).sized(320, 256));
        let placement = serde_json::to_vec(&Sidecar::from(&photo.placement)).unwrap();
        (photo.jpeg().unwrap(), placement)
    })
}

/// Writes a tiny photo and its placement.
fn write_tiny(bench: &Bench, name: &str) {
    let (photo, placement) = tiny();
    bench.file(name, photo);
    std::fs::write(sidecar_path(&bench.path(name)), placement).unwrap();
}

/// Keeps the tiny photo under a name, its file left out.
fn keep_tiny(bench: &Bench, name: &str) -> Ran {
    write_tiny(bench, "tiny.jpg");
    let name = format!("--name={name}");
    bench.run(&["keep", "tiny.jpg", &name, "--anyway", "--no-photo"])
}

/// How often, unless the environment says otherwise.
fn times(variable: &str, otherwise: usize) -> usize {
    std::env::var(variable)
        .ok()
        .and_then(|text| text.parse().ok())
        .unwrap_or(otherwise)
}
