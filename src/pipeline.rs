//! The only place that chains the stages: photo → panel → measurements → fingerprint.

pub mod beside;
mod coloured;
pub mod remeasure;

use std::path::Path;

use serde_json::json;

use crate::error::{Error, Result};
use crate::fingerprint::{Fingerprint, Provenance, VERSION};
use crate::frame::panel::{Panel, Step, Tints};
use crate::frame::photo::Photo;
use crate::frame::placement::Sighting;
use crate::intake;
use crate::judge::{self, Spot};
use crate::measure::{self, Measured};
use crate::normalize::{self, Card, Reference, Response, Rig};
use crate::placement::{self, Given, Placed, Sidecar};
use crate::quality::{Flag, FlagSet};
use crate::settings::Settings;

/// What makes a plain frame useless; it has no silver but its own to be held against.
const SPOILS_A_RIG: [Flag; 4] = [
    Flag::Clipped,
    Flag::PatchClipped,
    Flag::PlaceUnsure,
    Flag::PanelSmall,
];

/// A reading and what pictures of it are drawn from.
pub struct Reading {
    /// What is kept and compared.
    pub fingerprint: Fingerprint,
    /// The measured panel.
    pub measured: Measured,
    /// What is kept of its colour, where that is known.
    pub tints: Option<Tints>,
}

/// Reads a photo: what is given, and where nothing is, the placement file beside the photo.
///
/// # Errors
/// The photo cannot be read, or its placement is missing or impossible. A weak picture is not an error: it is flagged.
pub fn read(path: &Path, given: Given, rig: Option<&Rig>, settings: &Settings) -> Result<Reading> {
    let photo = intake::read(path, &intake::Limits::default())?;
    let given = given.or(Sidecar::beside(path)?);
    reading(photo, path, given, rig, settings)
}

/// What is seen of a panel whose size is not known.
pub struct Sighted {
    /// Where it lies.
    pub seen: Sighting,
    /// What is weak about the photo, as far as that shows without a size.
    pub flags: FlagSet,
}

/// Looks for the panel in a photo, its size not being known.
///
/// # Errors
/// As for [`read`]; proportions or corners do instead of a size.
pub fn sight(path: &Path, given: Given) -> Result<Sighted> {
    let photo = intake::read(path, &intake::Limits::default())?;
    let given = given.or(Sidecar::beside(path)?);
    let (seen, mut flags) = placement::sight(&photo, path, given)?;
    flags.raise_all(&judge::of_camera(&photo));
    Ok(Sighted { seen, flags })
}

/// The same from a photo already opened.
///
/// # Errors
/// As for [`read`].
pub fn reading(
    photo: Photo,
    path: &Path,
    given: Given,
    rig: Option<&Rig>,
    settings: &Settings,
) -> Result<Reading> {
    let mut placed = placement::place_straight(photo, path, given)?;
    if let Some(rig) = rig {
        rig.response.apply(&mut placed.photo.linear);
    }
    placed_reading(placed, path, rig.into(), settings)
}

/// A photo in which all is placed.
fn placed_reading(
    Placed {
        photo,
        placement,
        flags,
        lens,
    }: Placed,
    path: &Path,
    reference: Reference<'_>,
    settings: &Settings,
) -> Result<Reading> {
    let (rig, carries_slope) = match reference {
        Reference::None => (None, false),
        Reference::Rig(rig) => (Some(rig), true),
        Reference::Sample(_) => (None, true),
    };
    let (panel, judged) = rayon::join(
        || normalize::normalize(&photo, &placement, reference, &settings.normalize),
        || judge::of_photo(&photo, &placement, carries_slope),
    );
    let mut panel = panel.map_err(|e| e.of_photo(path))?;
    panel.flags.raise_all(&flags);
    panel.flags.raise_all(&judged.flags);
    if let Some(lens) = lens {
        let with = json!({"k1": lens.k1});
        panel.steps.insert(0, Step::new("lens", with));
    }
    // From here on no camera exists: its pixels make room.
    let Photo {
        samples,
        linear,
        capture,
        digest,
        ..
    } = photo;
    drop(samples);
    let (measured, seen) = rayon::join(
        || measure::measure(&panel, &settings.measure),
        || judge::of_panel(&panel),
    );
    let spotted = judge::of_spots(&panel, &spots(&measured, panel.px_per_mm));
    panel.flags.raise_all(&seen);
    panel.flags.raise_all(&spotted);
    let Panel {
        silver_scale,
        light_doubt,
        px_per_mm,
        blur_mm,
        flags,
        steps,
        colour,
        ..
    } = panel;
    let fingerprint = Fingerprint {
        version: VERSION,
        settings_digest: settings.digest(),
        measurements: measured.numbers.clone(),
        provenance: Provenance {
            photo_digest: digest,
            capture,
            colour: linear.source,
            placement: match lens {
                Some(lens) => placement.bent(&lens),
                None => placement,
            },
            silver_scale,
            light_doubt,
            rig: rig.map(|r| r.name.clone()),
            rig_digest: rig.map(Rig::digest),
            px_per_mm,
            blur_mm,
            patch_colour: judged.patch_colour,
            flags,
            anyway: false,
            steps,
        },
        repeatability: None,
    };
    Ok(Reading {
        fingerprint,
        measured,
        tints: colour.tints(),
    })
}

