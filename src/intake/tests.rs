//! Whole files through the front door.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder, ImageFormat};

use super::*;
use crate::frame::photo::{ColourSource, Samples};

const WIDTH: u32 = 96;
const HEIGHT: u32 = 80;

/// A gradient with fine detail, so that every part of a coded file matters.
fn rgb() -> Vec<u8> {
    detail(WIDTH, HEIGHT)
}

fn detail(width: u32, height: u32) -> Vec<u8> {
    let pixel = |x: u32, y: u32| {
        let noise =
            (x.wrapping_mul(2_654_435_761) ^ y.wrapping_mul(40_503)).wrapping_mul(x + 7 * y) >> 27;
        [2 * x + noise, 2 * y + noise, (x + y) / 2 + noise].map(|v| v as u8)
    };
    (0..height)
        .flat_map(|y| (0..width).flat_map(move |x| pixel(x, y)))
        .collect()
}

fn jpeg() -> Vec<u8> {
    jpeg_of(WIDTH, HEIGHT)
}

fn jpeg_of(width: u32, height: u32) -> Vec<u8> {
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, 90)
        .write_image(
            &detail(width, height),
            width,
            height,
            ExtendedColorType::Rgb8,
        )
        .unwrap();
    out
}

fn png(codes: &[u8], colour: ExtendedColorType) -> Vec<u8> {
    let mut out = Vec::new();
    PngEncoder::new(&mut out)
        .write_image(codes, WIDTH, HEIGHT, colour)
        .unwrap();
    out
}

fn as_format(format: ImageFormat) -> Vec<u8> {
    let picture = image::RgbImage::from_raw(WIDTH, HEIGHT, rgb()).unwrap();
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, format).unwrap();
    out.into_inner()
}

fn open(bytes: &[u8]) -> Result<Photo> {
    from_bytes(bytes.to_vec(), Path::new("photo"), &Limits::default())
}

fn codes(photo: &Photo) -> &[u8] {
    match &photo.samples {
        Samples::Eight(codes) | Samples::LumaChroma(codes) => codes,
        Samples::Sixteen(_) => panic!("8 bits expected"),
    }
}

#[test]
fn lossless_formats_give_back_the_very_codes() {
    for format in [ImageFormat::Png, ImageFormat::Tiff, ImageFormat::WebP] {
        let photo = open(&as_format(format)).unwrap();
        assert_eq!((photo.width, photo.height), (96, 80), "{format:?}");
        assert_eq!(codes(&photo), rgb(), "{format:?}");
        assert_eq!(photo.linear.source, ColourSource::AssumedSrgb);
    }
}

#[test]
fn sixteen_bits_stay_sixteen() {
    let wide: Vec<u16> = rgb().iter().map(|c| u16::from(*c) * 256 + 17).collect();
    let bytes: Vec<u8> = wide.iter().flat_map(|c| c.to_ne_bytes()).collect();
    let photo = open(&png(&bytes, ExtendedColorType::Rgb16)).unwrap();
    assert!(matches!(&photo.samples, Samples::Sixteen(codes) if *codes == wide));
    assert_eq!(photo.linear.tables[0].len(), 65_536);
}

#[test]
fn grey_is_expanded_and_opaque_alpha_dropped_but_transparency_is_refused() {
    let red: Vec<u8> = rgb().chunks_exact(3).map(|p| p[0]).collect();
    let photo = open(&png(&red, ExtendedColorType::L8)).unwrap();
    assert!(
        codes(&photo)
            .chunks_exact(3)
            .zip(&red)
            .all(|(p, r)| p == [*r; 3])
    );

    let mut rgba: Vec<u8> = rgb()
        .chunks_exact(3)
        .flat_map(|p| [p[0], p[1], p[2], 255])
        .collect();
    assert_eq!(
        codes(&open(&png(&rgba, ExtendedColorType::Rgba8)).unwrap()),
        rgb()
    );
    rgba[4 * 500 + 3] = 254;
    let refused = open(&png(&rgba, ExtendedColorType::Rgba8));
    assert!(
        matches!(refused, Err(Error::UnreadableKind { .. })),
        "{refused:?}"
    );
}

#[test]
fn orientation_is_applied_and_noted() {
    let block = b"II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0";
    let mut out = Vec::new();
    let mut encoder = PngEncoder::new(&mut out);
    encoder.set_exif_metadata(block.to_vec()).unwrap();
    encoder
        .write_image(&rgb(), WIDTH, HEIGHT, ExtendedColorType::Rgb8)
        .unwrap();
    let photo = open(&out).unwrap();
    assert_eq!(
        (photo.width, photo.height, photo.capture.orientation),
        (80, 96, Some(6))
    );
    // What was stored bottom left is shown top left.
    let stored = &rgb()[3 * 96 * 79..][..3];
    assert_eq!(&codes(&photo)[..3], stored);
}

