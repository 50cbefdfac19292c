//! EXIF entries by their published numbers, written to a photo and read back (Exif 2.32, CIPA DC-008-2019).

use std::io::Cursor;
use std::path::Path;

use exif::experimental::Writer;
use exif::{Context, Field, In, Rational, Tag, Value};
use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageEncoder};
use paneprint::frame::photo::Capture;
use paneprint::intake::{Limits, from_bytes};

use super::{Row, Table};

/// The tag of a published row. Those below 0x8000 are of the picture itself.
fn tag(row: &Row) -> Tag {
    let number: u16 = row.text("dec").parse().unwrap();
    let hex = row.text("hex").trim_start_matches("0x");
    assert_eq!(u16::from_str_radix(hex, 16).unwrap(), number);
    let context = if number < 0x8000 {
        Context::Tiff
    } else {
        Context::Exif
    };
    Tag(context, number)
}

/// What is read of a photo with one entry.
fn read(tag: Tag, value: Value) -> Capture {
    let field = Field {
        tag,
        ifd_num: In::PRIMARY,
        value,
    };
    let mut writer = Writer::new();
    writer.push_field(&field);
    let mut block = Cursor::new(Vec::new());
    writer.write(&mut block, false).unwrap();
    let mut file = Vec::new();
    let mut encoder = JpegEncoder::new(&mut file);
    encoder.set_exif_metadata(block.into_inner()).unwrap();
    let side = 64;
    let grey = vec![128; side * side * 3];
    encoder
        .write_image(&grey, side as u32, side as u32, ExtendedColorType::Rgb8)
        .unwrap();
    from_bytes(file, Path::new("entry.jpg"), &Limits::default())
        .unwrap()
        .capture
}

/// Reads one entry by the name it has in the published table.
fn named(name: &str, value: Value) -> Capture {
    let table = Table::load("exif_tags.csv");
    let row = table
        .rows()
        .find(|r| r.text("name").split(' ').next() == Some(name));
    read(tag(&row.unwrap_or_else(|| panic!("no tag {name}"))), value)
}

fn short(n: u16) -> Value {
    Value::Short(vec![n])
}

fn ratio(num: u32, denom: u32) -> Value {
    Value::Rational(vec![Rational { num, denom }])
}

fn ascii(text: &str) -> Value {
    Value::Ascii(vec![text.as_bytes().to_vec()])
}

#[test]
fn what_the_camera_noted_is_read_by_its_number() {
    assert_eq!(named("Make", ascii("M")).make.as_deref(), Some("M"));
    assert_eq!(named("Model", ascii("P 1")).model.as_deref(), Some("P 1"));
    let taken = "2024:05:06 07:08:09";
    assert_eq!(
        named("DateTimeOriginal", ascii(taken)).taken.as_deref(),
        Some(taken)
    );
    assert_eq!(named("ExposureTime", ratio(1, 50)).exposure_s, Some(0.02));
    assert_eq!(named("FNumber", ratio(18, 10)).f_number, Some(1.8));
    assert_eq!(named("PhotographicSensitivity", short(125)).iso, Some(125));
    assert_eq!(
        named("FocalLength", ratio(57, 10)).focal_length_mm,
        Some(5.7)
    );
    assert_eq!(named("Orientation", short(6)).orientation, Some(6));
}

#[test]
fn the_flash_fired_where_bit_0_says_so() {
    for (bits, fired) in [
        (0x00, false),
        (0x10, false),
        (0x18, false),
        (0x01, true),
        (0x19, true),
    ] {
        assert_eq!(
            named("Flash", short(bits)).flash_fired,
            Some(fired),
            "{bits:#x}"
        );
    }
}

#[test]
fn white_balance_is_0_for_automatic_and_1_by_hand() {
    for (value, auto) in [(0, Some(true)), (1, Some(false))] {
        assert_eq!(named("WhiteBalance", short(value)).white_balance_auto, auto);
    }
}

#[test]
fn marks_of_processing_are_read_by_their_numbers() {
    for value in [0, 1] {
        assert_eq!(
            named("CustomRendered", short(value)).custom_rendered,
            Some(value)
        );
    }
    for value in 0..=3 {
        assert_eq!(named("CompositeImage", short(value)).composite, Some(value));
    }
    for value in [1, 65_535] {
        assert_eq!(named("ColorSpace", short(value)).colour_space, Some(value));
    }
}

#[test]
fn digital_zoom_of_0_is_none_used() {
    assert_eq!(
        named("DigitalZoomRatio", ratio(0, 1)).digital_zoom,
        Some(0.0)
    );
    assert_eq!(
        named("DigitalZoomRatio", ratio(2, 1)).digital_zoom,
        Some(2.0)
    );
}
