//! What the camera noted in the file.
//!
//! Tags and values are those of Exif 2.32 (CIPA DC-008-2019). Flash, bit 0: it fired. DigitalZoomRatio over 1: enlarged by
//! computing (0: none used). CustomRendered, 0 for a normal process: anything else was rendered specially (makers write
//! numbers of their own for HDR, panorama and portrait). CompositeImage 2 and 3: put together from several, after or while
//! taking it. ColorSpace 65535: uncalibrated, which with a profile says nothing and without one leaves the colours unknown.
//! Fooled by: cameras that write nothing, and editors that strip the notes.

use crate::frame::photo::{ColourSource, Photo};
use crate::quality::{Flag, FlagSet};

/// EXIF colour space of a file that does not say which one it is in.
const UNCALIBRATED: u16 = 65_535;

/// What the camera noted that is weak about its photo.
#[must_use]
pub fn signs(photo: &Photo) -> FlagSet {
    let noted = &photo.capture;
    let mut flags = FlagSet::default();
    flags.raise_if(noted.flash_fired == Some(true), Flag::FlashFired);
    flags.raise_if(
        noted.digital_zoom.is_some_and(|zoom| zoom > 1.0),
        Flag::DigitalZoom,
    );
    flags.raise_if(
        noted.custom_rendered.is_some_and(|how| how != 0) || matches!(noted.composite, Some(2 | 3)),
        Flag::Processed,
    );
    flags.raise_if(
        noted.colour_space == Some(UNCALIBRATED)
            && photo.linear.source == ColourSource::AssumedSrgb,
        Flag::ColourUnknown,
    );
    flags
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;
    use crate::frame::photo::Capture;

    fn raised(noted: Capture, source: ColourSource) -> FlagSet {
        let mut photo = drawn::photo([1, 1], |_, _| [0.5; 3]);
        (photo.capture, photo.linear.source) = (noted, source);
        signs(&photo)
    }

    #[test]
    fn each_note_raises_its_own_flag_and_silence_none() {
        let none = Capture::default();
        for (noted, flag) in [
            (none.clone(), None),
            (
                Capture {
                    flash_fired: Some(true),
                    ..none.clone()
                },
                Some(Flag::FlashFired),
            ),
            (
                Capture {
                    flash_fired: Some(false),
                    ..none.clone()
                },
                None,
            ),
            (
                Capture {
                    digital_zoom: Some(1.0),
                    ..none.clone()
                },
                None,
            ),
            (
                Capture {
                    digital_zoom: Some(0.0),
                    ..none.clone()
                },
                None,
            ),
            (
                Capture {
                    digital_zoom: Some(1.01),
                    ..none.clone()
                },
                Some(Flag::DigitalZoom),
            ),
            (
                Capture {
                    custom_rendered: Some(0),
                    ..none.clone()
                },
                None,
            ),
            (
                Capture {
                    custom_rendered: Some(1),
                    ..none.clone()
                },
                Some(Flag::Processed),
            ),
            (
                Capture {
                    composite: Some(1),
                    ..none.clone()
                },
                None,
            ),
            (
                Capture {
                    composite: Some(2),
                    ..none.clone()
                },
                Some(Flag::Processed),
            ),
            (
                Capture {
                    composite: Some(3),
                    ..none.clone()
                },
                Some(Flag::Processed),
            ),
            (
                Capture {
                    colour_space: Some(1),
                    ..none.clone()
                },
                None,
            ),
            (
                Capture {
                    colour_space: Some(65_535),
                    ..none
                },
                Some(Flag::ColourUnknown),
            ),
        ] {
            let mut wanted = FlagSet::default();
            flag.into_iter().for_each(|flag| wanted.raise(flag));
            assert_eq!(
                raised(noted.clone(), ColourSource::AssumedSrgb),
                wanted,
                "{noted:?}"
            );
            // With a profile the colours are known.
            let known = raised(noted, ColourSource::Profile);
            assert!(!known.has(Flag::ColourUnknown));
        }
    }
}
