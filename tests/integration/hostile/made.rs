//! Files made by hand, byte by byte: what no honest program writes.
//!
//! Sources: PNG (third edition) 5.3 and 11.2; RFC 1951 3.2.6 (deflate); TIFF 6.0 section 2 and BigTIFF; ITU-T T.81 annex B
//! (JPEG); Exif 2.32 section 4.6.

/// A PNG of these chunks.
pub(crate) fn png(chunks: &[(&[u8; 4], &[u8])]) -> Vec<u8> {
    let mut png = b"\x89PNG\r\n\x1a\n".to_vec();
    for (name, body) in chunks {
        let from = png.len() + 4;
        png.extend((body.len() as u32).to_be_bytes());
        png.extend(*name);
        png.extend(*body);
        let check = crc(&png[from..]);
        png.extend(check.to_be_bytes());
    }
    png
}

/// The header of a PNG of 8 bits; `colour` 0 is grey, 2 RGB.
pub(crate) fn header(width: u32, height: u32, colour: u8) -> Vec<u8> {
    let mut body = width.to_be_bytes().to_vec();
    body.extend(height.to_be_bytes());
    body.extend([8, colour, 0, 0, 0]);
    body
}

fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| {
            (c >> 1) ^ (0xedb8_8320 & 0_u32.wrapping_sub(c & 1))
        })
    })
}

/// A zlib stream of about `bytes` zeros: one literal, then copies of 258 bytes at distance 1, 13 bits each in the fixed
/// code.
pub(crate) fn zeros(bytes: usize) -> Vec<u8> {
    let (copies, mut sum) = (bytes / 258, Bits::default());
    sum.put(0b1, 1); // the last block
    sum.put(0b01, 2); // fixed code
    sum.put_code(0b0011_0000, 8); // literal 0
    // Eight copies fill thirteen bytes, so the rest of them repeats.
    for _ in 0..copies % 8 {
        sum.copy();
    }
    for _ in 0..copies / 8 {
        (0..8).for_each(|_| sum.copy());
    }
    sum.put_code(0, 7); // the end
    let mut stream = vec![0x78, 0x01];
    stream.extend(sum.done());
    // Adler-32 of n zeros: the low half stays 1, the high half counts them.
    let n = (1 + 258 * copies) % 65_521;
    stream.extend(((n as u32) << 16 | 1).to_be_bytes());
    stream
}

#[derive(Default)]
struct Bits {
    bytes: Vec<u8>,
    held: u32,
    count: u32,
}

impl Bits {
    fn put(&mut self, bits: u32, count: u32) {
        self.held |= bits << self.count;
        self.count += count;
        while self.count >= 8 {
            self.bytes.push((self.held & 255) as u8);
            self.held >>= 8;
            self.count -= 8;
        }
    }

    /// Codes are written from their highest bit.
    fn put_code(&mut self, code: u32, count: u32) {
        self.put(code.reverse_bits() >> (32 - count), count);
    }

    fn copy(&mut self) {
        self.put_code(0b1100_0101, 8); // length 258
        self.put_code(0, 5); // distance 1
    }

    fn done(mut self) -> Vec<u8> {
        self.put(0, 7);
        self.bytes
    }
}

/// A little-endian TIFF of one directory; each entry is a tag, a type, a count and a value or where the values lie.
/// `after` follows the directory, at 14 + 12 × entries; `next` is where the next directory is said to lie.
pub(crate) fn tiff(entries: &[(u16, u16, u32, u32)], next: u32, after: &[u8]) -> Vec<u8> {
    let mut bytes = b"II*\0\x08\0\0\0".to_vec();
    bytes.extend((entries.len() as u16).to_le_bytes());
    for (tag, kind, count, value) in entries {
        bytes.extend(tag.to_le_bytes());
        bytes.extend(kind.to_le_bytes());
        bytes.extend(count.to_le_bytes());
        bytes.extend(value.to_le_bytes());
    }
    bytes.extend(next.to_le_bytes());
    bytes.extend(after);
    bytes
}

