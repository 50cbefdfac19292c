//! What a file is, by its first bytes.

use std::path::Path;

use super::tiff;
use crate::{Error, Result};

/// A picture format that intake decodes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Jpeg,
    Png,
    Tiff,
    WebP,
}

/// First bytes (offset, bytes) of pictures of kinds that are not read. First match wins.
const PICTURES: [(usize, &[u8], &str); 13] = [
    (0, b"GIF8", "a GIF"),
    (0, b"BM", "a BMP"),
    (0, b"8BPS", "a Photoshop document"),
    (0, b"\xff\x0a", "a JPEG XL picture"),
    (0, b"\0\0\0\x0cJXL ", "a JPEG XL picture"),
    (0, b"\0\0\0\x0cjP  ", "a JPEG 2000 picture"),
    (0, b"\xff\x4f\xff\x51", "a JPEG 2000 picture"),
    (0, b"FUJIFILMCCD-RAW", "a camera raw file (RAF)"),
    (0, b"IIU\0", "a camera raw file (RW2)"),
    (0, b"IIRO", "a camera raw file (ORF)"),
    (0, b"MMOR", "a camera raw file (ORF)"),
    (0, b"FOVb", "a camera raw file (X3F)"),
    (0, b"II\xbc", "a JPEG XR picture"),
];

/// The same of what is no picture.
const OTHERS: [(usize, &[u8], &str); 6] = [
    (0, b"%PDF", "a PDF"),
    (0, b"\0\0\x01\0", "an icon file"),
    (0, b"PK\x03\x04", "a ZIP archive"),
    (0, b"SQLite format 3\0", "an SQLite archive"),
    (0, b"\x1f\x8b", "a gzip archive"),
    (4, b"moov", "a film"),
];

/// Bytes from which a kind is known.
pub(super) const HEAD: usize = 16;

/// Brands of ISO media files (`ftyp` boxes): the first four letters of the brand, and what it is.
const BRANDS: [(&[u8], &str); 10] = [
    (b"avif", "an AVIF picture"),
    (b"avis", "an AVIF picture"),
    (b"heic", "a HEIC picture"),
    (b"heix", "a HEIC picture"),
    (b"hevc", "a HEIC picture"),
    (b"heim", "a HEIC picture"),
    (b"heis", "a HEIC picture"),
    (b"mif1", "a HEIF picture"),
    (b"msf1", "a HEIF picture"),
    (b"crx ", "a camera raw file (CR3)"),
];

/// The name of the kind whose first bytes these are.
fn named(kinds: &[(usize, &[u8], &'static str)], bytes: &[u8]) -> Option<&'static str> {
    let is = |(at, magic, _): &&(usize, &[u8], _)| {
        bytes.get(*at..).is_some_and(|b| b.starts_with(magic))
    };
    kinds.iter().find(is).map(|(_, _, name)| *name)
}

/// The name of the brand of an ISO media file, where it is one of a picture.
fn brand(bytes: &[u8]) -> Option<&'static str> {
    let brand = bytes.get(8..12).unwrap_or_default();
    BRANDS
        .iter()
        .find(|(b, _)| *b == brand)
        .map(|(_, name)| *name)
}

/// The first [`HEAD`] bytes are those of a picture, whether it can be read or not.
pub(super) fn is_picture(head: &[u8]) -> bool {
    kind(head, Path::new("")).is_ok()
        || tiff::is_tiff(head)
        || head.get(4..8) == Some(b"ftyp") && brand(head).is_some()
        || named(&PICTURES, head).is_some()
}

/// Recognises a photo by its content.
///
/// # Errors
/// [`Error::NotAPhoto`] with the kind in words, where it is something else.
pub(super) fn kind(bytes: &[u8], path: &Path) -> Result<Kind> {
    let refused = |found: &str| {
        Err(Error::NotAPhoto {
            path: path.to_path_buf(),
            found: found.into(),
        })
    };
    if bytes.starts_with(b"\xff\xd8") {
        return Ok(Kind::Jpeg);
    }
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        return Ok(Kind::Png);
    }
    if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        return Ok(Kind::WebP);
    }
    if tiff::is_tiff(bytes) {
        return tiff::raw_kind(bytes).map_or(Ok(Kind::Tiff), refused);
    }
    if bytes.get(4..8) == Some(b"ftyp") {
        return refused(brand(bytes).unwrap_or("a film"));
    }
    refused(match named(&PICTURES, bytes).or(named(&OTHERS, bytes)) {
        Some(name) => name,
        None if bytes.is_empty() => "an empty file",
        None if looks_like_text(bytes) => "a text file",
        None => "something unknown",
    })
}

/// UTF-8 without control characters in the first 512 bytes.
fn looks_like_text(bytes: &[u8]) -> bool {
    let head = &bytes[..bytes.len().min(512)];
    let text = match std::str::from_utf8(head) {
        Ok(text) => text,
        // A character cut by the 512th byte is still text.
        Err(e) if e.error_len().is_none() => {
            std::str::from_utf8(&head[..e.valid_up_to()]).unwrap_or_default()
        }
        Err(_) => return false,
    };
    !text.is_empty()
        && !text
            .chars()
            .any(|c| c.is_control() && !c.is_ascii_whitespace())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn other_things_are_refused_by_name() {
        for (bytes, name) in [
            (&b""[..], "an empty file"),
            (b"Dear client,\n", "a text file"),
            ("{\"größe\": 3}".as_bytes(), "a text file"),
            (b"GIF89a\x01\0", "a GIF"),
            (b"%PDF-1.7\n", "a PDF"),
            (b"\0\0\0\x18ftypheic\0\0\0\0", "a HEIC picture"),
            (b"\0\0\0\x18ftypmif1\0\0\0\0", "a HEIF picture"),
            (b"\0\0\0\x18ftypavif\0\0\0\0", "an AVIF picture"),
            (b"\0\0\0\x18ftypcrx \0\0\0\0", "a camera raw file (CR3)"),
            (b"\0\0\0\x18ftypisom\0\0\0\0", "a film"),
            (b"\x89PNG\n", "something unknown"),
            (b"\0\x01\x02", "something unknown"),
        ] {
            match kind(bytes, Path::new("p")) {
                Err(Error::NotAPhoto { found, .. }) => assert_eq!(found, name),
                other => panic!("{name}: {other:?}"),
            }
        }
    }

    #[test]
    fn photos_are_known_by_content() {
        let p = Path::new("photo.txt");
        assert_eq!(kind(b"\xff\xd8\xff\xe0", p).unwrap(), Kind::Jpeg);
        assert_eq!(kind(b"\x89PNG\r\n\x1a\n", p).unwrap(), Kind::Png);
        assert_eq!(kind(b"RIFF\0\0\0\0WEBPVP8 ", p).unwrap(), Kind::WebP);
        assert_eq!(kind(b"II*\0\x08\0\0\0\0\0", p).unwrap(), Kind::Tiff);
        assert_eq!(kind(b"MM\0*\0\0\0\x08\0\0", p).unwrap(), Kind::Tiff);
    }
}
