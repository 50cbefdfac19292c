//! Whether a kept picture opens: decoded under limits, for it may come from elsewhere.

use std::io::Cursor;

use image::{ImageFormat, ImageReader, Limits};

/// Longest side of a silver map, pixels: a panel of 6 m at 10 px/mm.
const LONGEST_SIDE: u32 = 60_000;

/// Most memory for opening one, bytes: 120 megapixels of 16-bit colour.
const MOST_MEMORY: u64 = 720 << 20;

/// Opens a PNG, and says what stops it.
pub(super) fn check(png: &[u8]) -> Result<(), image::ImageError> {
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST_SIDE);
    limits.max_image_height = Some(LONGEST_SIDE);
    limits.max_alloc = Some(MOST_MEMORY);
    let mut reader = ImageReader::with_format(Cursor::new(png), ImageFormat::Png);
    reader.limits(limits);
    reader.decode().map(|_| ())
}
