//! The one table of flags: what can be weak about a picture, what it means, what to do, and whether it blocks.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

/// Something weak about a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Flag {
    /// More than 2 % of the panel is at the top of the code range.
    Clipped,
    /// Dark places of the panel are at the bottom of the code range.
    Crushed,
    /// A reference patch is at the top of the code range.
    PatchClipped,
    /// Where the panel or a patch lies was found, but without enough certainty.
    PlaceUnsure,
    /// The patches lie where the plain frame turned by 180° has them.
    UpsideDown,
    /// They lie where the plain frame laid on its side has them.
    OnItsSide,
    /// They lie where the plain frame mirrored has them.
    Mirrored,
    /// Turned or mirrored against most other photos of the session.
    StandsOtherwise,
    /// A millimetre is far larger or smaller than in the rig's plain frame, or than a phone can show it.
    SizeUnlikely,
    /// The panel spans too few pixels.
    PanelSmall,
    /// The picture is sharp, and smaller than any phone takes it.
    Shrunken,
    /// The photo is so soft that speckles of 2 mm are lost.
    Blurred,
    /// The panel is turned away from the camera by more than 20°.
    Tilted,
    /// Something other than the board is reflected in the panel.
    RoomReflected,
    /// The board does not fill the panel's reflection.
    BoardShort,
    /// The light on a reference patch changes across it.
    PatchUneven,
    /// A reference patch reads unlike what the others say of its place.
    PatchShaded,
    /// The light changes over the panel by more than the patches can carry.
    LightSlope,
    /// Much of the panel reads brighter than full silver.
    BrighterThanSilver,
    /// What the patches say of the light since the rig's day cannot be one light: a lamp shines on one of them, or the tones are bent.
    LightMoved,
    /// Dark places read under what bare glass sends back.
    BelowBare,
    /// The table is darker beside bright things than away from them.
    TonesEvened,
    /// The grey card is too dark or too bright in the photo to be read well, or is not grey.
    GreyCardOff,
    /// Two patches of different reflectance disagree with the assumed tone curve by more than 5 %.
    ResponseOff,
    /// The light lies otherwise than when the rig was made.
    LightDrift,
    /// The colour of the light changes across the photo.
    MixedLamps,
    /// The phone set its white balance anew between photos of one session or since the rig was made.
    WhiteBalanceWanders,
    /// The flash fired.
    FlashFired,
    /// The camera notes that it put the picture together from several, or rendered it specially.
    Processed,
    /// The camera enlarged the picture by computing.
    DigitalZoom,
    /// An edge of the panel bows by more than 0.5 % of its length.
    BowedEdges,
    /// Many specks come in pairs, all the same way apart: dust on the front glass and its mirror image.
    DoubledSpecks,
    /// Round spots with a bright rim stand on the panel.
    WetDrops,
    /// A reference patch covers too few pixels.
    PatchSmall,
    /// No patch and no rig: the panel's own brightest parts stand for full silver.
    OwnScale,
    /// The photo is softer than the standard sharpness.
    Soft,
    /// No clean edge to measure the blur on.
    BlurUnknown,
    /// The corners were given as seen from behind.
    CornersFromBehind,
    /// The photo is framed unlike the rig's plain frame.
    FramedUnlikeRig,
    /// The colour profile in the file cannot be used.
    ProfileBroken,
    /// The camera says that the colours are not sRGB, and does not say what they are.
    ColourUnknown,
    /// The file names no colour space.
    ColourAssumed,
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

