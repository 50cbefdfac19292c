//! The photo as a file.

use std::io::Cursor;

use exif::experimental::Writer;
use exif::{Field, In, Rational, Tag, Value};
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::error::{
    EncodingError, ImageError, ImageFormatHint, ParameterError, ParameterErrorKind,
};
use image::metadata::Orientation;
use image::{DynamicImage, ImageEncoder, ImageResult, RgbImage};

use super::camera::Photographed;
use super::shot::Shot;

impl Photographed {
    /// As a JPEG file of the shot's quality, every channel at full resolution (4:4:4), with what a phone would note.
    ///
    /// # Errors
    /// When a side has more than 65535 pixels.
    pub fn jpeg(&self) -> ImageResult<Vec<u8>> {
        self.orient(1)
    }

    /// As a PNG file with the same notes.
    ///
    /// # Errors
    /// When the encoder refuses the picture.
    pub fn png(&self) -> ImageResult<Vec<u8>> {
        let mut file = Vec::new();
        let mut encoder = PngEncoder::new(&mut file);
        // The PNG encoder takes any EXIF block.
        let _ = encoder.set_exif_metadata(notes(1, &self.shot)?);
        write(encoder, &self.rgb8)?;
        Ok(file)
    }

    /// As [`Photographed::jpeg`], stored turned under EXIF orientation `n`, so that it is shown the same.
    ///
    /// # Errors
    /// When `n` is not from 1 to 8 or a side has more than 65535 pixels.
    pub fn orient(&self, n: u8) -> ImageResult<Vec<u8>> {
        let shown = Orientation::from_exif(n).ok_or_else(|| {
            ImageError::Parameter(ParameterError::from_kind(ParameterErrorKind::Generic(
                format!("{n} is no EXIF orientation (1 to 8)"),
            )))
        })?;
        let mut stored = DynamicImage::ImageRgb8(self.rgb8.clone());
        stored.apply_orientation(undone(shown));
        let mut file = Vec::new();
        let mut encoder = JpegEncoder::new_with_quality(&mut file, self.shot.jpeg_quality);
        // The JPEG encoder takes any EXIF block.
        let _ = encoder.set_exif_metadata(notes(n, &self.shot)?);
        write(encoder, &stored.into_rgb8())?;
        Ok(file)
    }
}

fn write(encoder: impl ImageEncoder, picture: &RgbImage) -> ImageResult<()> {
    encoder.write_image(
        picture,
        picture.width(),
        picture.height(),
        image::ExtendedColorType::Rgb8,
    )
}

/// The turn that takes back another. All but the quarter turns take back themselves.
fn undone(turn: Orientation) -> Orientation {
    match turn {
        Orientation::Rotate90 => Orientation::Rotate270,
        Orientation::Rotate270 => Orientation::Rotate90,
        other => other,
    }
}

/// The tag of Exif 2.32 that says whether a picture is put together from several.
const COMPOSITE_IMAGE: Tag = Tag(exif::Context::Exif, 0xA460);

