//! Hostile input: photos, placement files, names and exports as an enemy, a bad card reader or a bad copy would make them.
//!
//! `made` makes such files byte by byte, for most are smaller as a rule than as bytes; `photos`, `placements`, `names` and
//! `exports` say what must be said of each; `bounded` runs the largest claims in 1 GiB of address space; `seeds` writes what
//! the fuzzers of `scripts/fuzz` begin with, and `found` reads again what they found.

#![expect(
    clippy::cast_possible_truncation,
    reason = "what is made here is as long as it is made"
)]

mod bounded;
mod exports;
mod found;
mod made;
#[cfg(unix)]
mod names;
mod photos;
mod placements;
mod seeds;

use std::sync::OnceLock;
use std::time::Duration;

use paneprint::placement::Sidecar;
use paneprint::synth::{Finish, Shot, photograph};
use paneprint::units::SizeMm;

/// A refusal that takes longer hangs. No measure of speed: the fuzzers hold each case to 5 s on a machine of their own, and tests
/// share theirs.
const SOON: Duration = Duration::from_secs(60);

/// A panel so small that its whole reading takes a moment.
const TINY: SizeMm = SizeMm {
    width: 40.0,
    height: 40.0,
};

/// A sound photo of a tiny panel, and its placement file.
fn tiny() -> (Vec<u8>, Vec<u8>) {
    static FILES: OnceLock<(Vec<u8>, Vec<u8>)> = OnceLock::new();
    FILES.get_or_init(|| painted(0.05)).clone()
}

/// The same of a panel with so even a veil.
fn painted(veil: f64) -> (Vec<u8>, Vec<u8>) {
    let finish = Finish {
        veil,
        ..Finish::seeded(9)
    };
    let shot = Shot::bench(TINY).sized(320, 256);
    let photo = photograph(&finish.paint(TINY, 6.0), &shot);
    let placement = serde_json::to_vec(&Sidecar::from(&photo.placement)).unwrap();
    (photo.jpeg().unwrap(), placement)
}
