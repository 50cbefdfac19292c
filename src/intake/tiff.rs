//! The first directory of a TIFF file: just enough to name a kind that cannot be read, and to tell camera raw files
//! (which wear TIFF's coat) from photos. Source: TIFF 6.0 section 2, BigTIFF, DNG 1.6.

/// Entries looked at; a real first directory has well under a hundred.
const MOST_ENTRIES: u64 = 1000;

/// The bytes start like a TIFF or BigTIFF file.
pub(super) fn is_tiff(bytes: &[u8]) -> bool {
    matches!(
        bytes.get(..4),
        Some(b"II*\0" | b"MM\0*" | b"II+\0" | b"MM\0+")
    )
}

/// What kind of camera raw file this is; `None` for an ordinary TIFF.
pub(super) fn raw_kind(bytes: &[u8]) -> Option<&'static str> {
    if bytes.get(8..10) == Some(b"CR") {
        return Some("a camera raw file (CR2)");
    }
    let ifd = Ifd { bytes };
    if ifd.first(tag::DNG_VERSION).is_some() {
        return Some("a camera raw file (DNG)");
    }
    // The first directory is a thumbnail and the picture lies in a sub-directory.
    let thumbnail = ifd.first(tag::NEW_SUBFILE_TYPE).is_some_and(|v| v & 1 == 1);
    let mosaic = ifd.first(tag::PHOTOMETRIC) == Some(32_803);
    (mosaic || thumbnail && ifd.first(tag::SUB_IFDS).is_some()).then_some("a camera raw file")
}

/// The kind of picture, in words, for a TIFF that cannot be read as RGB or grey light.
pub(super) fn kind_in_words(bytes: &[u8]) -> String {
    let ifd = Ifd { bytes };
    let format = match ifd.first(tag::SAMPLE_FORMAT) {
        Some(2) => "signed-integer ",
        Some(3) => "floating-point ",
        _ => "",
    };
    let colour = match ifd.first(tag::PHOTOMETRIC) {
        Some(0 | 1) => "grey",
        Some(2) => "RGB",
        Some(3) => "palette",
        Some(4) => "mask",
        Some(5) => "CMYK",
        Some(6) => "YCbCr",
        Some(8..=10) => "CIELAB",
        Some(32_844 | 32_845) => "LogLuv",
        _ => "unknown",
    };
    let bits = ifd.first(tag::BITS_PER_SAMPLE).unwrap_or(1);
    let packing = match ifd.first(tag::COMPRESSION) {
        None | Some(1) => String::new(),
        Some(c) => format!(", compression {c}"),
    };
    format!("a {format}{colour} TIFF ({bits} bits{packing})")
}

/// EXIF orientation, 1 to 8, of the first directory.
pub(super) fn orientation(bytes: &[u8]) -> Option<u8> {
    let number = Ifd { bytes }.first(tag::ORIENTATION)?;
    u8::try_from(number).ok().filter(|n| (1..=8).contains(n))
}

/// The ICC profile of the first directory (ICC.1:2022, annex B.4).
pub(super) fn profile(bytes: &[u8]) -> Option<&[u8]> {
    let (at, len) = Ifd { bytes }.value(tag::ICC_PROFILE)?;
    let at = usize::try_from(at).ok()?;
    bytes.get(at..at.checked_add(usize::try_from(len).ok()?)?)
}

mod tag {
    pub(super) const NEW_SUBFILE_TYPE: u16 = 254;
    pub(super) const BITS_PER_SAMPLE: u16 = 258;
    pub(super) const COMPRESSION: u16 = 259;
    pub(super) const PHOTOMETRIC: u16 = 262;
    pub(super) const ORIENTATION: u16 = 274;
    pub(super) const SUB_IFDS: u16 = 330;
    pub(super) const SAMPLE_FORMAT: u16 = 339;
    pub(super) const ICC_PROFILE: u16 = 34_675;
    pub(super) const DNG_VERSION: u16 = 50_706;
}

/// The first directory of a TIFF file.
struct Ifd<'a> {
    bytes: &'a [u8],
}

