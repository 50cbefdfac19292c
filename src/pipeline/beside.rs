//! A photo with a kept sample lying beside the new panel: the sample is its own reference, and says how large the panel is.

use std::path::Path;

use super::{Reading, placed_reading};
use crate::error::{Error, Result};
use crate::frame::lens::Lens;
use crate::frame::photo::Photo;
use crate::frame::placement::{Finding, FoundBy};
use crate::frame::quad::Quad;
use crate::intake;
use crate::normalize::{self, BySample, KeptSilver, Reference};
use crate::placement::{self, Given, Placed};
use crate::settings::Settings;
use crate::units::SizeMm;

/// The sample is known from this likeness on, where the other piece is less like it by so much.
const LEAST_ALIKE: f64 = 0.5;
const LESS_ALIKE: f64 = 0.15;

/// A reading of the panel beside a sample.
pub struct Beside {
    /// Of the panel.
    pub reading: Reading,
    /// How alike the other piece is to what was kept of the sample, cell by cell: 1 the same, 0 another piece.
    pub alike: f64,
}

/// Reads the panel of a photo in which the sample `named` lies too.
///
/// # Errors
/// The photo cannot be read; there are not two panels in it; neither, or both, look like the sample.
pub fn read(
    path: &Path,
    given: Given,
    named: &str,
    kept: KeptSilver<'_>,
    settings: &Settings,
) -> Result<Beside> {
    let photo = intake::read(path, &intake::Limits::default())?;
    let bare = settings.normalize.bare_ratio;
    let (photo, two, lens) = placement::two_straight(photo, path)?;
    let [left, right] = [[0, 1], [1, 0]]
        .map(|order| normalize::by_sample(&photo, order.map(|i| &two[i]), kept, bare));
    let alike = |by: &Option<BySample>| by.as_ref().map_or(0.0, |by| by.alike);
    let (by, panel, other) = if alike(&left) > alike(&right) {
        (left, two[1], alike(&right))
    } else {
        (right, two[0], alike(&left))
    };
    let by = by
        .filter(|by| by.alike >= LEAST_ALIKE && by.alike >= other + LESS_ALIKE)
        .ok_or_else(|| Error::SampleNotSeen {
            path: path.to_owned(),
            sample: named.to_owned(),
        })?;
    read_beside((photo, lens), path, given, (panel, &by), settings)
}

fn read_beside(
    (photo, lens): (Photo, Option<Lens>),
    path: &Path,
    given: Given,
    (panel, by): (Quad, &BySample),
    settings: &Settings,
) -> Result<Beside> {
    let given = Given {
        size: given.size.or_else(|| size_beside(by, &panel)),
        corners: Some(panel),
        ..given
    };
    let (mut placement, flags) = placement::place(&photo, path, given)?;
    placement.found = Some(Finding {
        by: FoundBy::Edges,
        confidence: by.alike,
    });
    let reading = placed_reading(
        Placed {
            photo,
            placement,
            flags,
            lens,
        },
        path,
        Reference::Sample(by),
        settings,
    )?;
    Ok(Beside {
        reading,
        alike: by.alike,
    })
}

/// The size of a panel in the sample's plane, to the millimetre.
fn size_beside(by: &BySample, panel: &Quad) -> Option<SizeMm> {
    let to_mm = by.to_photo.inverse()?;
    let [a, b, c, d] = panel.0.map(|corner| to_mm.apply(corner));
    let far = |p: [f64; 2], q: [f64; 2]| (p[0] - q[0]).hypot(p[1] - q[1]);
    let side = |one: f64, other: f64| ((one + other) / 2.0).round().max(1.0);
    Some(SizeMm {
        width: side(far(a, b), far(d, c)),
        height: side(far(a, d), far(b, c)),
    })
}
