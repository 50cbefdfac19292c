//! JPEG: decoded strictly, because a gap that a viewer would paint grey would here be read as silver.
//!
//! The decoder alone does not notice every cut: data that ends in the last rows of a scan, or between two scans of a
//! progressive picture, still gives pixels. So the markers are walked first, and a picture without its end marker is
//! refused. What follows the end marker (a second picture, a film, padding) is no part of the photo. The decoder tells neither where
//! that marker stands nor how many channels the first scan holds.
//!
//! Source: ITU-T T.81 annex B; ICC.1:2022 annex B.4 for profiles.

use std::path::Path;

use zune_jpeg::JpegDecoder;
use zune_jpeg::errors::DecodeErrors;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::colour::Named;
use super::decoded::{Decoded, damaged, unreadable};
use super::{Limits, channels};
use crate::Result;
use crate::frame::photo::Samples;

pub(super) fn decode(bytes: &[u8], path: &Path, limits: &Limits) -> Result<Decoded> {
    let survey = survey(bytes);
    if let Some(kind) = survey.unreadable() {
        return Err(unreadable(path, kind));
    }
    let data = match (&survey.frame, survey.end) {
        (Some(frame), Some(end)) if frame.early_end_shows() => &bytes[..end],
        _ => bytes,
    };
    let options = DecoderOptions::default()
        .set_strict_mode(false)
        .set_max_width(usize::MAX)
        .set_max_height(usize::MAX);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(data), options);
    let failed = |e: DecodeErrors| match e {
        DecodeErrors::Unsupported(scheme) => {
            unreadable(path, format!("a JPEG of another kind ({scheme:?})"))
        }
        other => damaged(path, format!("{other:?}")),
    };
    decoder.decode_headers().map_err(failed)?;
    // Luma and chroma stay as they are: the decoder would round their red, green and blue.
    let out = match decoder.input_colorspace() {
        Some(space @ (ColorSpace::Luma | ColorSpace::RGB | ColorSpace::YCbCr)) => space,
        Some(ColorSpace::CMYK | ColorSpace::YCCK) => return Err(unreadable(path, "a CMYK JPEG")),
        _ => return Err(unreadable(path, "a JPEG of unknown channels")),
    };
    let grey = out == ColorSpace::Luma;
    let (width, height) = decoder.dimensions().unwrap_or_default();
    let channels = if grey { 1 } else { 3 };
    let size = (width as u32, height as u32);
    limits.check_picture(size, channels, 1, path)?;
    limits.check_kept(size, survey.kept_bytes(size), path)?;
    if survey.end.is_none() {
        return Err(damaged(path, "the file ends before the picture does"));
    }
    let profile = match decoder.icc_profile() {
        Some(icc) => Named::Icc(icc),
        None if survey.profile => Named::Unreadable,
        None => Named::Nothing,
    };
    let exif = decoder.exif().cloned();
    // Odd headers were forgiven; from here on data is either whole or refused.
    let strict = options.set_strict_mode(true).jpeg_set_out_colorspace(out);
    decoder.set_options(strict);
    let mut codes = vec![0; width * height * usize::from(channels)];
    decoder.decode_into(&mut codes).map_err(failed)?;
    let codes = channels::to_rgb(codes, channels, u8::MAX)
        .map_err(|_| unreadable(path, "a partly transparent picture"))?;
    Ok(Decoded {
        width,
        height,
        samples: if out == ColorSpace::YCbCr {
            Samples::LumaChroma(codes)
        } else {
            Samples::Eight(codes)
        },
        grey,
        profile,
        exif,
    })
}

/// What the markers of a JPEG say.
#[derive(Debug, Default, PartialEq, Eq)]
struct Survey {
    /// Where the end marker of the picture starts.
    end: Option<usize>,
    /// There is a profile, whole or not.
    profile: bool,
    /// The first start of frame.
    frame: Option<Frame>,
    /// Channels in the first scan.
    first_scan: Option<u8>,
}

/// A start of frame.
#[derive(Debug, PartialEq, Eq)]
struct Frame {
    /// Number of the marker: 0 and 1 sequential, 2 progressive, 3 lossless …
    process: u8,
    /// Bits a channel.
    bits: u8,
    /// Pixels across.
    width: u16,
    /// Samples of each channel in a unit: across and down.
    sampling: Vec<(u64, u64)>,
}

impl Frame {
    fn parse(process: u8, body: &[u8]) -> Option<Frame> {
        match *body {
            [bits, _, _, high, low, _, ref channels @ ..] => Some(Frame {
                process,
                bits,
                width: u16::from_be_bytes([high, low]),
                sampling: channels
                    .chunks_exact(3)
                    .map(|c| (u64::from(c[1] >> 4), u64::from(c[1] & 15)))
                    .collect(),
            }),
            _ => None,
        }
    }

    /// The decoder takes an end marker for an endless run of zeros, so that data which stops too early passes for
    /// whole; without the marker it notices. It reads 8 bytes ahead, however, and no row of blocks may be shorter.
    fn early_end_shows(&self) -> bool {
        self.process < 2 && self.width >= 512
    }
}

