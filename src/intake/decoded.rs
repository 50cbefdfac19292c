//! What comes of decoding a file: a picture as stored, or the error that says why it is none.

use std::path::Path;

use super::colour::Named;
use crate::Error;
use crate::frame::photo::Samples;

/// Longest part of a decoder's message that is passed on, characters.
const MESSAGE_CHARS: usize = 120;

/// A picture as stored: not yet turned upright, its colours not yet worked out.
pub(super) struct Decoded {
    /// Pixels across, as stored.
    pub(super) width: usize,
    /// Pixels down, as stored.
    pub(super) height: usize,
    /// Interleaved RGB.
    pub(super) samples: Samples,
    /// The file holds one channel, copied to all three.
    pub(super) grey: bool,
    /// How the file names its colours.
    pub(super) profile: Named,
    /// The EXIF block, from its TIFF header on. For a TIFF, which is one itself, `None`.
    pub(super) exif: Option<Vec<u8>>,
}

/// The error for damaged data, in the decoder's own words on one line.
pub(super) fn damaged(path: &Path, words: impl std::fmt::Display) -> Error {
    let words = words.to_string();
    let line = words
        .trim_matches('"')
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    Error::DamagedPhoto {
        path: path.to_path_buf(),
        detail: line.chars().take(MESSAGE_CHARS).collect(),
    }
}

/// The error for a kind of picture that cannot be read as light.
pub(super) fn unreadable(path: &Path, found: impl Into<String>) -> Error {
    Error::UnreadableKind {
        path: path.to_path_buf(),
        found: found.into(),
    }
}
