//! A photo of any bytes, opened under the default limits; a small one is then read whole, found and placed.

#![no_main]

use std::path::Path;

use libfuzzer_sys::{Corpus, fuzz_target};
use paneprint::frame::quad::Quad;
use paneprint::intake::{self, Limits};
use paneprint::pipeline;
use paneprint::placement::Given;
use paneprint::settings::Settings;
use paneprint_fuzz::allow_caught_panics;

/// Pixels up to which the whole is read.
const SMALL: usize = 60_000;

fuzz_target!(init: allow_caught_panics(), |data: &[u8]| -> Corpus {
    let path = Path::new("photo");
    // What is no picture by its first bytes teaches nothing.
    let Ok(photo) = intake::from_bytes(data.to_vec(), path, &Limits::default()) else {
        return if data.len() < 4 { Corpus::Reject } else { Corpus::Keep };
    };
    let (w, h) = (photo.width as f64, photo.height as f64);
    assert!(w * h <= 120e6 && w.min(h) >= 64.0);
    if photo.width * photo.height > SMALL {
        return Corpus::Keep;
    }
    let size = "150x150mm".parse().ok();
    let looked_for = Given { size, ..Given::default() };
    let _ = pipeline::reading(photo.clone(), path, looked_for, None, &Settings::default());
    let side = 0.6 * w.min(h);
    let placed = Given {
        size,
        corners: Some(Quad::rectangle(0.05 * w, 0.05 * h, side, side)),
        patches: vec![format!("mirror:{},{},12,12", 0.06 * w + side, 0.1 * h).parse().expect("a patch")],
        ..Given::default()
    };
    if let Ok(reading) = pipeline::reading(photo, path, placed, None, &Settings::default()) {
        assert!(reading.fingerprint.is_sound(), "a reading that would not be taken back");
    }
    Corpus::Keep
});
