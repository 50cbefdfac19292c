//! What the camera noted, read leniently: a broken entry is absent, and a broken block never fails the photo.
//!
//! Source of tags and values: Exif 2.32 (CIPA DC-008-2019).

use exif::{Exif, In, Reader, Tag, Value};

use super::tiff;
use crate::frame::photo::Capture;

/// Longest text kept, characters.
const TEXT_CHARS: usize = 64;

/// The tag of Exif 2.32 that says whether a picture is put together from several.
const COMPOSITE_IMAGE: Tag = Tag(exif::Context::Exif, 0xA460);

/// From an EXIF block: its TIFF header first, or that after the marker that JPEG has and some writers copy elsewhere.
pub(super) fn from_exif(mut block: Vec<u8>) -> Capture {
    if block.starts_with(b"Exif\0\0") {
        block.drain(..6);
    }
    let mut reader = Reader::new();
    reader.continue_on_error(true);
    let read = reader
        .read_raw(block)
        .or_else(|e| e.distill_partial_result(|_| {}));
    read.map_or_else(|_| Capture::default(), |exif| capture(&exif))
}

/// From a TIFF file, which is its own EXIF block.
pub(super) fn from_tiff(file: Vec<u8>) -> Capture {
    let orientation = tiff::orientation(&file);
    let noted = from_exif(file);
    Capture {
        orientation: noted.orientation.or(orientation),
        ..noted
    }
}

fn capture(exif: &Exif) -> Capture {
    let value = |tag| exif.get_field(tag, In::PRIMARY).map(|f| &f.value);
    let number = |tag| value(tag).and_then(|v| v.get_uint(0));
    let short = |tag| number(tag).and_then(|n| u16::try_from(n).ok());
    let ratio = |tag| value(tag).and_then(ratio);
    let text = |tag| value(tag).and_then(text);
    Capture {
        make: text(Tag::Make),
        model: text(Tag::Model),
        taken: text(Tag::DateTimeOriginal).or_else(|| text(Tag::DateTime)),
        exposure_s: ratio(Tag::ExposureTime).filter(|s| *s > 0.0),
        f_number: ratio(Tag::FNumber).filter(|f| *f > 0.0),
        iso: number(Tag::PhotographicSensitivity).filter(|iso| *iso > 0),
        focal_length_mm: ratio(Tag::FocalLength).filter(|mm| *mm > 0.0),
        // 0 where the camera does not know it.
        focal_length_35mm: number(Tag::FocalLengthIn35mmFilm)
            .filter(|mm| *mm > 0)
            .map(f64::from),
        white_balance_auto: match number(Tag::WhiteBalance) {
            Some(0) => Some(true),
            Some(1) => Some(false),
            _ => None,
        },
        // Bit 0: the flash fired.
        flash_fired: number(Tag::Flash).map(|bits| bits & 1 == 1),
        digital_zoom: ratio(Tag::DigitalZoomRatio),
        custom_rendered: short(Tag::CustomRendered),
        composite: short(COMPOSITE_IMAGE),
        colour_space: short(Tag::ColorSpace),
        orientation: number(Tag::Orientation)
            .and_then(|n| u8::try_from(n).ok())
            .filter(|n| (1..=8).contains(n)),
    }
}

/// The first number of a rational entry; none where its denominator is zero.
fn ratio(value: &Value) -> Option<f64> {
    match value {
        Value::Rational(v) => v
            .first()
            .filter(|r| r.denom != 0)
            .map(exif::Rational::to_f64),
        Value::SRational(v) => v
            .first()
            .filter(|r| r.denom != 0)
            .map(exif::SRational::to_f64),
        other => other.get_uint(0).map(f64::from),
    }
}

