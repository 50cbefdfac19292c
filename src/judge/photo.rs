//! The signs in the photo itself: what the camera noted, how the panel stands, how the patches are lit.

use super::cards::{self, Card};
use super::session::Colour;
use super::tiles::Tiles;
use super::{
    camera, crushed, grey_card, light_slope, mixed_lamps, patch_shaded, patch_uneven, tilted,
    tones_evened,
};
use crate::frame::photo::Photo;
use crate::frame::placement::Placement;
use crate::quality::{Flag, FlagSet};

/// What a photo says of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct InPhoto {
    /// What is weak about it.
    pub flags: FlagSet,
    /// Colour of its reference patches, by which photos of one session are compared; `None` without patches.
    pub patch_colour: Option<Colour>,
}

/// Judges a photo and what lies in it. `plain_frame`: full silver comes from a rig's plain frame or a sample, which carry any
/// slope of the light.
#[must_use]
pub fn of_photo(photo: &Photo, placement: &Placement, plain_frame: bool) -> InPhoto {
    let corners = &placement.corners;
    let (cards, tiles) = rayon::join(
        || Card::all(photo, placement),
        || Tiles::over(photo, corners),
    );
    let shaded = patch_shaded::shaded(&cards, &tiles);
    let mut flags = camera::signs(photo);
    flags.raise_if(crushed::crushed(&tiles), Flag::Crushed);
    flags.raise_if(tilted::tilted(photo, placement), Flag::Tilted);
    flags.raise_if(tones_evened::evened(photo, placement), Flag::TonesEvened);
    flags.raise_if(patch_uneven::uneven(&cards, &tiles), Flag::PatchUneven);
    flags.raise_if(shaded, Flag::PatchShaded);
    // A shaded patch says nothing of the light.
    let sloping = !plain_frame && !shaded && light_slope::too_steep(&cards, &tiles, corners);
    flags.raise_if(sloping, Flag::LightSlope);
    flags.raise_if(
        mixed_lamps::mixed(&cards, &tiles, corners),
        Flag::MixedLamps,
    );
    flags.raise_if(
        grey_card::off(&cards, &tiles, placement.patch_reflectance),
        Flag::GreyCardOff,
    );
    InPhoto {
        flags,
        patch_colour: cards::colour(&cards),
    }
}
