//! What to do about an error, as it is done at the bench: with buttons and the camera, where the command line has options.

use crate::commands::hint;
use crate::error::Error;

/// The next step, in the maker's words.
pub(super) fn next(error: &Error) -> &'static str {
    match error {
        Error::PlacementMissing { .. } => "Type the panel's width and height.",
        Error::NoPanelFound { .. } => {
            "Set its four corners by hand; or lay it on a plain table darker than its silver, and photograph it again."
        }
        Error::PanelsFound { .. } => {
            "Take the other out of the picture and photograph it again; or set the corners of the one that is meant."
        }
        Error::NoTwoPanels { .. } => {
            "Lay the sample beside the panel, a hand apart, on plain dark cloth; or type the size and use a rig."
        }
        Error::CornersImpossible { .. } => {
            "Set them again: A top left, B top right, C bottom right, D bottom left, as the panel hangs."
        }
        Error::CornersUnlikeSize { .. } => {
            "See that the width stands before the height, and that A is the top left corner."
        }
        Error::OutsidePhoto { .. } => "Keep all corners within the picture.",
        Error::MarksUnclear { .. } => {
            "Lay all four, dry and flat, each at its own corner, and see that nothing covers them; or set the corners by hand."
        }
        Error::SizeUnlikeMarks { .. } => {
            "Leave the size empty, or measure the panel and the sheet's ruler."
        }
        Error::PatchTooSmall { .. } => "Draw the card's frame larger.",
        Error::PatchOnPanel { .. } => "Draw the frame on the card beside the panel.",
        Error::PictureNotUsable { remedy, .. } => remedy,
        Error::NoSuchFinish { .. } | Error::NoSuchPanel { .. } => {
            "Look for it in the archive; it may be kept under another name."
        }
        Error::NoSuchRig { .. } => "Choose another rig, or none.",
        Error::FingerprintVersion { .. } => {
            "Read it again with this version, on the command line: paneprint remeasure NAME."
        }
        Error::NotAnArchive { .. } | Error::NoArchive { .. } | Error::ArchiveReadOnly { .. } => {
            "Start the bench again with the right file, on the command line: paneprint bench --archive FILE."
        }
        Error::PhotoTooLarge { .. } => "Photograph it with 12 megapixels; that is plenty.",
        Error::DamagedPhoto { .. } => "Photograph it again.",
        other => hint(other),
    }
}

/// What went wrong, without where the file lies on this computer: nobody at the bench can use that.
pub(super) fn said(error: &Error) -> String {
    let text = error.to_string();
    let of_archive = matches!(error, Error::NoSuchFinish { .. } | Error::NameTaken { .. });
    let said = match text.rsplit_once(": ") {
        Some((said, path)) if of_archive || path.contains(std::path::MAIN_SEPARATOR) => said,
        _ => &text,
    };
    let mut letters = said.chars();
    let first = letters.next().map(char::to_uppercase);
    let mut said: String = first.into_iter().flatten().chain(letters).collect();
    if !said.ends_with(['.', '!', '?']) {
        said.push('.');
    }
    said
}

/// The place of the panel is what is wrong: it can be set by hand.
pub(super) fn is_about_place(error: &Error) -> bool {
    matches!(
        error,
        Error::NoPanelFound { .. }
            | Error::PanelsFound { .. }
            | Error::NoTwoPanels { .. }
            | Error::SampleNotSeen { .. }
            | Error::CornersImpossible { .. }
            | Error::CornersUnlikeSize { .. }
            | Error::OutsidePhoto { .. }
            | Error::MarksUnclear { .. }
            | Error::PatchTooSmall { .. }
            | Error::PatchOnPanel { .. }
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_said_of_where_a_photo_lies_on_the_computer() {
        let error = Error::NoPanelFound {
            path: "/tmp/paneprint-bench-x/3/photo 3".into(),
        };
        assert!(said(&error).starts_with("No panel is seen in this photo"));
        let error = Error::NameTaken {
            name: "bar".to_owned(),
            path: "archive.sqlite".into(),
        };
        assert!(said(&error).starts_with("A finish named `bar` is already kept"));
        let error = Error::NameUnfit {
            name: "a: b".to_owned(),
        };
        assert!(
            said(&error).starts_with("`a: b` cannot be a name"),
            "{}",
            said(&error)
        );
    }
}