impl Ifd<'_> {
    /// First value of an entry; `None` where it is absent or lies outside the file.
    fn first(&self, wanted: u16) -> Option<u64> {
        let (at, _, size) = self.entry(wanted)?;
        self.number(at, size)
    }

    /// Where the values of an entry start and how many bytes they take.
    fn value(&self, wanted: u16) -> Option<(u64, u64)> {
        let (at, count, size) = self.entry(wanted)?;
        Some((at, count.checked_mul(size)?))
    }

    /// Where the values of an entry start, how many they are, and the bytes each takes.
    fn entry(&self, wanted: u16) -> Option<(u64, u64, u64)> {
        let big = matches!(self.bytes.get(2..4)?, b"+\0" | b"\0+");
        let (word, entry_len) = if big { (8, 20) } else { (4, 12) };
        let start = self.number(if big { 8 } else { 4 }, word)?;
        let count_len = if big { 8 } else { 2 };
        let entries = self.number(start, count_len)?.min(MOST_ENTRIES);
        let at = (0..entries)
            .map(|i| start.saturating_add(count_len + i * entry_len))
            .take_while(|at| *at < self.bytes.len() as u64)
            .find(|at| self.number(*at, 2) == Some(wanted.into()))?;
        let size = match self.number(at + 2, 2)? {
            1 | 2 | 6 | 7 => 1,
            3 | 8 => 2,
            16..=18 => 8,
            _ => 4,
        };
        let count = self.number(at + 4, word)?;
        let inline = at + 4 + word;
        let values_at = if count.saturating_mul(size) <= word {
            inline
        } else {
            self.number(inline, word)?
        };
        Some((values_at, count, size))
    }

    /// The unsigned number of `len` bytes (1 to 8) at `at`, in the file's byte order.
    fn number(&self, at: u64, len: u64) -> Option<u64> {
        let at = usize::try_from(at).ok()?;
        let field = self.bytes.get(at..at.checked_add(len as usize)?)?;
        let join = |n: u64, b: &u8| n << 8 | u64::from(*b);
        Some(if self.bytes.starts_with(b"II") {
            field.iter().rev().fold(0, join)
        } else {
            field.iter().fold(0, join)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A little-endian TIFF of one directory of SHORT entries.
    fn directory(entries: &[(u16, u16)]) -> Vec<u8> {
        let mut bytes = b"II*\0\x08\0\0\0".to_vec();
        bytes.extend((entries.len() as u16).to_le_bytes());
        for (tag, value) in entries {
            bytes.extend(tag.to_le_bytes());
            bytes.extend([3, 0, 1, 0, 0, 0]);
            bytes.extend(value.to_le_bytes());
            bytes.extend([0, 0]);
        }
        bytes
    }

    #[test]
    fn raw_files_are_told_from_photos() {
        assert_eq!(raw_kind(&directory(&[(262, 2), (258, 8)])), None);
        assert_eq!(
            raw_kind(&directory(&[(254, 1), (50_706, 1)])),
            Some("a camera raw file (DNG)")
        );
        assert_eq!(
            raw_kind(&directory(&[(254, 1), (330, 99)])),
            Some("a camera raw file")
        );
        assert_eq!(
            raw_kind(b"II*\0\x10\0\0\0CR\x02\0"),
            Some("a camera raw file (CR2)")
        );
    }

    #[test]
    fn unreadable_kinds_are_named() {
        let named = |e: &[(u16, u16)]| kind_in_words(&directory(e));
        assert_eq!(named(&[(258, 8), (262, 5)]), "a CMYK TIFF (8 bits)");
        assert_eq!(
            named(&[(258, 32), (262, 2), (339, 3)]),
            "a floating-point RGB TIFF (32 bits)"
        );
        assert_eq!(
            named(&[(258, 16), (259, 34_676), (262, 32_845)]),
            "a LogLuv TIFF (16 bits, compression 34676)"
        );
    }

    #[test]
    fn a_directory_outside_the_file_names_nothing() {
        assert_eq!(raw_kind(b"II*\0\xff\xff\xff\xff"), None);
        assert_eq!(
            raw_kind(b"MM\0+\0\x08\0\0\xff\xff\xff\xff\xff\xff\xff\xff"),
            None
        );
        assert_eq!(raw_kind(b"II*\0"), None);
    }
}
