//! The bytes of a file → interleaved RGB codes as stored, with the profile and the EXIF block still packed.

use std::io::Cursor;
use std::path::Path;

use image::codecs::png::PngDecoder;
use image::codecs::tiff::TiffDecoder;
use image::codecs::webp::WebPDecoder;
use image::{ColorType, DynamicImage, ExtendedColorType, ImageDecoder, ImageError};

use super::channels::{self, Transparent};
use super::colour::Named;
use super::decoded::{Decoded, damaged, unreadable};
use super::sniff::Kind;
use super::{Limits, jpeg, png, tiff};
use crate::frame::photo::Samples;
use crate::{Error, Result};

/// Bytes a decoder may use beside the picture itself: rows, dictionaries, profiles.
const WORKING_BYTES: u64 = 64 << 20;

/// Decodes a file of the given kind.
pub(super) fn decode(bytes: &[u8], kind: Kind, path: &Path, limits: &Limits) -> Result<Decoded> {
    match kind {
        Kind::Jpeg => jpeg::decode(bytes, path, limits),
        Kind::Png => {
            let survey = png::survey(bytes).map_err(|words| damaged(path, words))?;
            limits.check_picture(survey.size, survey.channels, survey.channel_bytes, path)?;
            let mut allowed = image::Limits::no_limits();
            allowed.max_alloc = Some(WORKING_BYTES);
            let mut decoder = PngDecoder::with_limits(Cursor::new(bytes), allowed)
                .map_err(|e| refusal(e, "a PNG of an unknown kind", path))?;
            let profile = survey.named(decoder.icc_profile().ok().flatten());
            let exif = decoder.exif_metadata().ok().flatten();
            unpack(decoder, profile, exif, "a PNG of an unknown kind", path)
        }
        Kind::Tiff => {
            let words = tiff::kind_in_words(bytes);
            let mut decoder =
                TiffDecoder::new(Cursor::new(bytes)).map_err(|e| refusal(e, &words, path))?;
            check_header(&decoder, &words, path, limits)?;
            let mut allowed = image::Limits::no_limits();
            allowed.max_alloc = Some(2 * decoder.total_bytes() + WORKING_BYTES);
            decoder
                .set_limits(allowed)
                .map_err(|e| refusal(e, &words, path))?;
            let profile =
                tiff::profile(bytes).map_or(Named::Nothing, |icc| Named::Icc(icc.to_vec()));
            unpack(decoder, profile, None, &words, path)
        }
        Kind::WebP => {
            if cut_riff(bytes) {
                return Err(damaged(path, "the file ends before the picture does"));
            }
            let mut decoder = WebPDecoder::new(Cursor::new(bytes))
                .map_err(|e| refusal(e, "a WebP of an unknown kind", path))?;
            check_header(&decoder, "a WebP of an unknown kind", path, limits)?;
            let profile = match decoder.icc_profile() {
                Ok(Some(icc)) => Named::Icc(icc),
                Ok(None) => Named::Nothing,
                Err(_) => Named::Unreadable,
            };
            let exif = decoder.exif_metadata().ok().flatten();
            unpack(decoder, profile, exif, "a WebP of an unknown kind", path)
        }
    }
}

/// Our error for the decoder's.
fn refusal(error: ImageError, kind: &str, path: &Path) -> Error {
    match error {
        ImageError::Unsupported(_) => unreadable(path, kind),
        // The picture's own size has been checked by then.
        ImageError::Limits(_) => damaged(path, "a part of it claims an absurd size"),
        ImageError::IoError(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => {
            damaged(path, "the file ends before the picture does")
        }
        other => damaged(path, other),
    }
}

/// Refuses by the header: by kind, then by size.
fn check_header(
    decoder: &impl ImageDecoder,
    kind: &str,
    path: &Path,
    limits: &Limits,
) -> Result<()> {
    use ExtendedColorType::{Cmyk8, Cmyk16};
    if matches!(decoder.original_color_type(), Cmyk8 | Cmyk16) {
        return Err(unreadable(path, kind));
    }
    let colour = decoder.color_type();
    let channels = colour.channel_count();
    let channel_bytes = colour.bytes_per_pixel() / channels;
    if channel_bytes > 2 {
        return Err(unreadable(path, kind));
    }
    limits.check_picture(decoder.dimensions(), channels, channel_bytes, path)
}

/// Decodes the pixels. The header has been checked.
fn unpack(
    decoder: impl ImageDecoder,
    profile: Named,
    exif: Option<Vec<u8>>,
    kind: &str,
    path: &Path,
) -> Result<Decoded> {
    let (width, height) = decoder.dimensions();
    let colour = decoder.color_type();
    let channels = colour.channel_count();
    let picture = DynamicImage::from_decoder(decoder).map_err(|e| refusal(e, kind, path))?;
    let samples = match picture {
        DynamicImage::ImageLuma8(p) => eight(p.into_raw(), channels),
        DynamicImage::ImageLumaA8(p) => eight(p.into_raw(), channels),
        DynamicImage::ImageRgb8(p) => eight(p.into_raw(), channels),
        DynamicImage::ImageRgba8(p) => eight(p.into_raw(), channels),
        DynamicImage::ImageLuma16(p) => sixteen(p.into_raw(), channels),
        DynamicImage::ImageLumaA16(p) => sixteen(p.into_raw(), channels),
        DynamicImage::ImageRgb16(p) => sixteen(p.into_raw(), channels),
        DynamicImage::ImageRgba16(p) => sixteen(p.into_raw(), channels),
        _ => return Err(unreadable(path, kind)),
    };
    let samples =
        samples.map_err(|Transparent| unreadable(path, "a partly transparent picture"))?;
    Ok(Decoded {
        width: width as usize,
        height: height as usize,
        samples,
        grey: matches!(
            colour,
            ColorType::L8 | ColorType::L16 | ColorType::La8 | ColorType::La16
        ),
        profile,
        exif,
    })
}

fn eight(codes: Vec<u8>, channels: u8) -> Result<Samples, Transparent> {
    channels::to_rgb(codes, channels, u8::MAX).map(Samples::Eight)
}

fn sixteen(codes: Vec<u16>, channels: u8) -> Result<Samples, Transparent> {
    channels::to_rgb(codes, channels, u16::MAX).map(Samples::Sixteen)
}

/// The RIFF header of a WebP promises more bytes than there are.
fn cut_riff(bytes: &[u8]) -> bool {
    let promised = bytes.get(4..8).and_then(|b| b.try_into().ok());
    promised.is_none_or(|b| u64::from(u32::from_le_bytes(b)) + 8 > bytes.len() as u64)
}
