//! The pictures kept with a finish: the silver map in full, its colour in cells, a small one for the list, and their files.

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{
    DynamicImage, EncodableLayout, GrayImage, ImageBuffer, ImageFormat, PixelWithColorType, Rgb,
    RgbImage,
};
use ndarray::Array2;

use super::colour_of;
use crate::error::{Error, Result};
use crate::frame::Plane;
use crate::frame::panel::Tints;
use crate::measure::Measured;

/// The silver level of every pixel at standard sharpness: 0 bare, 255 full.
#[must_use]
pub fn silver_map(measured: &Measured) -> GrayImage {
    grey(&measured.silver)
}

/// The file of a small picture.
///
/// # Errors
/// The picture has no pixels, or there is no memory for the file.
pub fn small_png(picture: &RgbImage) -> Result<Vec<u8>> {
    file(picture, FilterType::Adaptive)
}

/// A small picture back from its file. Those of older finishes are small silver maps.
///
/// # Errors
/// The file is no such picture.
pub fn small_of(png: &[u8]) -> Result<RgbImage, image::ImageError> {
    match image::load_from_memory_with_format(png, ImageFormat::Png)? {
        DynamicImage::ImageLuma8(map) => Ok(colour_of(&levels(&map), None)),
        coloured => Ok(coloured.into_rgb8()),
    }
}

/// The file of a panel's tints, a pixel each.
///
/// # Errors
/// There is no memory for the file.
pub fn tints_png(tints: &Tints) -> Result<Vec<u8>> {
    let (rows, cols) = tints.0.dim();
    let picture = RgbImage::from_fn(cols as u32, rows as u32, |x, y| {
        Rgb(tints.0[[y as usize, x as usize]])
    });
    file(&picture, FilterType::Adaptive)
}

/// The tints back from their file.
///
/// # Errors
/// The file is no such picture.
pub fn tints_of(png: &[u8]) -> Result<Tints, image::ImageError> {
    let picture = image::load_from_memory_with_format(png, ImageFormat::Png)?.into_rgb8();
    let (width, height) = picture.dimensions();
    let shape = (height as usize, width as usize);
    Ok(Tints(Array2::from_shape_fn(shape, |(r, c)| {
        picture.get_pixel(c as u32, r as u32).0
    })))
}

/// The silver level back from a silver map.
///
/// # Errors
/// The file is no such picture.
pub fn silver_of(png: &[u8]) -> Result<Plane, image::ImageError> {
    Ok(levels(
        &image::load_from_memory_with_format(png, ImageFormat::Png)?.into_luma8(),
    ))
}

fn levels(map: &GrayImage) -> Plane {
    let (width, height) = map.dimensions();
    let shape = (height as usize, width as usize);
    let levels = map
        .as_raw()
        .iter()
        .map(|level| f32::from(*level) / 255.0)
        .collect();
    // As many levels as pixels: the picture's own promise.
    Plane::from_shape_vec(shape, levels).unwrap_or_default()
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
    file(picture, filter)
}

fn file<P>(picture: &ImageBuffer<P, Vec<u8>>, filter: FilterType) -> Result<Vec<u8>>
where
    P: PixelWithColorType<Subpixel = u8>,
    [u8]: EncodableLayout,
{
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::silver::{Silver, sized};
    use ndarray::array;

    #[test]
    fn a_map_comes_back_as_it_went_and_the_small_picture_is_small() {
        let plane: Plane = array![[0.0, 1.0, 0.2], [0.4, 0.6, 0.8]];
        let file = png(&grey(&plane)).unwrap();
        assert_eq!(silver_of(&file).unwrap(), plane);
        let silver = Silver {
            plane: Plane::from_elem((400, 600), 0.5),
            tints: None,
            px_per_mm: 10.0,
            speckles: None,
        };
        assert_eq!(silver.small().dimensions(), (320, 213));
        let [width, height] = silver.size_mm();
        assert!((width - 60.0).abs() < 1e-9 && (height - 40.0).abs() < 1e-9);
        assert_eq!(sized(&Plane::zeros((2, 4000)), 1500).dim(), (1, 1500));
    }

    #[test]
    fn a_picture_without_pixels_is_refused() {
        let error = png(&RgbImage::new(0, 5)).unwrap_err();
        assert!(matches!(
            error,
            Error::PictureNotEncoded {
                width: 0,
                height: 5,
                ..
            }
        ));
    }
}
