//! A placement file of any bytes, and the same bytes as typed corners, patch, step and size; what is understood is placed.

#![no_main]

use std::path::Path;

use libfuzzer_sys::fuzz_target;
use paneprint::frame::photo::{Capture, ColourSource, Linearisation, Photo, Samples};
use paneprint::frame::placement::{CardStep, Patch};
use paneprint::frame::quad::Quad;
use paneprint::placement::{self, Given, Sidecar, sidecar_path};
use paneprint::units::SizeMm;
use paneprint_fuzz::{Bench, allow_caught_panics};

/// A photo of nothing.
fn photo() -> Photo {
    Photo {
        width: 160,
        height: 120,
        samples: Samples::Eight(vec![128; 160 * 120 * 3]),
        linear: Linearisation {
            tables: std::array::from_fn(|_| vec![0.2; 256]),
            to_rec709: None,
            source: ColourSource::AssumedSrgb,
        },
        capture: Capture::default(),
        digest: String::new(),
    }
}

fn place(given: Given) {
    let path = Path::new("photo");
    let _ = placement::card(&photo(), path, given.steps.clone(), given.corners.as_ref());
    let _ = placement::sight(&photo(), path, given.clone());
    if let Ok((placement, _)) = placement::place(&photo(), path, given) {
        let back = serde_json::to_string(&Sidecar::from(&placement)).expect("JSON");
        assert!(serde_json::from_str::<Sidecar>(&back).is_ok(), "{back}");
    }
}

thread_local!(static BENCH: Bench = Bench::new());

fuzz_target!(init: allow_caught_panics(), |data: &[u8]| {
    BENCH.with(|bench| {
        let photo = bench.path("photo.jpg");
        std::fs::write(sidecar_path(&photo), data).expect("a file");
        if let Ok(given) = Sidecar::beside(&photo) {
            place(given);
        }
    });
    let Ok(text) = std::str::from_utf8(data) else { return };
    let size: Option<SizeMm> = text.parse().ok();
    let corners: Option<Quad> = text.parse().ok();
    let patch: Option<Patch> = text.parse().ok();
    let step: Option<CardStep> = text.parse().ok();
    if let Some(size) = size {
        assert!(size.width.is_finite() && size.height.is_finite() && size.width.min(size.height) > 0.0);
    }
    if size.is_some() || corners.is_some() || patch.is_some() || step.is_some() {
        place(Given {
            size: size.or_else(|| "60x60mm".parse().ok()),
            corners: corners.or(Some(Quad::rectangle(10.0, 10.0, 60.0, 60.0))),
            patches: patch.into_iter().collect(),
            steps: step.into_iter().cycle().take(4).collect(),
            ..Given::default()
        });
    }
});
