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

#[cfg(test)]
mod tests {
    use super::super::drawn::{corners, photo};
    use super::*;
    use crate::frame::drawn;
    use crate::frame::placement::PatchKind;
    use crate::frame::quad::Quad;
    use crate::quality::Flag;

    fn judged(
        light: impl Fn(f64, f64) -> [f64; 3],
        patches: &[[f64; 2]],
        plain_frame: bool,
    ) -> InPhoto {
        let mut placement = drawn::placement(corners());
        let patch = |at: &[f64; 2]| {
            drawn::patch(
                PatchKind::Mirror,
                Quad::rectangle(at[0] - 25.0, at[1] - 25.0, 50.0, 50.0),
            )
        };
        placement.patches = patches.iter().map(patch).collect();
        of_photo(&photo(light), &placement, plain_frame)
    }

    #[test]
    fn an_even_photo_shows_nothing_weak() {
        let none = judged(|_, _| [0.5; 3], &[], false);
        assert_eq!((none.flags, none.patch_colour), (FlagSet::default(), None));
        let patched = judged(
            |_, _| [0.5, 0.4, 0.3],
            &[[50.0, 200.0], [350.0, 200.0]],
            false,
        );
        assert_eq!(patched.flags, FlagSet::default());
        let colour = patched.patch_colour.unwrap();
        assert!((colour.red - 1.25).abs() < 1e-3 && (colour.blue - 0.75).abs() < 1e-3);
    }

    #[test]
    fn a_steep_light_is_weak_unless_a_plain_frame_carries_it_or_a_patch_is_shaded() {
        let steep = |x: f64, _: f64| [0.9 * (0.003 * (x - 400.0)).exp(); 3];
        let two = [[50.0, 200.0], [350.0, 200.0]];
        assert!(judged(steep, &two, false).flags.has(Flag::LightSlope));
        assert!(!judged(steep, &two, true).flags.has(Flag::LightSlope));
        // One patch in the shade, on a panel that is not.
        let shade = |x: f64, _: f64| [if x < 90.0 { 0.1 } else { 0.5 }; 3];
        let flags = judged(shade, &two, false).flags;
        assert!(flags.has(Flag::PatchShaded) && !flags.has(Flag::LightSlope));
    }
}
