//! The one table of flags: what can be weak about a picture, what it means, what to do, and whether it blocks.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

/// Something weak about a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flag {
    /// More than 2 % of the panel is at the top of the code range.
    Clipped,
    /// A reference patch is at the top of the code range.
    PatchClipped,
    /// A reference patch covers too few pixels.
    PatchSmall,
    /// The panel spans too few pixels.
    PanelSmall,
    /// No patch and no rig: the panel's own brightest parts stand for full silver.
    OwnScale,
    /// The photo is softer than the standard sharpness.
    Soft,
    /// No clean edge to measure the blur on.
    BlurUnknown,
    /// The corners were given as seen from behind.
    CornersFromBehind,
    /// The file names no colour space.
    ColourAssumed,
    /// The colour profile in the file cannot be used.
    ProfileBroken,
    /// The photo is framed unlike the rig's plain frame.
    FramedUnlikeRig,
    /// Much of the panel reads brighter than full silver.
    BrighterThanSilver,
}

/// What the program knows about a flag.
#[derive(Debug, Clone, Copy)]
pub struct FlagFacts {
    /// The flag.
    pub flag: Flag,
    /// Its name in JSON.
    pub key: &'static str,
    /// What it means, one plain sentence.
    pub meaning: &'static str,
    /// What to do about it.
    pub remedy: &'static str,
    /// The picture cannot be judged by.
    pub blocks: bool,
}

/// Every flag, most serious first.
pub const FLAGS: [FlagFacts; 12] = [
    FlagFacts {
        flag: Flag::Clipped,
        key: "clipped",
        meaning: "The picture is too bright: part of the silver is pure white.",
        remedy: "Lower the exposure by about half and take it again.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::PatchClipped,
        key: "patch_clipped",
        meaning: "A reference patch is pure white, so it cannot say how bright the light was.",
        remedy: "Lower the exposure, or keep the lamp's glare off the patch.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::PanelSmall,
        key: "panel_small",
        meaning: "The panel is too small in the photo to see its speckles.",
        remedy: "Step closer until the panel nearly fills the picture.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::BrighterThanSilver,
        key: "brighter_than_silver",
        meaning: "Much of the panel reads brighter than full silver, so the reference is wrong.",
        remedy: "Check that the patch was in the same light, clean and not shaded.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::PatchSmall,
        key: "patch_small",
        meaning: "A reference patch covers very few pixels.",
        remedy: "Use a larger card, or mark more of it.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::OwnScale,
        key: "own_scale",
        meaning: "Nothing in the photo shows full silver; the panel's brightest parts stand for it. An even veil cannot be seen this way.",
        remedy: "Lay an offcut of plain mirror beside the panel, or make a rig.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::Soft,
        key: "soft",
        meaning: "The photo is soft, so small speckles fade.",
        remedy: "Focus on the glass, not on what it reflects.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::BlurUnknown,
        key: "blur_unknown",
        meaning: "No clean edge shows how sharp the photo is; an ordinary lens was assumed.",
        remedy: "Put a dark, plain surround behind the panel.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::CornersFromBehind,
        key: "corners_from_behind",
        meaning: "The corners were read as seen from behind, and exchanged left for right.",
        remedy: "Name them as the panel hangs, seen from the front, to be sure.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::FramedUnlikeRig,
        key: "framed_unlike_rig",
        meaning: "This photo has another shape than the rig's plain frame, so only the patch could be used.",
        remedy: "Hold the phone the same way as for the plain frame.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::ProfileBroken,
        key: "profile_broken",
        meaning: "The colour profile in the file cannot be used; sRGB was assumed.",
        remedy: "Export the picture again with an ordinary profile.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::ColourAssumed,
        key: "colour_assumed",
        meaning: "The file names no colour space; sRGB was assumed.",
        remedy: "Nothing, where the phone writes ordinary JPEG.",
        blocks: false,
    },
];

impl Flag {
    /// What the program knows about this flag.
    #[must_use]
    pub fn facts(self) -> &'static FlagFacts {
        FLAGS.iter().find(|f| f.flag == self).unwrap_or(&FLAGS[0])
    }
}

/// The flags of one picture, each at most once.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct FlagSet(BTreeSet<Flag>);

impl FlagSet {
    /// Raises a flag.
    pub fn raise(&mut self, flag: Flag) {
        self.0.insert(flag);
    }

    /// Raises a flag where `condition` holds.
    pub fn raise_if(&mut self, condition: bool, flag: Flag) {
        if condition {
            self.raise(flag);
        }
    }

    /// The flag is up.
    #[must_use]
    pub fn has(&self, flag: Flag) -> bool {
        self.0.contains(&flag)
    }

    /// The facts of every raised flag, most serious first.
    pub fn facts(&self) -> impl Iterator<Item = &'static FlagFacts> + '_ {
        FLAGS.iter().filter(|f| self.0.contains(&f.flag))
    }

    /// One of them makes the picture unusable.
    #[must_use]
    pub fn blocks(&self) -> bool {
        self.facts().any(|f| f.blocks)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_flag_has_one_row_and_its_key_is_its_name_in_json() {
        for (i, row) in FLAGS.iter().enumerate() {
            assert_eq!(row.flag.facts().key, row.key);
            assert_eq!(serde_json::to_value(row.flag).unwrap(), row.key);
            assert!(FLAGS[..i].iter().all(|f| f.key != row.key));
            assert!(row.meaning.ends_with('.') && row.remedy.ends_with('.'));
        }
    }
}
