//! From what was typed to a reading: placement, rig, the picture's fitness, its drawing.

use std::path::Path;

use image::RgbImage;

use super::args::{PlaceArgs, ReadArgs};
use super::context::{Context, one_line};
use super::whole_file::write_whole;
use crate::compare::lie::{self, Lie};
use crate::error::{Error, Result};
use crate::fingerprint::{Fingerprint, Repeatability};
use crate::frame::placement::Sighting;
use crate::intake;
use crate::normalize::{KeptSilver, Rig};
use crate::pipeline::beside::Beside;
use crate::pipeline::{self, Reading, Sighted};
use crate::placement::{Given, Sidecar};
use crate::report::{self, page, picture};
use crate::settings::Settings;

impl From<&PlaceArgs> for Given {
    fn from(args: &PlaceArgs) -> Given {
        Given {
            size: args.size,
            proportions: args.proportions,
            corners: args.corners,
            patches: args.patches.clone(),
            patch_reflectance: args.patch_reflectance,
            side: args.side.map(Into::into),
            stage: args.stage.map(Into::into),
            steps: Vec::new(),
        }
    }
}

/// A rig, and what it repeats where that was studied.
pub(super) struct KnownRig {
    rig: Rig,
    study: Option<Repeatability>,
}

/// The rig that was named.
pub(super) fn rig(name: Option<&str>, context: &Context) -> Result<Option<KnownRig>> {
    let Some(name) = name else {
        return Ok(None);
    };
    let archive = context.archive()?;
    Ok(Some(KnownRig {
        rig: archive.rig(name)?,
        study: archive.study(name)?,
    }))
}

/// Reads a photo, whether it is fit to judge by or not.
pub(super) fn read(photo: &Path, args: &PlaceArgs, known: Option<&KnownRig>) -> Result<Reading> {
    let rig = known.map(|k| &k.rig);
    let mut reading = pipeline::read(photo, Given::from(args), rig, &Settings::default())?;
    reading
        .fingerprint
        .take_on(known.and_then(|k| k.study.clone()));
    Ok(reading)
}

/// Reads a photo. A picture that cannot be judged by is an error unless the maker goes on anyway, and then the reading
/// remembers it.
pub(super) fn read_fit(photo: &Path, args: &ReadArgs, known: Option<&KnownRig>) -> Result<Reading> {
    fit(photo, args, read(photo, &args.place, known)?)
}

/// Reads the panel of a photo in which a sample lies too, as [`read_fit`] does.
pub(super) fn read_beside(
    photo: &Path,
    args: &ReadArgs,
    sample: &str,
    kept: KeptSilver<'_>,
) -> Result<Beside> {
    let settings = Settings::default();
    let given = Given::from(&args.place);
    let beside = pipeline::beside::read(photo, given, sample, kept, &settings)?;
    Ok(Beside {
        reading: fit(photo, args, beside.reading)?,
        ..beside
    })
}

/// A reading of a picture that can be judged by, or that the maker goes on with anyway.
fn fit(photo: &Path, args: &ReadArgs, mut reading: Reading) -> Result<Reading> {
    write(photo, &reading, args.write_place)?;
    let provenance = &mut reading.fingerprint.provenance;
    if let Some(reason) = provenance.flags.facts().find(|f| f.blocks) {
        if !args.anyway {
            return Err(Error::PictureNotUsable {
                path: photo.to_owned(),
                meaning: reason.meaning,
                remedy: reason.remedy,
            });
        }
        provenance.anyway = true;
    }
    Ok(reading)
}

/// Writes the placement of a reading beside its photo where that is wanted; also that of a picture that cannot be judged
/// by, for the maker may see that it lies right.
pub(super) fn write(photo: &Path, reading: &Reading, wanted: bool) -> Result<()> {
    if wanted {
        Sidecar::from(&reading.fingerprint.provenance.placement).write_beside(photo)?;
    }
    Ok(())
}

/// Looks for the panel in a photo, its size not being known.
pub(super) fn sight(photo: &Path, args: &PlaceArgs, write: bool) -> Result<Sighted> {
    let sighted = pipeline::sight(photo, Given::from(args))?;
    if write {
        Sidecar::from(&sighted.seen).write_beside(photo)?;
    }
    Ok(sighted)
}

/// What was found drawn on the photo, which is opened once more for it.
pub(super) fn placed(photo: &Path, seen: &Sighting) -> Result<RgbImage> {
    let photo = intake::read(photo, &intake::Limits::default())?;
    Ok(picture::placed(&photo, seen))
}

/// Draws a reading where a picture was asked for.
pub(super) fn draw(reading: &Reading, file: Option<&Path>) -> Result<()> {
    let Some(file) = file else {
        return Ok(());
    };
    let px_per_mm = reading.fingerprint.provenance.px_per_mm;
    let drawn = picture::draw(
        &reading.measured,
        reading.tints.as_ref(),
        px_per_mm,
        &Settings::default().measure,
    );
    write_whole(file, &picture::png(&drawn)?)
}

/// Where the silver of a panel is gone.
pub(super) fn gone(reading: &Reading) -> Option<Lie> {
    let px_per_mm = reading.fingerprint.provenance.px_per_mm;
    lie::of_silver(
        (&reading.measured.silver, px_per_mm),
        &reading.fingerprint.measurements,
    )
}

/// A reading as it is reported of its photo.
pub(super) fn report<'a>(photo: &Path, fingerprint: &'a Fingerprint) -> report::Reading<'a> {
    report::Reading {
        title: shown(photo),
        photo: photo.to_string_lossy().into_owned(),
        fingerprint,
        kept: None,
        recipe: None,
        gone: None,
    }
}

/// Writes the sheet of a reading where one was asked for.
pub(super) fn page(reading: &Reading, photo: &Path, file: Option<&Path>) -> Result<()> {
    let Some(file) = file else {
        return Ok(());
    };
    let silver = page::Silver {
        plane: &reading.measured.silver,
        tints: reading.tints.as_ref(),
        px_per_mm: reading.fingerprint.provenance.px_per_mm,
        speckles: Some(&reading.measured.speckles),
    };
    let sheet = page::reading(&report(photo, &reading.fingerprint), &silver)?;
    write_whole(file, sheet.as_bytes())
}

/// The file name of a photo, for showing.
pub(super) fn shown(photo: &Path) -> String {
    one_line(
        &photo
            .file_name()
            .unwrap_or(photo.as_os_str())
            .to_string_lossy(),
    )
}
