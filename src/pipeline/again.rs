//! Reading once more what was kept: the photo, where it is there; else the silver map, as far as that goes.

use std::path::Path;

use serde_json::json;

use super::{Reading, reading};
use crate::error::Result;
use crate::fingerprint::{Fingerprint, Provenance, VERSION};
use crate::frame::Plane;
use crate::frame::panel::{Panel, Step, Tone};
use crate::intake;
use crate::measure;
use crate::normalize::Rig;
use crate::placement::Given;
use crate::settings::Settings;
use crate::units::Unmeasured;

/// Reads a photo from its bytes, where the panel lay when it was read first.
///
/// # Errors
/// As for [`super::read`].
pub fn of_photo(
    bytes: Vec<u8>,
    path: &Path,
    before: &Provenance,
    rig: Option<&Rig>,
    settings: &Settings,
) -> Result<Reading> {
    let photo = intake::from_bytes(bytes, path, &intake::Limits::default())?;
    let p = &before.placement;
    let given = Given {
        size: Some(p.size),
        corners: Some(p.corners),
        patches: p.patches.clone(),
        patch_reflectance: Some(p.patch_reflectance),
        side: Some(p.side),
        stage: p.stage,
        ..Given::default()
    };
    let mut read = reading(photo, path, given, rig, settings)?;
    let provenance = &mut read.fingerprint.provenance;
    provenance.placement.found = p.found;
    provenance.anyway = before.anyway;
    Ok(read)
}

/// Reads a silver map. It is at standard sharpness, without colour and in 256 steps: tone is not known, and specks only from
/// two and a half times that blur up.
#[must_use]
pub fn of_map(silver: Plane, before: &Provenance, settings: &Settings) -> Reading {
    let px_per_mm = before.px_per_mm;
    let size = before.placement.size;
    let (rows, cols) = silver.dim();
    let rim = |mm: f64, px: usize| (mm - px as f64 / px_per_mm).max(0.0) / 2.0;
    let nothing = || Plane::zeros((1, 1));
    let mut steps = before.steps.clone();
    steps.push(Step {
        step: "kept silver map".to_owned(),
        with: json!({"levels": 256, "blur_mm": settings.measure.standard_blur_mm}),
    });
    let panel = Panel {
        rim_mm: rim(size.width, cols).min(rim(size.height, rows)),
        tone: Tone {
            cell_px: rows.max(cols),
            planes: [nothing(), nothing(), nothing()],
            weight: nothing(),
        },
        size,
        px_per_mm,
        blur_mm: before.blur_mm.max(settings.measure.standard_blur_mm),
        side: before.placement.side,
        stage: before.placement.stage,
        silver_scale: before.silver_scale,
        flags: before.flags.clone(),
        steps,
        silver,
    };
    let mut measured = measure::measure(&panel, &settings.measure);
    measured.numbers.tone_a = Err(Unmeasured::NoColourKept);
    measured.numbers.tone_b = Err(Unmeasured::NoColourKept);
    let fingerprint = Fingerprint {
        version: VERSION,
        settings_digest: settings.digest(),
        measurements: measured.numbers.clone(),
        provenance: Provenance {
            blur_mm: panel.blur_mm,
            steps: panel.steps,
            ..before.clone()
        },
        repeatability: None,
    };
    Reading {
        fingerprint,
        measured,
    }
}
