//! The phone chose its colours anew from photo to photo.
//!
//! A person sees one card a little yellower in one photo than in the next. Where the camera notes that it set its white
//! balance by itself, the ratios of red and of blue to green on the reference patches tell: a photo wanders when one of
//! them lies more than 3 % off the session's median (a grey card off by more than 3 % after a lock means the light has
//! changed), whole codes of JPEG chroma allowed for. Fooled by: another card, or lamps that warm up.

use serde::{Deserialize, Serialize};

use crate::stats::order::median;

/// Most a ratio may lie off the session's.
const MOST: f64 = 0.03;

/// Colour of the reference patches of a photo.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Colour {
    /// Red over green, linear light.
    pub red: f64,
    /// Blue over green, linear light.
    pub blue: f64,
    /// How far the file's codes can move the two, as a share.
    pub doubt: f64,
}

/// What one photo of a session notes of its colours.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Noted {
    /// The camera set its white balance by itself.
    pub white_balance_auto: Option<bool>,
    /// Colour of its patches.
    pub patch_colour: Option<Colour>,
}

/// Which photos of a session [wander](crate::quality::Flag::WhiteBalanceWanders), in their order.
#[must_use]
pub fn session(photos: &[Noted]) -> Vec<bool> {
    let colours = || photos.iter().filter_map(|p| p.patch_colour);
    // The median of two lies halfway between them.
    let most = if colours().count() == 2 {
        MOST / 2.0
    } else {
        MOST
    };
    let middle =
        |of: fn(&Colour) -> f64| median(&mut colours().map(|c| of(&c)).collect::<Vec<_>>());
    let (red, blue) = (middle(|c| c.red), middle(|c| c.blue));
    let off = |value: f64, middle: Option<f64>| middle.map_or(0.0, |m| (value / m).ln().abs());
    photos
        .iter()
        .map(|photo| {
            photo.white_balance_auto == Some(true)
                && photo
                    .patch_colour
                    .is_some_and(|c| off(c.red, red).max(off(c.blue, blue)) > most + c.doubt)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn photo(auto: bool, blue: f64) -> Noted {
        Noted {
            white_balance_auto: Some(auto),
            patch_colour: Some(Colour {
                red: 1.1,
                blue,
                doubt: 0.0,
            }),
        }
    }

    #[test]
    fn photos_off_the_median_wander_where_the_camera_chose() {
        let (same, other) = (photo(true, 0.80), photo(true, 0.84));
        assert_eq!(session(&[same, same, other]), [false, false, true]);
        assert_eq!(session(&[same, photo(false, 0.84), same]), [false; 3]);
        assert_eq!(session(&[same, photo(true, 0.82), same]), [false; 3]);
        // Of two, neither is right.
        assert_eq!(session(&[same, other]), [true; 2]);
        assert_eq!(session(&[same, photo(true, 0.82)]), [false; 2]);
        assert_eq!(session(&[same, Noted::default()]), [false; 2]);
        assert!(session(&[]).is_empty());
    }
}
