//! Reading once more what was kept: the photo, where it is there; else the silver map with its colour, as far as those go.

use std::path::Path;

use serde_json::json;

use super::{Reading, coloured, reading};
use crate::error::Result;
use crate::fingerprint::{Fingerprint, Provenance, VERSION};
use crate::frame::Plane;
use crate::frame::panel::{Panel, Step, Tints};
use crate::intake;
use crate::measure;
use crate::normalize::{Rig, TO_AND_FRO};
use crate::ops::glass::silver_behind;
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

/// Reads a silver map. It is at standard sharpness and in 256 steps: specks are known only from two and a half times that blur
/// up. Where no colour was kept with it, neither tone nor patina is known. From a map that older programs made the light that runs to
/// and fro in the glass is taken out first.
#[must_use]
pub fn of_map(
    mut silver: Plane,
    tints: Option<Tints>,
    before: &Provenance,
    settings: &Settings,
) -> Reading {
    if !(before.steps.iter()).any(|step| step.with.get(TO_AND_FRO).is_some()) {
        silver.mapv_inplace(silver_behind);
    }
    let px_per_mm = before.px_per_mm;
    let size = before.placement.size;
    let (rows, cols) = silver.dim();
    let rim = |mm: f64, px: usize| (mm - px as f64 / px_per_mm).max(0.0) / 2.0;
    let mut steps = before.steps.clone();
    steps.push(Step {
        step: "kept silver map".to_owned(),
        with: json!({
            "levels": 256,
            "blur_mm": settings.measure.standard_blur_mm,
            "colour": tints.is_some(),
        }),
    });
    let (colour, tone) = coloured::of(&silver, tints.as_ref());
    let panel = Panel {
        rim_mm: rim(size.width, cols).min(rim(size.height, rows)),
        tone,
        colour,
        size,
        px_per_mm,
        blur_mm: before.blur_mm.max(settings.measure.standard_blur_mm),
        side: before.placement.side,
        stage: before.placement.stage,
        silver_scale: before.silver_scale,
        light_doubt: before.light_doubt,
        flags: before.flags.clone(),
        steps,
        silver,
    };
    let mut measured = measure::measure(&panel, &settings.measure);
    if tints.is_none() {
        measured.numbers.tone_a = Err(Unmeasured::NoColourKept);
        measured.numbers.tone_b = Err(Unmeasured::NoColourKept);
    }
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
        tints,
    }
}