/// Every flag, the one to do something about first at the top.
pub const FLAGS: [FlagFacts; 42] = [
    FlagFacts {
        flag: Flag::Clipped,
        key: "clipped",
        meaning: "The picture is too bright: part of the silver is pure white.",
        remedy: "Lower the exposure by about half and take it again.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::Crushed,
        key: "crushed",
        meaning: "The picture is too dark, or the phone has deepened its shadows: dark places are pure black.",
        remedy: "Raise the exposure, switch HDR and filters off, and take it again.",
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
        flag: Flag::PlaceUnsure,
        key: "place_unsure",
        meaning: "Where the panel and the patches lie in the photo is not certain.",
        remedy: "Look at the picture; if the lines lie right, keep them with --write-place and check again; if not, give --corners and --patch.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::UpsideDown,
        key: "upside_down",
        meaning: "The photo looks turned by 180 degrees against the rig's plain frame.",
        remedy: "Turn it in the phone and save it, or lay the patches where they lay for the plain frame.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::OnItsSide,
        key: "on_its_side",
        meaning: "The photo looks turned by 90 degrees against the rig's plain frame.",
        remedy: "Turn it in the phone and save it, and hold the phone as for the plain frame.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::Mirrored,
        key: "mirrored",
        meaning: "The photo looks mirrored against the rig's plain frame.",
        remedy: "Switch the phone's mirrored pictures off, or lay the patches where they lay for the plain frame.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::StandsOtherwise,
        key: "stands_otherwise",
        meaning: "The patches lie on another side of the panel than in the other photos: this one may have been turned or mirrored.",
        remedy: "See that it shows the panel as it hangs; where you only moved the patches, nothing is wrong.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::SizeUnlikely,
        key: "size_unlikely",
        meaning: "The panel does not look as large as was said.",
        remedy: "Check --size, also whether it is in millimetres or inches; with a rig, put the phone where it stood for the plain frame.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::Shrunken,
        key: "shrunken",
        meaning: "The picture was made smaller after it was taken, as messengers do, and its fine detail is gone.",
        remedy: "Use the photo itself: copy it from the phone by cable, or send it as a file.",
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
        flag: Flag::Blurred,
        key: "blurred",
        meaning: "The photo is out of focus or shaken.",
        remedy: "Focus on the glass, not on what it reflects; put the phone on a stand and use the timer.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::Tilted,
        key: "tilted",
        meaning: "The panel was photographed from too far to one side.",
        remedy: "Stand squarer to it, at most 20 degrees to one side.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::RoomReflected,
        key: "room_reflected",
        meaning: "Something of the room shows in the mirror.",
        remedy: "Move the board or shade the room, so that the panel sees nothing but the board.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::BoardShort,
        key: "board_short",
        meaning: "The board ends before the mirror does.",
        remedy: "Use a larger board, or move it towards the side that is dark.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::PatchUneven,
        key: "patch_uneven",
        meaning: "A shadow, a glare or dirt lies on a reference patch.",
        remedy: "Clean the patch, lay it where nothing shades it, and tilt it out of the glare.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::PatchShaded,
        key: "patch_shaded",
        meaning: "One reference patch is lit unlike the others: a shadow or a glare lies on it, or it is of another kind.",
        remedy: "Lay it flat beside the panel, in the same light, and take the photo again.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::LightSlope,
        key: "light_slope",
        meaning: "The light falls off across the panel by more than the patches can tell.",
        remedy: "Even out the lamps, lay patches on both sides of the panel, or make a rig.",
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
        flag: Flag::LightMoved,
        key: "light_moved",
        meaning: "The patches no longer show one light: a lamp shines on one of them, or the phone has evened the picture out.",
        remedy: "Turn every lamp to the board and none to the panel or the card, switch HDR off, and take it again; a mirror offcut beside the card shows which it is.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::BelowBare,
        key: "below_bare",
        meaning: "Dark places are darker than bare glass can be, so full silver was taken for too bright.",
        remedy: "Keep the lamps off the card, or lay an offcut of plain mirror beside the panel; switch HDR and filters off.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::TonesEvened,
        key: "tones_evened",
        meaning: "The phone has evened the picture out: the table darkens towards the panel on every side.",
        remedy: "Switch HDR, smart tones and filters off, or use an app that saves the plain picture, and take it again.",
        blocks: true,
    },
    FlagFacts {
        flag: Flag::GreyCardOff,
        key: "grey_card_off",
        meaning: "The grey card does not look like a grey card in this light.",
        remedy: "Use a plain grey card; the photo should show it neither near black nor near white.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::ResponseOff,
        key: "response_off",
        meaning: "The phone has bent the tones: two patches of known difference do not differ as they should.",
        remedy: "Switch HDR and filters off, or teach the rig the phone's tones with rig make --steps.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::LightDrift,
        key: "light_drift",
        meaning: "The light has changed since the rig was made.",
        remedy: "Put the lamps back, or make the rig again.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::MixedLamps,
        key: "mixed_lamps",
        meaning: "Two kinds of lamp light the panel.",
        remedy: "Use lamps of one kind and cover the windows.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::WhiteBalanceWanders,
        key: "white_balance_wanders",
        meaning: "The phone set its colours otherwise from photo to photo, so tones cannot be compared.",
        remedy: "Lock the white balance, and take the photos again where tone matters.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::FlashFired,
        key: "flash_fired",
        meaning: "The flash fired.",
        remedy: "Switch the flash off: the lamps on the board are the light.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::Processed,
        key: "processed",
        meaning: "The phone altered the picture to make it look better.",
        remedy: "Switch HDR, night, portrait and filters off.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::DigitalZoom,
        key: "digital_zoom",
        meaning: "The phone enlarged the picture, not its lens: that adds no detail.",
        remedy: "Zoom out again, and step closer.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::BowedEdges,
        key: "bowed_edges",
        meaning: "The edges of the panel are bowed: the lens is too wide or too near.",
        remedy: "Use the 2x lens and step back.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::DoubledSpecks,
        key: "doubled_specks",
        meaning: "Specks show twice: that is dust on the front of the glass, not lost silver.",
        remedy: "Wipe the glass and take the photo again.",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::WetDrops,
        key: "wet_drops",
        meaning: "Drops of water stand on the panel.",
        remedy: "Dry it, or flood it evenly, and take the photo again.",
        blocks: false,
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
        meaning: "The corners seem to be named as seen from behind, so left and right were swapped.",
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
        flag: Flag::ColourUnknown,
        key: "colour_unknown",
        meaning: "The file says that its colours are not the usual ones, but not which they are; sRGB was assumed.",
        remedy: "Set the phone's colours to standard (sRGB).",
        blocks: false,
    },
    FlagFacts {
        flag: Flag::ColourAssumed,
        key: "colour_assumed",
        meaning: "The file names no colour space; sRGB was assumed.",
        remedy: "A photo straight from the phone needs nothing done; any other is best saved as sRGB.",
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

    /// Raises all the flags of another set.
    pub fn raise_all(&mut self, other: &FlagSet) {
        self.0.extend(&other.0);
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

    /// The facts of every raised flag, the one to mend first at the top.
    pub fn facts(&self) -> impl Iterator<Item = &'static FlagFacts> + '_ {
        FLAGS.iter().filter(|f| self.0.contains(&f.flag))
    }

    /// The facts of those that something can be done about, the one to mend first at the top.
    pub fn to_mend(&self) -> impl Iterator<Item = &'static FlagFacts> + '_ {
        self.facts().filter(|f| f.flag != Flag::ColourAssumed)
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
