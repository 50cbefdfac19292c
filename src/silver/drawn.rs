//! Drawings as files: a text in each says that it was made here and what it shows, so that it is taken for no photo, and is written
//! over by its like alone (PNG, third edition, 11.3.3.4).

use std::io::Read;
use std::path::Path;

/// How a PNG file begins, and how long it is up to the end of its first chunk (PNG, third edition, 5.2 and 11.2.1).
const PNG: &[u8] = b"\x89PNG\r\n\x1a\n";
const HEAD: usize = 33;

/// How the text begins: its chunk and its keyword, not compressed, in no language, and who made it.
const TEXT: &[u8] = b"iTXtDescription\0\0\0\0\0paneprint: ";

/// A PNG file with a text in it that says what it shows.
#[must_use]
pub fn drawing(png: &[u8], shows: &str) -> Vec<u8> {
    if png.len() < HEAD {
        return png.to_vec();
    }
    let (head, rest) = png.split_at(HEAD);
    let text = [TEXT, shows.as_bytes()].concat();
    // The length counts neither itself nor the chunk's name.
    let length = u32::try_from(text.len() - 4).unwrap_or(0);
    let checksum = crc32fast::hash(&text);
    [
        head,
        &length.to_be_bytes(),
        &text,
        &checksum.to_be_bytes(),
        rest,
    ]
    .concat()
}

/// What a drawing shows that was made here; `None` of any other file.
#[must_use]
pub fn shown_in(file: &[u8]) -> Option<String> {
    let chunk = file.strip_prefix(PNG)?.get(HEAD - PNG.len()..)?;
    let length = u32::from_be_bytes(chunk.get(..4)?.try_into().ok()?);
    let end = usize::try_from(length).ok()?.checked_add(8)?;
    let shows = chunk.get(4..end)?.strip_prefix(TEXT)?;
    Some(String::from_utf8_lossy(shows).into_owned())
}

/// A file is a drawing that was made here.
#[must_use]
pub fn is_drawing(file: &Path) -> bool {
    let mut head = Vec::new();
    let most = HEAD + 4 + TEXT.len();
    let read =
        std::fs::File::open(file).and_then(|file| file.take(most as u64).read_to_end(&mut head));
    read.is_ok() && head.starts_with(PNG) && head.get(HEAD + 4..) == Some(TEXT)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_that_says_what_it_shows_is_the_same_picture() {
        let grey = image::GrayImage::from_pixel(3, 2, image::Luma([7]));
        let plain = super::super::png(&grey).unwrap();
        let drawn = drawing(&plain, "bär.jpg counted");
        let read = image::load_from_memory(&drawn).unwrap();
        assert_eq!(read.to_luma8().get_pixel(0, 0).0, [7]);
        assert_eq!(shown_in(&drawn).as_deref(), Some("bär.jpg counted"));
        assert_eq!(shown_in(&plain), None);
        assert_eq!(shown_in(&drawn[..60]), None);
        let folder = tempfile::tempdir().unwrap();
        for (bytes, is) in [(&drawn, true), (&plain, false)] {
            let file = folder.path().join("a.png");
            std::fs::write(&file, bytes).unwrap();
            assert_eq!(is_drawing(&file), is);
        }
    }
}
