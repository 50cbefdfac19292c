//! The signs in the photo itself: what the camera noted, how the panel stands, how the patches are lit.

use crate::frame::photo::Photo;
use crate::frame::placement::Placement;
use crate::quality::FlagSet;

/// What is weak about a photo and what lies in it.
#[must_use]
pub fn of_photo(_photo: &Photo, _placement: &Placement) -> FlagSet {
    FlagSet::default()
}
