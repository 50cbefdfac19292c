//! Checks of kept pictures. They are decoded under limits, because they may come from elsewhere.

use std::io::Cursor;

use image::codecs::png::PngDecoder;
use image::error::{LimitError, LimitErrorKind};
use image::{DynamicImage, ImageDecoder, ImageError, Limits};

use crate::frame::panel::cell_px;

/// Longest side of a silver map, pixels: a panel of 6 m at 10 px/mm.
const LONGEST_SIDE: u32 = 60_000;

/// Most pixels: a silver map has about as many as its photo, which has at most 120 million. Opened for a sheet, each takes five
/// bytes.
const MOST_PIXELS: u64 = 150_000_000;

/// Most bytes of an unpacked picture.
const MOST_BYTES: u64 = 384 << 20;

/// The chunk that ends a PNG, with its checksum (PNG third edition, section 11.2.5).
const END: &[u8] = b"\0\0\0\0IEND\xaeB`\x82";

/// Width and height that a PNG claims, pixels; `None` where its header cannot be read.
pub(super) fn size(png: &[u8]) -> Option<(u32, u32)> {
    if unpacks_more(png) {
        return None;
    }
    let decoder = PngDecoder::new(Cursor::new(png)).ok()?;
    Some(decoder.dimensions())
}

/// Opens a PNG, and returns its width and height in pixels, or the decoder's error.
pub(super) fn check(png: &[u8]) -> Result<(u32, u32), ImageError> {
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST_SIDE);
    limits.max_image_height = Some(LONGEST_SIDE);
    limits.max_alloc = Some(MOST_BYTES);
    if unpacks_more(png) {
        let too_large = LimitError::from_kind(LimitErrorKind::InsufficientMemory);
        return Err(ImageError::Limits(too_large));
    }
    let decoder = PngDecoder::with_limits(Cursor::new(png), limits)?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if width.max(height) > LONGEST_SIDE
        || pixels > MOST_PIXELS
        || decoder.total_bytes() > MOST_BYTES
    {
        let too_large = LimitError::from_kind(LimitErrorKind::DimensionError);
        return Err(ImageError::Limits(too_large));
    }
    DynamicImage::from_decoder(decoder).map(|_| (width, height))
}

/// Whether tints of such a width and height can belong to a silver map of such a size.
pub(super) fn fits_colour(map: (u32, u32), tints: (u32, u32)) -> bool {
    let [map, tints] = [map, tints].map(|(width, height)| (height as usize, width as usize));
    cell_px(map, tints).is_some()
}

/// Whether anything besides the picture is packed, which the decoder would unpack without a limit: a colour profile or a text (PNG
/// third edition, section 11.3). The program writes none.
fn unpacks_more(png: &[u8]) -> bool {
    let mut rest = png.get(8..).unwrap_or_default();
    while let Some(([a, b, c, d, kind @ ..], after)) = rest.split_first_chunk::<8>() {
        if matches!(kind, b"iCCP" | b"zTXt" | b"iTXt") {
            return true;
        }
        // Its checksum follows a chunk.
        let length = u32::from_be_bytes([*a, *b, *c, *d]) as usize + 4;
        rest = after.get(length..).unwrap_or_default();
    }
    false
}

/// Whether nothing follows the picture in its file.
pub(super) fn ends(png: &[u8]) -> bool {
    let end = png.windows(END.len()).position(|w| w == END);
    end.is_some_and(|at| at + END.len() == png.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{GrayImage, ImageFormat};

    #[test]
    fn a_picture_with_a_packed_profile_is_not_opened() {
        let mut plain = Vec::new();
        GrayImage::new(3, 2)
            .write_to(&mut Cursor::new(&mut plain), ImageFormat::Png)
            .unwrap();
        assert_eq!(size(&plain), Some((3, 2)));
        assert_eq!(check(&plain).unwrap(), (3, 2));
        // After the header's chunk: its length, its kind, its 13 bytes, its checksum.
        let (head, rest) = plain.split_at(8 + 25);
        for kind in [b"iCCP", b"zTXt", b"iTXt"] {
            let packed = [head, &4u32.to_be_bytes(), kind, b"a\0\0x", &[0; 4], rest].concat();
            assert_eq!(size(&packed), None);
            assert!(matches!(check(&packed), Err(ImageError::Limits(_))));
        }
        for cut in 0..plain.len() {
            assert!(!unpacks_more(&plain[..cut]));
        }
    }
}