#[test]
fn a_profile_in_the_file_is_used() {
    let icc = moxcms::ColorProfile::new_display_p3().encode().unwrap();
    for jpeg in [true, false] {
        let mut out = Vec::new();
        if jpeg {
            let mut encoder = JpegEncoder::new(&mut out);
            encoder.set_icc_profile(icc.clone()).unwrap();
            encoder
                .write_image(&rgb(), WIDTH, HEIGHT, ExtendedColorType::Rgb8)
                .unwrap();
        } else {
            let mut encoder = PngEncoder::new(&mut out);
            encoder.set_icc_profile(icc.clone()).unwrap();
            encoder
                .write_image(&rgb(), WIDTH, HEIGHT, ExtendedColorType::Rgb8)
                .unwrap();
        }
        let photo = open(&out).unwrap();
        assert_eq!(photo.linear.source, ColourSource::Profile);
        assert!(photo.linear.to_rec709.is_some());
    }
}

#[test]
fn the_digest_is_that_of_the_file() {
    let bytes = jpeg();
    assert_eq!(
        open(&bytes).unwrap().digest,
        blake3::hash(&bytes).to_hex().as_str()
    );
}

#[test]
fn a_file_cut_anywhere_is_refused() {
    for whole in [
        jpeg(),
        as_format(ImageFormat::Png),
        as_format(ImageFormat::WebP),
        as_format(ImageFormat::Tiff),
    ] {
        assert!(open(&whole).is_ok());
        for cut in (whole.len() / 20..whole.len())
            .step_by(31)
            .chain([whole.len() - 2])
        {
            let refused = open(&whole[..cut]);
            assert!(
                matches!(refused, Err(Error::DamagedPhoto { .. })),
                "{cut} of {}: {:?}",
                whole.len(),
                refused.map(|p| p.width)
            );
        }
    }
}

#[test]
fn a_photo_padded_where_it_should_go_on_is_refused() {
    let mut bytes = jpeg();
    let cut = bytes.len() * 2 / 3;
    bytes[cut..].fill(0);
    assert!(matches!(open(&bytes), Err(Error::DamagedPhoto { .. })));
}

#[test]
fn an_end_marker_that_comes_too_early_is_noticed() {
    let whole = jpeg_of(512, 64);
    assert!(open(&whole).is_ok());
    // The last few blocks can be made up from the padding of the last byte.
    for cut in (whole.len() / 20..whole.len() - 64).step_by(397) {
        let patched = [&whole[..cut], b"\xff\xd9"].concat();
        assert!(
            matches!(open(&patched), Err(Error::DamagedPhoto { .. })),
            "{cut}"
        );
    }
}

#[test]
fn what_follows_the_end_of_a_jpeg_is_no_part_of_it() {
    let plain = open(&jpeg()).unwrap();
    for tail in [
        b"\0\0\0\0".to_vec(),
        jpeg(),
        jpeg()[..900].to_vec(),
        b"ftypmp42 a film".to_vec(),
    ] {
        let photo = open(&[jpeg(), tail].concat()).unwrap();
        assert_eq!(codes(&photo), codes(&plain));
    }
}

#[test]
fn a_header_that_claims_too_much_is_refused_before_memory_is_set_aside() {
    let mut bytes = png(&rgb(), ExtendedColorType::Rgb8);
    bytes[16..24].copy_from_slice(&[0, 1, 0x86, 0xA0, 0, 1, 0x86, 0xA0]);
    let refused = open(&bytes).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "100000 x 100000 pixels, more than the 120 megapixels this program opens: photo"
    );
    let tight = Limits {
        most_bytes: 100,
        ..Limits::default()
    };
    let refused = from_bytes(jpeg(), Path::new("photo"), &tight);
    assert!(matches!(refused, Err(Error::PhotoTooLarge { .. })));
}

#[test]
fn what_is_no_photo_has_its_own_error_each() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str, content: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, content).unwrap();
        read(&path, &Limits::default()).unwrap_err()
    };
    let limits = Limits::default();
    assert!(matches!(
        read(folder.path(), &limits),
        Err(Error::IsFolder { .. })
    ));
    let missing = folder.path().join("missing.jpg");
    assert!(matches!(
        read(&missing, &limits),
        Err(Error::NotFound { .. })
    ));
    assert!(at("empty.jpg", b"").to_string().contains("an empty file"));
    assert!(
        at("text.jpg", b"a note")
            .to_string()
            .contains("a text file")
    );
    let mut dot = Vec::new();
    PngEncoder::new(&mut dot)
        .write_image(&[9, 9, 9], 1, 1, ExtendedColorType::Rgb8)
        .unwrap();
    assert!(matches!(
        at("dot.png", &dot),
        Error::PhotoTooSmall {
            width: 1,
            height: 1,
            least: 64,
            ..
        }
    ));
    // By content and not by name.
    let path = folder.path().join("photo.txt");
    std::fs::write(&path, jpeg()).unwrap();
    assert!(read(&path, &limits).is_ok());
}
