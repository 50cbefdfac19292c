//! How large a file and a picture may be before they are opened.

use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::{Error, Result};

/// What intake opens. Checked on the file's own claims, before memory is set aside for the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Limits {
    /// Largest file, bytes. Default: 314 572 800 (300 MiB).
    pub most_bytes: u64,
    /// Most pixels. Default: 120 000 000.
    pub most_pixels: u64,
    /// Most bytes of decoded codes: 3 a pixel at 8 bits, 6 at 16. Default: 402 653 184 (384 MiB).
    pub most_decoded_bytes: u64,
    /// Most bytes that a decoder may keep beside the codes until the whole file is read: a JPEG whose channels or whose detail
    /// come in several scans needs two for each coefficient of every channel, so that a small file can ask for twice what its
    /// picture takes. Default: 402 653 184 (384 MiB), which any of 67 megapixels fit into, and of 120 with halved colour.
    pub most_kept_bytes: u64,
    /// Least pixels on each side. Default: 64.
    pub least_side: u32,
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            most_bytes: 300 << 20,
            most_pixels: 120_000_000,
            most_decoded_bytes: 384 << 20,
            most_kept_bytes: 384 << 20,
            least_side: 64,
        }
    }
}

impl Limits {
    /// Refuses a file of more than `most_bytes`.
    pub(super) fn check_bytes(&self, bytes: u64, path: &Path) -> Result<()> {
        if bytes <= self.most_bytes {
            return Ok(());
        }
        Err(Error::PhotoTooLarge {
            path: path.to_path_buf(),
            found: format!("the file has {} MiB", bytes.div_ceil(1 << 20)),
            limit: format!("{} MiB", self.most_bytes >> 20),
        })
    }

    /// Refuses a picture whose header claims too many pixels, too many bytes (`channel_bytes` is 1 or 2 for each of
    /// `channels`) or too short a side.
    pub(super) fn check_picture(
        &self,
        (width, height): (u32, u32),
        channels: u8,
        channel_bytes: u8,
        path: &Path,
    ) -> Result<()> {
        let pixels = u64::from(width) * u64::from(height);
        if pixels > self.most_pixels {
            return Err(Error::PhotoTooLarge {
                path: path.to_path_buf(),
                found: format!("{width} x {height} pixels"),
                limit: format!("{} megapixels", self.most_pixels / 1_000_000),
            });
        }
        let bytes = pixels * u64::from(channels.max(3)) * u64::from(channel_bytes);
        if bytes > self.most_decoded_bytes {
            return Err(Error::PhotoTooLarge {
                path: path.to_path_buf(),
                found: format!(
                    "{width} x {height} pixels of {} bits take {} MiB",
                    8 * channel_bytes,
                    bytes.div_ceil(1 << 20)
                ),
                limit: format!("{} MiB", self.most_decoded_bytes >> 20),
            });
        }
        if width.min(height) < self.least_side {
            return Err(Error::PhotoTooSmall {
                path: path.to_path_buf(),
                width: width as usize,
                height: height as usize,
                least: self.least_side as usize,
            });
        }
        Ok(())
    }

    /// Refuses a picture of which a decoder would have to keep too many bytes beside its codes.
    pub(super) fn check_kept(
        &self,
        (width, height): (u32, u32),
        bytes: u64,
        path: &Path,
    ) -> Result<()> {
        if bytes <= self.most_kept_bytes {
            return Ok(());
        }
        Err(Error::PhotoTooLarge {
            path: path.to_path_buf(),
            found: format!(
                "{width} x {height} pixels in several scans take {} MiB",
                bytes.div_ceil(1 << 20)
            ),
            limit: format!("{} MiB", self.most_kept_bytes >> 20),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_and_smallest_picture_allowed_pass_and_the_next_do_not() {
        let limits = Limits::default();
        let path = Path::new("p.jpg");
        assert!(limits.check_picture((12_000, 10_000), 3, 1, path).is_ok());
        assert!(limits.check_picture((64, 64), 3, 2, path).is_ok());
        for (size, bytes) in [
            ((12_001, 10_000), 1),
            ((u32::MAX, u32::MAX), 2),
            ((12_000, 9_000), 2),
        ] {
            let refused = limits.check_picture(size, 3, bytes, path);
            assert!(
                matches!(refused, Err(Error::PhotoTooLarge { .. })),
                "{size:?}"
            );
        }
        assert!(matches!(
            limits.check_picture((63, 4000), 3, 1, path),
            Err(Error::PhotoTooSmall { least: 64, .. })
        ));
    }

    #[test]
    fn a_settings_file_may_name_only_some_limits() {
        let limits: Limits = serde_json::from_str(r#"{"least_side": 8}"#).unwrap();
        assert_eq!(
            limits,
            Limits {
                least_side: 8,
                ..Limits::default()
            }
        );
    }
}
