//! The chunks of a PNG: whether the file is whole, how large the picture claims to be, and how it names its colours.
//!
//! Source: Portable Network Graphics (third edition), sections 5 and 11; where several chunks name colours, cICP comes
//! before iCCP, that before sRGB, and that before gAMA with cHRM (section 4.3).
//!
//! The chunks are walked here although the `png` crate reads them too: it drops a profile that cannot be unpacked without a word,
//! so that a broken one would pass for none, and it holds the header against its checksum before it tells the size, so that a
//! header which claims too much would be called damaged and not too large. `image`, which decodes the pixels by it, does not
//! read on to the end of the file and hands on neither gAMA, cHRM, sRGB nor cICP.

use super::colour::{Gamma, Named};

/// What the chunks say.
#[derive(Debug)]
pub(super) struct Survey {
    /// Pixels across and down.
    pub(super) size: (u32, u32),
    /// Channels once unpacked, transparency included.
    pub(super) channels: u8,
    /// Bytes a channel once unpacked.
    pub(super) channel_bytes: u8,
    cicp: Option<[u8; 4]>,
    profile: bool,
    srgb: bool,
    /// Decoding exponent times the encoding one is 1; the file keeps 100 000 times the encoding one.
    gamma: Option<f64>,
    /// White, red, green, blue, each x and y.
    chromaticities: Option<[f64; 8]>,
}

impl Survey {
    /// How the file names its colours, given the profile that could be unpacked.
    pub(super) fn named(&self, profile: Option<Vec<u8>>) -> Named {
        match (self.cicp, profile, self.gamma) {
            (Some(cicp), _, _) => Named::Cicp(cicp),
            (None, Some(icc), _) => Named::Icc(icc),
            (None, None, _) if self.profile => Named::Unreadable,
            (None, None, _) if self.srgb => Named::Srgb,
            (None, None, Some(encoding)) => Named::Gamma(Gamma {
                encoding,
                chromaticities: self.chromaticities,
            }),
            (None, None, None) => Named::Nothing,
        }
    }
}

/// Walks the chunks to the end of the picture. The error says in words what is wrong.
pub(super) fn survey(bytes: &[u8]) -> Result<Survey, &'static str> {
    const CUT: &str = "the file ends before the picture does";
    let mut chunks = Chunks { rest: &bytes[8..] };
    let Some((b"IHDR", header)) = chunks.next() else {
        return Err("the header is missing");
    };
    let field = |at: usize| number(header, at).ok_or("the header is cut short");
    let (depth, colour) = match header {
        [_, _, _, _, _, _, _, _, depth, colour, ..] => (*depth, *colour),
        _ => return Err("the header is cut short"),
    };
    let mut found = Survey {
        size: (field(0)?, field(4)?),
        channels: match colour {
            0 => 1,
            4 => 2,
            6 => 4,
            _ => 3,
        },
        channel_bytes: if depth > 8 { 2 } else { 1 },
        cicp: None,
        profile: false,
        srgb: false,
        gamma: None,
        chromaticities: None,
    };
    loop {
        let (name, body) = chunks.next().ok_or(CUT)?;
        match name {
            b"IEND" => return Ok(found),
            b"tRNS" => found.channels = if colour == 0 { 2 } else { 4 },
            b"cICP" => found.cicp = body.try_into().ok(),
            b"iCCP" => found.profile = true,
            b"sRGB" => found.srgb = true,
            b"gAMA" => found.gamma = number(body, 0).filter(|g| *g > 0).map(scaled),
            b"cHRM" if body.len() == 32 => {
                found.chromaticities = Some(std::array::from_fn(|i| {
                    number(body, 4 * i).map_or(0.0, scaled)
                }));
            }
            _ => {}
        }
    }
}

fn number(body: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_be_bytes(body.get(at..at + 4)?.try_into().ok()?))
}

/// The file keeps these numbers 100 000 times as large.
fn scaled(number: u32) -> f64 {
    f64::from(number) / 100_000.0
}

/// Name and body of each chunk that is whole. Checksums are left to the decoder.
struct Chunks<'a> {
    rest: &'a [u8],
}

impl<'a> Iterator for Chunks<'a> {
    type Item = (&'a [u8; 4], &'a [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        let length = usize::try_from(number(self.rest, 0)?).ok()?;
        let name = self.rest.get(4..8)?.try_into().ok()?;
        let body = self.rest.get(8..length.checked_add(8)?)?;
        self.rest = self.rest.get(length.checked_add(12)?..)?;
        Some((name, body))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn png(chunks: &[(&[u8; 4], &[u8])]) -> Vec<u8> {
        let mut bytes = b"\x89PNG\r\n\x1a\n".to_vec();
        for (name, body) in chunks {
            bytes.extend((body.len() as u32).to_be_bytes());
            bytes.extend(*name);
            bytes.extend(*body);
            bytes.extend([0; 4]);
        }
        bytes
    }

    const HEADER: (&[u8; 4], &[u8]) = (b"IHDR", &[0, 0, 1, 0, 0, 0, 0, 200, 16, 2, 0, 0, 0]);

    #[test]
    fn size_and_kind_come_from_the_header() {
        let found = survey(&png(&[HEADER, (b"IDAT", &[0; 9]), (b"IEND", &[])])).unwrap();
        assert_eq!(
            (found.size, found.channels, found.channel_bytes),
            ((256, 200), 3, 2)
        );
        assert!(matches!(found.named(None), Named::Nothing));
    }

    #[test]
    fn a_file_without_its_end_is_cut_short() {
        let whole = png(&[HEADER, (b"IDAT", &[0; 9]), (b"IEND", &[])]);
        for cut in 8..whole.len() {
            assert!(survey(&whole[..cut]).is_err(), "{cut}");
        }
    }

    #[test]
    fn the_stronger_naming_of_colours_wins() {
        let gamma: (&[u8; 4], &[u8]) = (b"gAMA", &[0, 0, 0xF4, 0x24]);
        let with = |extra: &[(&'static [u8; 4], &[u8])], icc: Option<Vec<u8>>| {
            let chunks = [&[HEADER, gamma], extra, &[(b"IEND", &[][..])]].concat();
            survey(&png(&chunks)).unwrap().named(icc)
        };
        assert!(matches!(with(&[], None), Named::Gamma(g) if (g.encoding - 0.625).abs() < 1e-12));
        assert!(matches!(with(&[(b"sRGB", &[0])], None), Named::Srgb));
        assert!(matches!(with(&[(b"iCCP", &[1])], None), Named::Unreadable));
        assert!(matches!(
            with(&[(b"iCCP", &[1])], Some(vec![])),
            Named::Icc(_)
        ));
        let cicp = with(&[(b"iCCP", &[1]), (b"cICP", &[1, 13, 0, 1])], Some(vec![]));
        assert!(matches!(cicp, Named::Cicp([1, 13, 0, 1])));
    }
}
