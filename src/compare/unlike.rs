//! Readings that cannot honestly be set against each other.

use super::side::Side;
use crate::error::{Error, Result, Unlike};
use crate::fingerprint::Fingerprint;
use crate::frame::panel::SilverScale;
use crate::frame::placement::{self, Stage};

/// Refuses two readings that were not made alike, whatever they show.
///
/// # Errors
/// Unlike versions, settings, sides or scales; a painted back in place of silver.
pub(super) fn refuse_unlike(sample: Side<'_>, panel: Side<'_>) -> Result<()> {
    let (a, b) = (sample.fingerprint, panel.fingerprint);
    let why = if a.version != b.version {
        Unlike::Versions
    } else if a.settings_digest != b.settings_digest {
        Unlike::Settings
    } else if a.provenance.placement.side != b.provenance.placement.side {
        Unlike::Sides
    } else if own_scale(a) != own_scale(b) {
        Unlike::Scales
    } else if shows_paint(a) || shows_paint(b) {
        Unlike::PaintSeen
    } else {
        return Ok(());
    };
    Err(Error::NotComparable {
        sample: sample.name.to_owned(),
        panel: panel.name.to_owned(),
        why,
    })
}

fn own_scale(fingerprint: &Fingerprint) -> bool {
    fingerprint.provenance.silver_scale == SilverScale::Own
}

fn shows_paint(fingerprint: &Fingerprint) -> bool {
    let placement = &fingerprint.provenance.placement;
    placement.side == placement::Side::Back && placement.stage == Some(Stage::Backed)
}