/// The speckles of a panel as the judge takes them.
fn spots(measured: &Measured, px_per_mm: f64) -> Vec<Spot> {
    let spot = |s: &measure::speckle::Speckle| Spot {
        centre_mm: [s.col / px_per_mm, s.row / px_per_mm],
        diameter_mm: s.diameter_mm,
    };
    measured.speckles.iter().map(spot).collect()
}

/// Learns a rig from the photo of an unaged mirror.
///
/// # Errors
/// As for [`read`], and where the mirror is too bright or too small to be judged by, or is not plain.
pub fn learn_rig(name: &str, path: &Path, given: Given, settings: &Settings) -> Result<Rig> {
    learn_rig_by(name, path, None, given, settings)
}

/// The same with a photo of the grey card alone, in which the steps given lie.
///
/// # Errors
/// As for [`learn_rig`], and where the card cannot teach the camera's tones.
pub fn learn_rig_by(
    name: &str,
    path: &Path,
    card: Option<&Path>,
    mut given: Given,
    settings: &Settings,
) -> Result<Rig> {
    let photo = intake::read(path, &intake::Limits::default())?;
    let mut cards = Vec::new();
    if let Some(path) = card {
        let photo = intake::read(path, &intake::Limits::default())?;
        let said = Given {
            steps: std::mem::take(&mut given.steps),
            ..Given::default()
        };
        let steps = said.or(Sidecar::beside(path)?).steps;
        let steps = placement::card(&photo, path, steps, None)?;
        cards.push(Card {
            photo: Some(photo),
            steps,
        });
    }
    let given = given.or(Sidecar::beside(path)?);
    let mut steps = given.steps.clone();
    let Placed {
        mut photo,
        placement,
        flags,
        lens,
    } = placement::place_straight(photo, path, given)?;
    if let Some(lens) = lens {
        for step in &mut steps {
            step.corners = lens.straight_quad(&step.corners);
        }
    }
    if !steps.is_empty() {
        let steps = placement::card(&photo, path, steps, Some(&placement.corners))?;
        cards.push(Card { photo: None, steps });
    }
    let response = if cards.is_empty() {
        Response::default()
    } else {
        normalize::teach(path, &photo, &placement, &cards, &settings.normalize)?
    };
    response.apply(&mut photo.linear);
    // Every photo of the rig leans on this one, so it is held to what is asked of them.
    let mut panel = normalize::normalize(&photo, &placement, Reference::None, &settings.normalize)
        .map_err(|e| e.of_photo(path))?;
    panel.flags.raise_all(&flags);
    if let Some(reason) = panel.flags.facts().find(|f| SPOILS_A_RIG.contains(&f.flag)) {
        return Err(Error::PlainNotUsable {
            path: path.to_owned(),
            meaning: reason.meaning,
            remedy: reason.remedy,
        });
    }
    let rig = Rig::from_plain(name, path, &photo, &placement, &settings.normalize)
        .map_err(|e| e.of_photo(path))?;
    Ok(Rig { response, ..rig })
}
