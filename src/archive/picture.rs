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
    let decoder = PngDecoder::new(Cursor::new(png)).ok()?;
    Some(decoder.dimensions())
}

/// Opens a PNG, and returns its width and height in pixels, or the decoder's error.
pub(super) fn check(png: &[u8]) -> Result<(u32, u32), ImageError> {
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST_SIDE);
    limits.max_image_height = Some(LONGEST_SIDE);
    limits.max_alloc = Some(MOST_BYTES);
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

/// Whether nothing follows the picture in its file.
pub(super) fn ends(png: &[u8]) -> bool {
    let end = png.windows(END.len()).position(|w| w == END);
    end.is_some_and(|at| at + END.len() == png.len())
}