/// The entries of a grey TIFF of 8 bits in strips of so many rows, with one strip's offset and length.
pub(crate) fn grey(
    width: u32,
    height: u32,
    rows: u32,
    at: u32,
    len: u32,
) -> Vec<(u16, u16, u32, u32)> {
    vec![
        (256, 4, 1, width),
        (257, 4, 1, height),
        (258, 3, 1, 8),
        (259, 3, 1, 1),
        (262, 3, 1, 1),
        (273, 4, 1, at),
        (277, 3, 1, 1),
        (278, 4, 1, rows),
        (279, 4, 1, len),
    ]
}

/// A little-endian BigTIFF whose first directory has `entries` entries, each of an unknown tag.
pub(crate) fn many_tags(entries: u64) -> Vec<u8> {
    let mut bytes = b"II+\0\x08\0\0\0\x10\0\0\0\0\0\0\0".to_vec();
    bytes.extend(entries.to_le_bytes());
    for i in 0..entries {
        bytes.extend((40_000 + (i % 20_000) as u16).to_le_bytes());
        bytes.extend(4_u16.to_le_bytes());
        bytes.extend(1_u64.to_le_bytes());
        bytes.extend(i.to_le_bytes());
    }
    bytes.extend([0; 8]);
    bytes
}

/// A JPEG segment.
pub(crate) fn segment(marker: u8, body: &[u8]) -> Vec<u8> {
    let mut bytes = vec![0xFF, marker];
    bytes.extend((body.len() as u16 + 2).to_be_bytes());
    bytes.extend(body);
    bytes
}

/// The start of frame of a picture of 8 bits; `marker` 0xC0 is baseline, 0xC2 progressive.
pub(crate) fn frame(marker: u8, width: u16, height: u16, channels: u8) -> Vec<u8> {
    let mut body = vec![8];
    body.extend(height.to_be_bytes());
    body.extend(width.to_be_bytes());
    body.push(channels);
    for channel in 1..=channels {
        body.extend([channel, 0x11, 0]);
    }
    segment(marker, &body)
}

/// A whole JPEG of even mid-grey, however large: in the codes it names a block of no change is two bits, both zero. A
/// progressive one (0xC2) has `more` scans after the first, each of which says in fifteen zeros that 16,384 blocks of the
/// first channel end.
pub(crate) fn even(marker: u8, width: u16, height: u16, channels: u8, more: usize) -> Vec<u8> {
    let progressive = marker == 0xC2;
    let mut jpeg = b"\xff\xd8".to_vec();
    jpeg.extend(segment(0xDB, &[&[0][..], &[1; 64]].concat()));
    jpeg.extend(frame(marker, width, height, channels));
    // One code of one bit each: no difference; the end of this block, or of a run of them.
    let mut table = vec![0; 18];
    table[1] = 1;
    jpeg.extend(segment(0xC4, &table));
    (table[0], table[17]) = (0x10, if progressive { 0xE0 } else { 0 });
    jpeg.extend(segment(0xC4, &table));
    let mut scan = vec![channels];
    for channel in 1..=channels {
        scan.extend([channel, 0]);
    }
    scan.extend([0, if progressive { 0 } else { 63 }, 0]);
    jpeg.extend(segment(0xDA, &scan));
    let blocks = usize::from(width.div_ceil(8)) * usize::from(height.div_ceil(8));
    let bits = usize::from(channels) * if progressive { blocks } else { 2 * blocks };
    jpeg.resize(jpeg.len() + bits.div_ceil(8), 0);
    for _ in 0..more {
        jpeg.extend(segment(0xDA, &[1, 1, 0, 1, 63, 0]));
        let coded = (15 * blocks.div_ceil(16_384)).div_ceil(8);
        jpeg.resize(jpeg.len() + coded, 0);
    }
    jpeg.extend(b"\xff\xd9");
    jpeg
}

/// A segment put in after the start of a JPEG.
pub(crate) fn with_segment(jpeg: &[u8], marker: u8, body: &[u8]) -> Vec<u8> {
    [&jpeg[..2], &segment(marker, body), &jpeg[2..]].concat()
}