/// The first text of an entry: trimmed, without control characters, of at most [`TEXT_CHARS`] characters.
fn text(value: &Value) -> Option<String> {
    let Value::Ascii(lines) = value else {
        return None;
    };
    let bytes = lines.iter().find(|line| !line.is_empty())?;
    let printable: String = String::from_utf8_lossy(&bytes[..bytes.len().min(4 * TEXT_CHARS)])
        .chars()
        .filter(|c| !c.is_control() && *c != char::REPLACEMENT_CHARACTER)
        .collect();
    let kept: String = printable.trim().chars().take(TEXT_CHARS).collect();
    let kept = kept.trim_end();
    (!kept.is_empty()).then(|| kept.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use exif::experimental::Writer;
    use exif::{Field, Rational};

    /// An EXIF block of the given entries.
    fn block(entries: Vec<(Tag, Value)>) -> Vec<u8> {
        let fields: Vec<Field> = entries
            .into_iter()
            .map(|(tag, value)| Field {
                tag,
                ifd_num: In::PRIMARY,
                value,
            })
            .collect();
        let mut writer = Writer::new();
        fields.iter().for_each(|f| writer.push_field(f));
        let mut out = std::io::Cursor::new(Vec::new());
        writer.write(&mut out, false).unwrap();
        out.into_inner()
    }

    fn rational(num: u32, denom: u32) -> Value {
        Value::Rational(vec![Rational { num, denom }])
    }

    fn ascii(text: &[u8]) -> Value {
        Value::Ascii(vec![text.to_vec()])
    }

    #[test]
    fn every_entry_finds_its_place() {
        let noted = from_exif(block(vec![
            (Tag::Make, ascii(b" Maker ")),
            (Tag::Model, ascii(b"Pho\x07ne 1")),
            (Tag::DateTimeOriginal, ascii(b"2024:05:06 07:08:09")),
            (Tag::ExposureTime, rational(1, 50)),
            (Tag::FNumber, rational(18, 10)),
            (Tag::PhotographicSensitivity, Value::Short(vec![125])),
            (Tag::FocalLength, rational(57, 10)),
            (Tag::FocalLengthIn35mmFilm, Value::Short(vec![26])),
            (Tag::WhiteBalance, Value::Short(vec![1])),
            (Tag::Flash, Value::Short(vec![0x19])),
            (Tag::DigitalZoomRatio, rational(2, 1)),
            (Tag::CustomRendered, Value::Short(vec![1])),
            (COMPOSITE_IMAGE, Value::Short(vec![3])),
            (Tag::Orientation, Value::Short(vec![6])),
        ]));
        let expected = Capture {
            make: Some("Maker".into()),
            model: Some("Phone 1".into()),
            taken: Some("2024:05:06 07:08:09".into()),
            exposure_s: Some(0.02),
            f_number: Some(1.8),
            iso: Some(125),
            focal_length_mm: Some(5.7),
            focal_length_35mm: Some(26.0),
            white_balance_auto: Some(false),
            flash_fired: Some(true),
            digital_zoom: Some(2.0),
            custom_rendered: Some(1),
            composite: Some(3),
            colour_space: None,
            orientation: Some(6),
        };
        assert_eq!(noted, expected);
    }

    #[test]
    fn what_is_absent_or_senseless_stays_absent() {
        let noted = from_exif(block(vec![
            (Tag::Model, ascii(b"  \x00 ")),
            (Tag::ExposureTime, rational(1, 0)),
            (Tag::FNumber, rational(0, 0)),
            (Tag::WhiteBalance, Value::Short(vec![7])),
            (Tag::Orientation, Value::Short(vec![0])),
            (Tag::Make, Value::Short(vec![5])),
        ]));
        assert_eq!(noted, Capture::default());
    }

    #[test]
    fn the_marker_of_jpeg_is_passed_over() {
        let plain = block(vec![(Tag::Orientation, Value::Short(vec![8]))]);
        let marked = [b"Exif\0\0", &plain[..]].concat();
        assert_eq!(from_exif(marked).orientation, Some(8));
    }

    #[test]
    fn long_text_is_capped() {
        let noted = from_exif(block(vec![(Tag::Make, ascii(&[b'x'; 500]))]));
        assert_eq!(noted.make.map(|m| m.len()), Some(TEXT_CHARS));
    }

    #[test]
    fn a_broken_block_keeps_what_could_be_read() {
        let whole = block(vec![
            (Tag::Make, ascii(b"A maker of phones")),
            (Tag::Orientation, Value::Short(vec![3])),
        ]);
        for cut in 0..whole.len() {
            from_exif(whole[..cut].to_vec());
        }
        let without_text = &whole[..whole.len() - 10];
        assert_eq!(from_exif(without_text.to_vec()).orientation, Some(3));
    }
}
