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

/// Why `match` would refuse a panel beside a sample as samples should be read: against full silver. Whether the measures are of one
/// version, and the sides one, only the sample can tell.
#[must_use]
pub fn refused_beside(panel: &Fingerprint) -> Option<Unlike> {
    if shows_paint(panel) {
        Some(Unlike::PaintSeen)
    } else {
        own_scale(panel).then_some(Unlike::Scales)
    }
}

fn own_scale(fingerprint: &Fingerprint) -> bool {
    fingerprint.provenance.silver_scale == SilverScale::Own
}

fn shows_paint(fingerprint: &Fingerprint) -> bool {
    let placement = &fingerprint.provenance.placement;
    placement.side == placement::Side::Back && placement.stage == Some(Stage::Backed)
}

#[cfg(test)]
mod tests {
    use super::super::drawn::{even, named};
    use super::*;
    use placement::Side::{Back, Front};

    #[test]
    fn each_way_of_being_unlike_is_refused_and_named() {
        let like = even(1.0);
        let refused =
            |a: &Fingerprint, b: &Fingerprint| match refuse_unlike(named("a", a), named("b", b)) {
                Ok(()) => None,
                Err(Error::NotComparable { sample, panel, why }) => {
                    assert_eq!((sample.as_str(), panel.as_str()), ("a", "b"));
                    Some(why)
                }
                Err(other) => panic!("{other}"),
            };
        assert_eq!(refused(&like, &like), None);
        let other = |change: fn(&mut Fingerprint)| {
            let mut other = like.clone();
            change(&mut other);
            other
        };
        for (change, why) in [
            (
                (|f| f.version -= 1) as fn(&mut Fingerprint),
                Unlike::Versions,
            ),
            (|f| f.settings_digest.push('x'), Unlike::Settings),
            (|f| f.provenance.placement.side = Back, Unlike::Sides),
            (
                |f| f.provenance.silver_scale = SilverScale::Own,
                Unlike::Scales,
            ),
        ] {
            assert_eq!(refused(&like, &other(change)), Some(why));
            assert_eq!(refused(&other(change), &like), Some(why));
            assert_eq!(refused(&other(change), &other(change)), None);
        }
        // Full silver by unlike means is full silver.
        let mirror = other(|f| f.provenance.silver_scale = SilverScale::Mirror);
        assert_eq!(refused(&like, &mirror), None);
        // Of a back that is painted no silver is seen; of one that is not, and of a front, it is.
        let stage = |side, stage| {
            let mut other = like.clone();
            other.provenance.placement.side = side;
            other.provenance.placement.stage = Some(stage);
            other
        };
        for (side, at, why) in [
            (Back, Stage::Backed, Some(Unlike::PaintSeen)),
            (Back, Stage::Dry, None),
            (Front, Stage::Backed, None),
        ] {
            assert_eq!(refused(&stage(side, at), &stage(side, Stage::Wet)), why);
            assert_eq!(refused(&stage(side, Stage::Wet), &stage(side, at)), why);
        }
    }
}
