//! The photos of one call are one session: what only shows when they are laid side by side.

use crate::fingerprint::{Fingerprint, Provenance};
use crate::judge::{self, About, Noted};
use crate::quality::Flag;

/// Raises on each reading what is weak about it among the others.
pub fn judge<'a>(readings: impl IntoIterator<Item = &'a mut Fingerprint>) {
    let mut seen: Vec<&mut Provenance> = readings.into_iter().map(|r| &mut r.provenance).collect();
    let noted: Vec<Noted> = seen
        .iter()
        .map(|p| Noted {
            white_balance_auto: p.capture.white_balance_auto,
            patch_colour: p.patch_colour,
        })
        .collect();
    let about: Vec<About> = seen.iter().map(|p| About::from(&p.placement)).collect();
    for (photo, otherwise) in seen.iter_mut().zip(judge::otherwise(&about)) {
        photo.flags.raise_if(otherwise, Flag::StandsOtherwise);
    }
    for (photo, wanders) in seen.iter_mut().zip(judge::session(&noted)) {
        photo.flags.raise_if(wanders, Flag::WhiteBalanceWanders);
    }
}