/// What a phone in a fixed corner notes: everything set by hand, no flash, always the same minute; and what else this
/// one does.
fn notes(orientation: u8, shot: &Shot) -> ImageResult<Vec<u8>> {
    let noted = &shot.fault.noted;
    let text = |t: &str| Value::Ascii(vec![t.as_bytes().to_vec()]);
    let ratio = |num, denom| Value::Rational(vec![Rational { num, denom }]);
    let short = |v| Value::Short(vec![v]);
    let date = "2024:03:01 10:00:00";
    let usual = [
        (Tag::Make, text("Bench")),
        (Tag::Model, text("Bench phone")),
        (Tag::Orientation, short(u16::from(orientation))),
        (Tag::DateTime, text(date)),
        (Tag::DateTimeOriginal, text(date)),
        (
            Tag::ExposureTime,
            ratio((1e6 * shot.exposure_ev.exp2()).round() as u32, 60_000_000),
        ),
        (Tag::FNumber, ratio(28, 10)),
        (Tag::PhotographicSensitivity, short(100)),
        (Tag::FocalLength, ratio(90, 10)),
        (Tag::FocalLengthIn35mmFilm, short(52)),
        // 1 is manual.
        (Tag::ExposureMode, short(1)),
        (
            Tag::WhiteBalance,
            short(u16::from(!noted.white_balance_auto)),
        ),
        // Did not fire, switched off; or fired.
        (Tag::Flash, short(if noted.flash { 0x01 } else { 0x10 })),
        // sRGB, or uncalibrated.
        (
            Tag::ColorSpace,
            short(if noted.colour_unknown { 65_535 } else { 1 }),
        ),
        (
            Tag::DigitalZoomRatio,
            ratio((100.0 * noted.zoom) as u32, 100),
        ),
        (Tag::CustomRendered, short(noted.custom_rendered)),
        (COMPOSITE_IMAGE, short(noted.composite)),
    ];
    let left_out = |tag| match tag {
        Tag::FocalLengthIn35mmFilm => noted.focal_unknown,
        Tag::DigitalZoomRatio => noted.zoom <= 0.0,
        Tag::CustomRendered => noted.custom_rendered == 0,
        COMPOSITE_IMAGE => noted.composite == 0,
        _ => false,
    };
    let fields: Vec<Field> = usual
        .into_iter()
        .filter(|(tag, _)| !left_out(*tag))
        .map(|(tag, value)| Field {
            tag,
            ifd_num: In::PRIMARY,
            value,
        })
        .collect();
    let mut writer = Writer::new();
    for field in &fields {
        writer.push_field(field);
    }
    let mut block = Cursor::new(Vec::new());
    writer
        .write(&mut block, false)
        .map_err(|e| ImageError::Encoding(EncodingError::new(ImageFormatHint::Unknown, e)))?;
    Ok(block.into_inner())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::synth::{Finish, Shot, photograph};
    use crate::units::SizeMm;
    use exif::Reader;

    fn small() -> Photographed {
        let size = SizeMm {
            width: 60.0,
            height: 40.0,
        };
        photograph(
            &Finish::default().paint(size, 4.0),
            &Shot::bench(size).sized(320, 240),
        )
    }

    #[test]
    fn every_orientation_shows_the_same_picture() {
        let photo = small();
        for n in 1..=8u8 {
            let file = photo.orient(n).unwrap();
            let noted = Reader::new()
                .read_from_container(&mut Cursor::new(&file))
                .unwrap();
            let field = noted.get_field(Tag::Orientation, In::PRIMARY).unwrap();
            assert_eq!(field.value.get_uint(0), Some(u32::from(n)));
            let mut picture = image::load_from_memory(&file).unwrap();
            picture.apply_orientation(Orientation::from_exif(n).unwrap());
            let picture = picture.into_rgb8();
            assert_eq!(picture.dimensions(), (320, 240), "{n}");
            let off: u64 = picture
                .iter()
                .zip(photo.rgb8.iter())
                .map(|(a, b)| u64::from(a.abs_diff(*b)))
                .sum();
            // JPEG at quality 92 is within about two codes on average.
            assert!(off < 3 * picture.len() as u64, "{n}: {off}");
        }
        assert!(photo.orient(9).is_err());
    }

    #[test]
    fn a_png_keeps_every_code_and_the_notes() {
        let photo = small();
        let file = photo.png().unwrap();
        assert_eq!(
            image::load_from_memory(&file).unwrap().into_rgb8(),
            photo.rgb8
        );
        let noted = Reader::new()
            .read_from_container(&mut Cursor::new(&file))
            .unwrap();
        let model = noted.get_field(Tag::Model, In::PRIMARY).unwrap();
        assert_eq!(model.display_value().to_string(), "\"Bench phone\"");
    }
}
