//! A kept finish read again by the present version, beside what was read before.

use std::path::Path;

use serde::Deserialize;
use serde_json::Value;

use super::Studio;
use super::reading::{opened, pictures};
use crate::archive::{Archive, NewReading, Source};
use crate::error::{Error, Result};
use crate::fingerprint::metric::{Metric, Rule};
use crate::fingerprint::{Fingerprint, Provenance, VERSION, figure_in};
use crate::measure::Measurements;
use crate::pipeline::{self, Reading};
use crate::settings::Settings;
use crate::units::{axial_difference, circular_difference};
use crate::words::keeping;

/// A finish read again.
pub struct Again {
    /// The finish.
    pub name: String,
    /// From what it was read.
    pub source: Source,
    /// The text of the fingerprint before, of whatever version.
    pub before: Value,
    /// What was read now.
    pub now: Fingerprint,
    /// It is kept and holds from now on.
    pub kept: bool,
}

impl Again {
    /// A measure before, now, and by how much it changed in its own unit; of an axis or a direction the smallest turn. `None`
    /// where there is no figure.
    #[must_use]
    pub fn figures(&self, row: &Metric) -> [Option<f64>; 3] {
        let before = figure_in(&self.before, row);
        let now = row.of(&self.now.measurements).ok().map(|e| e.value);
        [before, now, before.zip(now).map(|(b, n)| change(row, b, n))]
    }

    /// The version of the measures before.
    #[must_use]
    pub fn version_before(&self) -> Option<u64> {
        self.before.get("version").and_then(Value::as_u64)
    }
}

fn change(row: &Metric, before: f64, now: f64) -> f64 {
    match row.rule {
        Rule::Axial => axial_difference(before, now),
        Rule::Circular => circular_difference(before, now),
        Rule::Difference | Rule::Ratio => now - before,
    }
}

/// What a fingerprint of any version says of how it came about.
#[derive(Deserialize)]
struct Before {
    version: u32,
    settings_digest: String,
    provenance: Provenance,
}

/// Reads a finish again, from its photo where that and the light it was read by are kept, or else from its silver map; what says
/// more than before is kept.
///
/// # Errors
/// It is not kept, or damaged; its photo cannot be read any more; the archive cannot be written.
pub fn remeasure(name: &str, archive: &mut Archive, studio: &mut Studio<'_>) -> Result<Again> {
    let name = archive.kept_name(name)?;
    let name = name.as_str();
    let readings = archive.readings(name)?;
    let unreadable = || Error::ReadingUnreadable {
        name: name.to_owned(),
    };
    let last = readings.last().ok_or_else(unreadable)?;
    if !last.is_unchanged() {
        return Err(Error::KeptChanged {
            name: name.to_owned(),
            path: archive.path().to_owned(),
        });
    }
    let before: Before = serde_json::from_str(&last.fingerprint).map_err(|_| unreadable())?;
    let text: Value = serde_json::from_str(&last.fingerprint).map_err(|_| unreadable())?;
    let settings = Settings::default();
    let first = readings.first().map_or("", |first| first.read_at.as_str());
    let rig = archive.rig_of(&before.provenance, first)?;
    // A photo that was read with a rig is read with that one or not at all.
    let gone = before.provenance.rig.as_ref().filter(|_| rig.is_none());
    let (source, mut read) = match (archive.photo(name)?, gone) {
        (Some(photo), None) => {
            let rig = rig.as_ref().map(|(rig, _)| rig);
            let read = pipeline::remeasure::of_photo(
                photo,
                Path::new(name),
                &before.provenance,
                rig,
                &settings,
            )?;
            (Source::Photo, read)
        }
        (photo, gone) => {
            if let (Some(_), Some(rig)) = (photo, gone) {
                studio.note(keeping::rig_gone(name, rig));
            }
            (Source::Map, of_map(name, &before, archive, &settings)?)
        }
    };
    read.fingerprint.take_on(rig.and_then(|(_, study)| study));
    let present = before.version == VERSION && before.settings_digest == settings.digest();
    // Of whatever form of file: what counts is what it says.
    let said = text.get("measurements").map(Measurements::deserialize);
    let says_otherwise =
        || said.and_then(Result::ok).as_ref() != Some(&read.fingerprint.measurements);
    let kept = !present || (source == Source::Photo && says_otherwise());
    if kept {
        keep(name, source, &read, archive, &(studio.now)())?;
    }
    Ok(Again {
        name: name.to_owned(),
        source,
        before: text,
        now: read.fingerprint,
        kept,
    })
}

fn of_map(name: &str, before: &Before, archive: &Archive, settings: &Settings) -> Result<Reading> {
    let (silver, tints) = opened(&archive.pictures(name)?, name)?;
    let (rows, cols) = silver.dim();
    if !before.provenance.fits_map(cols, rows) {
        return Err(Error::MapUnreadable {
            name: name.to_owned(),
        });
    }
    Ok(pipeline::remeasure::of_map(
        silver,
        tints,
        &before.provenance,
        settings,
    ))
}

/// Keeps the reading beside the earlier ones; one of a map with the pictures that there are.
fn keep(
    name: &str,
    source: Source,
    read: &Reading,
    archive: &mut Archive,
    read_at: &str,
) -> Result<()> {
    let pictures = match source {
        Source::Photo => pictures(read)?,
        Source::Map => archive.pictures(name)?,
    };
    let new = NewReading {
        fingerprint: &read.fingerprint,
        pictures: &pictures,
        source,
    };
    archive.read_again(name, read_at, &new)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingerprint::metric::metric;

    #[test]
    fn an_axis_changes_by_the_smallest_turn_and_all_else_by_the_difference() {
        for (key, before, now, wanted) in [
            ("streak_angle", 179.0, 1.0, 2.0),
            ("streak_angle", 1.0, 179.0, -2.0),
            ("patina_hue", 350.0, 10.0, 20.0),
            ("coverage", 0.9, 0.8, -0.1),
            ("speckle_density", 0.0, 3.0, 3.0),
        ] {
            let found = change(metric(key).unwrap(), before, now);
            assert!((found - wanted).abs() < 1e-12, "{key}: {found}");
        }
    }
}
