//! Bad photos, each with what must be said of it.

use std::io::Cursor;
use std::time::Instant;

use image::codecs::png::PngEncoder;
use image::{ExtendedColorType, ImageEncoder, ImageFormat};

use super::made::{even, frame, grey, header, many_tags, png, segment, tiff, with_segment, zeros};
use super::{SOON, tiny};
use crate::bench::Bench;

/// What must be said of a file.
enum Says {
    /// It is refused with these words.
    Refused(&'static str),
    /// It is read all the same: what is broken is none of the picture.
    Read,
}

use Says::{Read, Refused};

const DAMAGED: &str = "damaged or cut short";
const TOO_LARGE: &str = "than the 120 megapixels this program opens";

fn encoded(format: ImageFormat) -> Vec<u8> {
    let (jpeg, _) = tiny();
    let picture = image::load_from_memory(&jpeg).unwrap().to_rgb8();
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, format).unwrap();
    out.into_inner()
}

/// A sound photo with a profile, an EXIF block, in PNG.
fn noted(icc: &[u8], exif: &[u8]) -> Vec<u8> {
    let (jpeg, _) = tiny();
    let picture = image::load_from_memory(&jpeg).unwrap().to_rgb8();
    let mut out = Vec::new();
    let mut encoder = PngEncoder::new(&mut out);
    encoder.set_icc_profile(icc.to_vec()).unwrap();
    encoder.set_exif_metadata(exif.to_vec()).unwrap();
    let (w, h) = picture.dimensions();
    encoder
        .write_image(&picture, w, h, ExtendedColorType::Rgb8)
        .unwrap();
    out
}

/// A PNG with one more chunk after its header.
fn with_chunk(name: &[u8; 4], body: &[u8]) -> Vec<u8> {
    let whole = encoded(ImageFormat::Png);
    let chunk = &png(&[(name, body)])[8..];
    [&whole[..33], chunk, &whole[33..]].concat()
}

/// Directories that come back to themselves: the next one is the first, and so are the EXIF and the sub-directories.
fn loops() -> Vec<u8> {
    tiff(
        &[
            (271, 2, 4, 0x0061_6161),
            (274, 3, 1, 1),
            (330, 4, 1, 8),
            (34_665, 4, 1, 8),
            (34_853, 4, 1, 8),
        ],
        8,
        &[],
    )
}

/// A container of parts by name, such as WebP is.
fn riff(parts: &[(&[u8; 4], &[u8])]) -> Vec<u8> {
    let mut body = b"WEBP".to_vec();
    for (name, bytes) in parts {
        body.extend(*name);
        body.extend((bytes.len() as u32).to_le_bytes());
        body.extend(*bytes);
        body.resize(body.len().next_multiple_of(2), 0);
    }
    [&b"RIFF"[..], &(body.len() as u32).to_le_bytes(), &body].concat()
}

