//! File → [`Photo`]: decoded under limits, upright, with its colours defined and what the camera noted.
//!
//! The content decides what a file is, never its name. A photo that is cut short, damaged, hostile or of a kind that
//! cannot be read as light is refused with one plain error; a broken profile or broken EXIF never refuses a photo.
//! Codes are never altered here, only put in order: linear light is the tables and the matrix of
//! [`Linearisation`](crate::frame::photo::Linearisation). The one exception is a profile that is neither curves nor
//! matrix, whose codes become linear 16-bit ones.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "file fields are masked to their width, and tables are made in f64 and kept in f32"
)]

mod capture;
mod channels;
mod colour;
mod decode;
mod decoded;
mod jpeg;
mod limits;
mod png;
mod primaries;
mod sniff;
mod tiff;
mod upright;

use std::fs::File;
use std::io::Read;
use std::path::Path;

pub use limits::Limits;

use crate::frame::photo::Photo;
use crate::{Error, Result};

/// Reads the photo at `path`.
///
/// # Errors
/// Whatever stops the file from being read ([`Error::NotFound`], [`Error::IsFolder`], [`Error::Io`]), and all of
/// [`from_bytes`].
pub fn read(path: &Path, limits: &Limits) -> Result<Photo> {
    from_bytes(bytes_of(path, limits)?, path, limits)
}

/// Reads a photo from the bytes of its file; `path` only names it in messages.
///
/// # Errors
/// [`Error::NotAPhoto`], [`Error::UnreadableKind`], [`Error::DamagedPhoto`], [`Error::PhotoTooLarge`] or
/// [`Error::PhotoTooSmall`].
pub fn from_bytes(bytes: Vec<u8>, path: &Path, limits: &Limits) -> Result<Photo> {
    limits.check_bytes(bytes.len() as u64, path)?;
    let kind = sniff::kind(&bytes, path)?;
    let (digest, decoded) = rayon::join(
        || blake3::hash(&bytes).to_hex().to_string(),
        || decode_guarded(&bytes, kind, path, limits),
    );
    let decoded = decoded?;
    let capture = match kind {
        sniff::Kind::Tiff => capture::from_tiff(bytes),
        _ => decoded
            .exif
            .map_or_else(Default::default, capture::from_exif),
    };
    let (samples, linear) = colour::linearise(decoded.samples, decoded.grey, &decoded.profile);
    let orientation = capture.orientation.unwrap_or(1);
    let (width, height, samples) =
        upright::turn(decoded.width, decoded.height, samples, orientation);
    Ok(Photo {
        width,
        height,
        samples,
        linear,
        capture,
        digest,
    })
}

/// The file's first bytes are those of a picture, whether it can be read or not.
#[must_use]
pub fn is_picture(path: &Path) -> bool {
    let mut head = Vec::with_capacity(sniff::HEAD);
    let holds_something =
        std::fs::metadata(path).is_ok_and(|facts| facts.is_file() && facts.len() > 0);
    holds_something
        && File::open(path)
            .and_then(|file| file.take(sniff::HEAD as u64).read_to_end(&mut head))
            .is_ok_and(|_| sniff::is_picture(&head))
}

/// Decodes, taking a decoder's panic for damage: the JPEG decoder asserts that chroma rows fit their luma, which bytes
/// made for the purpose can break.
fn decode_guarded(
    bytes: &[u8],
    kind: sniff::Kind,
    path: &Path,
    limits: &Limits,
) -> Result<decoded::Decoded> {
    std::panic::catch_unwind(|| decode::decode(bytes, kind, path, limits))
        .unwrap_or_else(|_| Err(decoded::damaged(path, "the decoder gave up")))
}

/// The bytes of a photo's file, no more of them than the limits allow.
///
/// # Errors
/// Whatever stops the file from being read.
pub fn bytes_of(path: &Path, limits: &Limits) -> Result<Vec<u8>> {
    let unread = |source: std::io::Error| match source.kind() {
        std::io::ErrorKind::NotFound | std::io::ErrorKind::NotADirectory => Error::NotFound {
            path: path.to_path_buf(),
        },
        _ => Error::Io {
            path: path.to_path_buf(),
            action: "read",
            source,
        },
    };
    let facts = std::fs::metadata(path).map_err(unread)?;
    if facts.is_dir() {
        return Err(Error::IsFolder {
            path: path.to_path_buf(),
        });
    }
    if !facts.is_file() {
        return Err(Error::NotAPhoto {
            path: path.to_path_buf(),
            found: "a device or a pipe".into(),
        });
    }
    limits.check_bytes(facts.len(), path)?;
    // Some files of the system itself claim no length, and have no end.
    if facts.len() == 0 {
        return Ok(Vec::new());
    }
    at_most(limits.most_bytes.saturating_add(1), path).map_err(unread)
}

/// The bytes of a file, so many of them at most. A read that fails is tried once more.
///
/// # Errors
/// It failed again.
pub fn at_most(most: u64, path: &Path) -> std::io::Result<Vec<u8>> {
    let read = || {
        let file = File::open(path)?;
        let length = file.metadata()?.len().min(most);
        let mut bytes = Vec::with_capacity(usize::try_from(length).unwrap_or(0) + 1);
        file.take(most).read_to_end(&mut bytes)?;
        Ok(bytes)
    };
    read().or_else(|_: std::io::Error| read())
}

#[cfg(test)]
mod tests;
