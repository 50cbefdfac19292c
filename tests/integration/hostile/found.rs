//! What the fuzzers found stays mended: every file of `fixtures/hostile` is read as they read it.

use std::fs;
use std::path::{Path, PathBuf};

use paneprint::frame::quad::Quad;
use paneprint::intake::{self, Limits};
use paneprint::pipeline;
use paneprint::placement::Given;
use paneprint::settings::Settings;

/// The files, in order, without the note.
fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/hostile");
    let entries = fs::read_dir(folder).unwrap();
    let mut found: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    found.retain(|path| path.extension().is_none_or(|ending| ending != "md"));
    found.sort();
    found
}

#[test]
fn every_photo_that_was_found_is_refused_or_read_soundly() {
    let size = "150x150mm".parse().ok();
    let (files, mut read) = (files(), 0);
    assert!(!files.is_empty());
    for path in files {
        let bytes = fs::read(&path).unwrap();
        let Ok(photo) = intake::from_bytes(bytes, &path, &Limits::default()) else {
            continue;
        };
        let (w, h) = (photo.width as f64, photo.height as f64);
        let side = 0.6 * w.min(h);
        let patch = format!("mirror:{},{},12,12", 0.06 * w + side, 0.1 * h);
        let placed = Given {
            size,
            corners: Some(Quad::rectangle(0.05 * w, 0.05 * h, side, side)),
            patches: vec![patch.parse().unwrap()],
            ..Given::default()
        };
        let looked_for = Given {
            size,
            ..Given::default()
        };
        for given in [placed, looked_for] {
            let settings = Settings::default();
            if let Ok(reading) = pipeline::reading(photo.clone(), &path, given, None, &settings) {
                assert!(reading.fingerprint.is_sound(), "{}", path.display());
                read += 1;
            }
        }
    }
    assert!(read > 0, "none was read");
}