fn cases() -> Vec<(&'static str, Vec<u8>, Says)> {
    let (jpeg, _) = tiny();
    let cut = |bytes: &[u8]| bytes[..bytes.len() * 2 / 3].to_vec();
    let flipped = |bytes: &[u8]| {
        let mut bytes = bytes.to_vec();
        let at = bytes.len() / 2;
        bytes[at..].iter_mut().step_by(7).for_each(|b| *b ^= 0x55);
        bytes
    };
    let (png_file, tiff_file, webp) = (
        encoded(ImageFormat::Png),
        encoded(ImageFormat::Tiff),
        encoded(ImageFormat::WebP),
    );
    let grey_strip =
        |w: u32, h: u32, rows: u32, len: u32| tiff(&grey(w, h, rows, 8, len), 0, &[0; 64]);
    vec![
        ("empty", Vec::new(), Refused("found an empty file")),
        ("one byte", vec![0xFF], Refused("found something unknown")),
        ("two bytes", vec![0xFF, 0xD8], Refused(DAMAGED)),
        (
            "GIF",
            b"GIF89a\x40\0\x40\0\x80\0\0".to_vec(),
            Refused("found a GIF"),
        ),
        (
            "HEIC",
            b"\0\0\0\x18ftypheic\0\0\0\0heicmif1".to_vec(),
            Refused("found a HEIC picture"),
        ),
        (
            "PDF",
            b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n".to_vec(),
            Refused("found a PDF"),
        ),
        (
            "ZIP",
            b"PK\x03\x04\x14\0\0\0".to_vec(),
            Refused("found a ZIP archive"),
        ),
        (
            "text",
            b"Dear client,\n".to_vec(),
            Refused("found a text file"),
        ),
        ("JPEG cut", cut(&jpeg), Refused(DAMAGED)),
        ("JPEG flipped", flipped(&jpeg), Refused(DAMAGED)),
        ("PNG cut", cut(&png_file), Refused(DAMAGED)),
        ("PNG flipped", flipped(&png_file), Refused(DAMAGED)),
        ("TIFF cut", cut(&tiff_file), Refused(DAMAGED)),
        ("WebP cut", cut(&webp), Refused(DAMAGED)),
        (
            "PNG of 100,000 x 100,000",
            png(&[
                (b"IHDR", &header(100_000, 100_000, 2)),
                (b"IDAT", &zeros(1000)),
                (b"IEND", &[]),
            ]),
            Refused(TOO_LARGE),
        ),
        (
            "PNG of no size",
            png(&[
                (b"IHDR", &header(0, 0, 2)),
                (b"IDAT", &zeros(1000)),
                (b"IEND", &[]),
            ]),
            Refused("only 0 x 0 pixels"),
        ),
        (
            "PNG without a header",
            png(&[(b"IDAT", &zeros(1000)), (b"IEND", &[])]),
            Refused(DAMAGED),
        ),
        (
            "PNG whose data goes on",
            png(&[
                (b"IHDR", &header(64, 64, 0)),
                (b"IDAT", &zeros(20 << 20)),
                (b"IEND", &[]),
            ]),
            Read,
        ),
        (
            "PNG whose data stops",
            png(&[
                (b"IHDR", &header(640, 640, 0)),
                (b"IDAT", &zeros(1000)),
                (b"IEND", &[]),
            ]),
            Refused(DAMAGED),
        ),
        (
            "PNG with a text that unpacks to much",
            with_chunk(
                b"iTXt",
                &[&b"Comment\0\x01\0\0\0"[..], &zeros(200 << 20)].concat(),
            ),
            Read,
        ),
        (
            "PNG with a profile that unpacks to much",
            with_chunk(b"iCCP", &[&b"icc\0\0"[..], &zeros(200 << 20)].concat()),
            Read,
        ),
        (
            "PNG with a profile of nonsense",
            noted(&[0xA5; 3000], &[]),
            Read,
        ),
        (
            "PNG with EXIF that loops",
            noted(b"no profile", &loops()),
            Read,
        ),
        (
            "JPEG with EXIF that loops",
            with_segment(&jpeg, 0xE1, &[&b"Exif\0\0"[..], &loops()].concat()),
            Read,
        ),
        (
            "JPEG with a profile of nonsense",
            with_segment(
                &jpeg,
                0xE2,
                &[&b"ICC_PROFILE\0\x01\x01"[..], &[0xA5; 3000]].concat(),
            ),
            Read,
        ),
        (
            "JPEG with a profile part of none",
            with_segment(&jpeg, 0xE2, b"ICC_PROFILE\0\0\0"),
            Read,
        ),
        (
            "JPEG with 65,535 markers",
            {
                let many = segment(0xFE, b"").repeat(65_535);
                [&jpeg[..2], &many, &jpeg[2..]].concat()
            },
            Read,
        ),
        (
            "JPEG of two frames",
            [&jpeg[..2], &frame(0xC0, 25_000, 20_000, 3), &jpeg[2..]].concat(),
            Refused(DAMAGED),
        ),
        ("JPEG of no height", even(0xC0, 640, 0, 1, 0), Refused("")),
        (
            "JPEG of nothing but a frame",
            [&b"\xff\xd8"[..], &frame(0xC0, 640, 480, 3), b"\xff\xd9"].concat(),
            Refused(DAMAGED),
        ),
        (
            "JPEG without tables",
            [
                &b"\xff\xd8"[..],
                &frame(0xC0, 640, 480, 1),
                &segment(0xDA, &[1, 1, 0, 0, 63, 0]),
                &[0; 4000],
                b"\xff\xd9",
            ]
            .concat(),
            Refused(DAMAGED),
        ),
        (
            "TIFF without a directory",
            b"II*\0\xff\xff\xff\x7f".to_vec(),
            Refused(DAMAGED),
        ),
        (
            "TIFF whose directory follows itself",
            tiff(&grey(64, 64, 64, 126, 4096), 8, &[128; 4096]),
            Refused(DAMAGED),
        ),
        (
            "TIFF of a strip of 4 GiB",
            grey_strip(8000, 8000, u32::MAX, u32::MAX),
            Refused(DAMAGED),
        ),
        (
            "TIFF of strips of no rows",
            grey_strip(640, 640, 0, 64),
            Refused(""),
        ),
        (
            "TIFF of 65,536 x 65,536",
            grey_strip(65_536, 65_536, 65_536, 64),
            Refused(TOO_LARGE),
        ),
        (
            "TIFF whose values are everywhere",
            tiff(
                &[
                    (256, 4, u32::MAX, 0),
                    (257, 4, u32::MAX, 0),
                    (258, 3, u32::MAX, 8),
                    (273, 4, u32::MAX, 8),
                ],
                0,
                &[],
            ),
            Refused(DAMAGED),
        ),
        (
            "TIFF of a million tags",
            many_tags(1_000_000),
            Refused(DAMAGED),
        ),
        (
            "WebP of nothing",
            riff(&[(b"VP8X", &[0, 0, 0, 0, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF])]),
            Refused(""),
        ),
        (
            "WebP that moves and is vast",
            riff(&[
                (b"VP8X", &[2, 0, 0, 0, 0xFF, 0x3F, 0, 0xFF, 0x3F, 0]),
                (b"ANIM", &[0; 6]),
            ]),
            Refused(""),
        ),
        (
            "WebP without its picture",
            riff(&[(b"VP8 ", &[])]),
            Refused(DAMAGED),
        ),
        ("WebP flipped", flipped(&webp), Refused("")),
    ]
}

/// Those that are small enough to begin a fuzzer with.
pub(super) fn small() -> Vec<(&'static str, Vec<u8>)> {
    cases()
        .into_iter()
        .map(|(name, bytes, _)| (name, bytes))
        .filter(|(_, bytes)| bytes.len() < 100_000)
        .collect()
}

#[test]
fn each_bad_photo_is_refused_in_one_clear_line_or_read_and_soon() {
    let bench = Bench::new();
    for (name, bytes, says) in cases() {
        bench.file("photo.jpg", &bytes);
        let begun = Instant::now();
        let ran = bench.run(&["measure", "photo.jpg", "--size", "40x40mm", "--json"]);
        let took = begun.elapsed();
        assert!(took < SOON, "{name} took {took:?}");
        match says {
            Refused(said) => drop(
                ran.exits(2)
                    .refuses_in_two_lines()
                    .complains(": photo.jpg")
                    .complains(said),
            ),
            // What is seen of it may be too little to judge by, or no panel.
            Read => assert!(
                matches!(ran.code(), Some(0 | 2 | 3))
                    && !ran.err.contains(DAMAGED)
                    && !ran.err.contains("not a photo"),
                "{name}: {}",
                ran.err
            ),
        }
    }
}
