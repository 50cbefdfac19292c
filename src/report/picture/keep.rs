//! The pictures kept with a finish: the silver map in full, a small one for the list, and their files.

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{EncodableLayout, GrayImage, ImageBuffer, PixelWithColorType};

use super::sized;
use crate::error::{Error, Result};
use crate::frame::Plane;
use crate::measure::Measured;

/// Long side of the small picture, pixels.
pub const SMALL_PX: usize = 320;

/// The silver level of every pixel at standard sharpness: 0 bare, 255 full.
#[must_use]
pub fn silver_map(measured: &Measured) -> GrayImage {
    grey(&measured.silver)
}

/// The silver map with its long side brought to [`SMALL_PX`].
#[must_use]
pub fn small(measured: &Measured) -> GrayImage {
    grey(&sized(&measured.silver, SMALL_PX))
}

/// The silver level back from a silver map.
///
/// # Errors
/// The file is no such picture.
pub fn silver_of(png: &[u8]) -> Result<Plane, image::ImageError> {
    let map = image::load_from_memory_with_format(png, image::ImageFormat::Png)?.into_luma8();
    let (width, height) = map.dimensions();
    let shape = (height as usize, width as usize);
    let levels = map
        .as_raw()
        .iter()
        .map(|level| f32::from(*level) / 255.0)
        .collect();
    // As many levels as pixels: the picture's own promise.
    Ok(Plane::from_shape_vec(shape, levels).unwrap_or_default())
}

fn grey(silver: &Plane) -> GrayImage {
    let (rows, cols) = silver.dim();
    let level = |s: f32| (s.clamp(0.0, 1.0) * 255.0).round() as u8;
    let mut picture = GrayImage::new(cols as u32, rows as u32);
    for (pixel, s) in picture.iter_mut().zip(silver) {
        *pixel = level(*s);
    }
    picture
}

/// A picture as a PNG file, compactly.
///
/// # Errors
/// The picture has no pixels, or there is no memory for the file.
pub fn png<P>(picture: &ImageBuffer<P, Vec<u8>>) -> Result<Vec<u8>>
where
    P: PixelWithColorType<Subpixel = u8>,
    [u8]: EncodableLayout,
{
    // Drawn pictures repeat their few colours, which filtering would hide; a grey map is all gradients.
    let filter = if P::CHANNEL_COUNT == 1 {
        FilterType::Adaptive
    } else {
        FilterType::NoFilter
    };
    let mut file = Vec::new();
    let encoder = PngEncoder::new_with_quality(&mut file, CompressionType::Default, filter);
    picture
        .write_with_encoder(encoder)
        .map_err(|source| Error::PictureNotEncoded {
            width: picture.width(),
            height: picture.height(),
            source,
        })?;
    Ok(file)
}