impl Survey {
    /// Bytes of the coefficients, two each, that are kept until all scans are read; none where the only scan has everything.
    fn kept_bytes(&self, (width, height): (u32, u32)) -> u64 {
        let Some(frame) = &self.frame else { return 0 };
        let channels = frame.sampling.len();
        if frame.process < 2 && self.first_scan.is_some_and(|n| usize::from(n) == channels) {
            return 0;
        }
        let samples: u64 = frame.sampling.iter().map(|(h, v)| h * v).sum();
        let across = frame.sampling.iter().map(|(h, _)| *h).max().unwrap_or(1);
        let down = frame.sampling.iter().map(|(_, v)| *v).max().unwrap_or(1);
        2 * u64::from(width) * u64::from(height) * samples / (across * down).max(1)
    }

    /// The kind, where it is one that cannot be read.
    fn unreadable(&self) -> Option<String> {
        let frame = self.frame.as_ref()?;
        match (frame.process, frame.bits) {
            (0..=2, 0..=8) => None,
            (0..=2, bits) => Some(format!("a JPEG of {bits} bits")),
            (3 | 7 | 11 | 15, _) => Some("a lossless JPEG".into()),
            (9.., _) => Some("an arithmetic-coded JPEG".into()),
            _ => Some("a hierarchical JPEG".into()),
        }
    }
}

/// Walks the markers from the start of the picture to its end marker.
fn survey(bytes: &[u8]) -> Survey {
    let mut found = Survey::default();
    let mut at = 2;
    while let Some((marker, after)) = next_marker(bytes, at) {
        at = after;
        match marker {
            0xD9 => {
                found.end = Some(after - 2);
                return found;
            }
            // Markers without a segment; the last three also stand among coded data.
            0x01 | 0xD8 | 0x00 | 0xD0..=0xD7 => continue,
            _ => {}
        }
        let Some(&[high, low]) = bytes.get(at..at + 2) else {
            return found;
        };
        let body = at + 2..at + usize::from(u16::from_be_bytes([high, low])).max(2);
        at = body.end;
        let Some(body) = bytes.get(body) else {
            return found;
        };
        match marker {
            0xDA if found.first_scan.is_none() => found.first_scan = body.first().copied(),
            0xE2 => found.profile |= body.starts_with(b"ICC_PROFILE\0"),
            0xC0..=0xCF if !matches!(marker, 0xC4 | 0xC8 | 0xCC) && found.frame.is_none() => {
                found.frame = Frame::parse(marker - 0xC0, body);
            }
            _ => {}
        }
    }
    found
}

/// The next marker at or after `from`, and where what follows it starts. Coded data between is skipped: in it, 0xFF is
/// always followed by 0x00 or a restart marker.
fn next_marker(bytes: &[u8], from: usize) -> Option<(u8, usize)> {
    let at = from + bytes.get(from..)?.iter().position(|b| *b == 0xFF)?;
    let fill = bytes[at..].iter().position(|b| *b != 0xFF)?;
    Some((bytes[at + fill], at + fill + 1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_end_marker_of_a_thumbnail_is_not_the_end_of_the_picture() {
        let head = b"\xff\xd8\xff\xe1\x00\x08Exif\xff\xd9\xff\xda\x00\x02coded\xff\x00\xff\xd3data";
        assert_eq!(survey(head).end, None);
        let whole = [&head[..], b"\xff\xff\xd9\xff\xd8 another picture"].concat();
        assert_eq!(survey(&whole).end, Some(head.len() + 1));
    }

    #[test]
    fn frames_that_cannot_be_read_are_named() {
        let kind = |marker: u8, bits: u8| {
            survey(&[0xFF, 0xD8, 0xFF, marker, 0, 8, bits, 0, 64, 0, 64, 3]).unreadable()
        };
        assert_eq!(kind(0xC0, 8), None);
        assert_eq!(kind(0xC2, 8), None);
        assert_eq!(kind(0xC1, 12).as_deref(), Some("a JPEG of 12 bits"));
        assert_eq!(kind(0xC3, 8).as_deref(), Some("a lossless JPEG"));
        assert_eq!(kind(0xC9, 8).as_deref(), Some("an arithmetic-coded JPEG"));
    }

    #[test]
    fn coefficients_are_kept_where_scans_are_several() {
        let kept = |marker: u8, sampling: u8, in_scan: u8| {
            let frame = [8, 0, 64, 0, 64, 3, 1, sampling, 0, 2, 0x11, 0, 3, 0x11, 0];
            let head = [&[0xFF, 0xD8, 0xFF, marker, 0, 17], &frame[..]].concat();
            survey(&[&head[..], &[0xFF, 0xDA, 0, 3, in_scan]].concat()).kept_bytes((1000, 100))
        };
        // Two bytes a coefficient: three channels, or one and two halved both ways.
        assert_eq!(kept(0xC2, 0x11, 3), 600_000);
        assert_eq!(kept(0xC2, 0x22, 3), 300_000);
        assert_eq!(kept(0xC0, 0x11, 1), 600_000);
        assert_eq!(kept(0xC0, 0x11, 3), 0);
        assert_eq!(survey(b"\xff\xd8").kept_bytes((1000, 100)), 0);
    }

    #[test]
    fn a_segment_that_runs_past_the_end_is_not_followed() {
        assert_eq!(
            survey(b"\xff\xd8\xff\xe2\xff\xffICC_PROFILE\0"),
            Survey::default()
        );
        assert_eq!(survey(b"\xff\xd8\xff"), Survey::default());
    }
}
