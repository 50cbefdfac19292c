//! A decoded photo, upright, with all that is needed to read it as linear light.

use serde::{Deserialize, Serialize};

/// Interleaved red, green, blue codes, row by row from the top left.
#[derive(Debug, Clone)]
pub enum Samples {
    /// 8 bits a channel.
    Eight(Vec<u8>),
    /// 16 bits a channel.
    Sixteen(Vec<u16>),
}

/// Where the photo's colours were defined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ColourSource {
    /// No profile in the file: sRGB (IEC 61966-2-1) assumed.
    AssumedSrgb,
    /// The ICC profile in the file.
    Profile,
    /// A profile was there but could not be used; sRGB assumed.
    BrokenProfile,
}

/// How codes become linear light with Rec. 709 primaries and D65 white: a table a channel, then a 3×3 matrix.
#[derive(Debug, Clone)]
pub struct Linearisation {
    /// Linear light 0 to 1 for each code, one table a channel (red, green, blue), as long as the code range.
    pub tables: [Vec<f32>; 3],
    /// Row-major matrix from the file's primaries to Rec. 709; `None` where they are Rec. 709 already.
    pub to_rec709: Option<[[f32; 3]; 3]>,
    /// Where this came from.
    pub source: ColourSource,
}

/// What the camera noted. Absent means the file does not say, never zero.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Capture {
    /// Camera maker.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub make: Option<String>,
    /// Camera model.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub model: Option<String>,
    /// Date and time as written by the camera.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taken: Option<String>,
    /// Exposure time, seconds.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exposure_s: Option<f64>,
    /// f-number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub f_number: Option<f64>,
    /// ISO speed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub iso: Option<u32>,
    /// Focal length, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub focal_length_mm: Option<f64>,
    /// White balance was automatic.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub white_balance_auto: Option<bool>,
    /// The flash fired.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flash_fired: Option<bool>,
    /// Digital zoom ratio; 1 or 0 where none was used.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub digital_zoom: Option<f64>,
    /// The camera marked the picture as specially rendered (HDR and the like).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub custom_rendered: Option<u16>,
    /// The camera marked the picture as put together from several.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub composite: Option<u16>,
    /// EXIF colour space: 1 for sRGB, 65535 for one it does not name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub colour_space: Option<u16>,
    /// EXIF orientation that was applied, 1 to 8.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub orientation: Option<u8>,
}

/// A photo as shown: orientation applied, codes untouched, ready to be read as linear light.
#[derive(Debug, Clone)]
pub struct Photo {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// The codes.
    pub samples: Samples,
    /// How to read them as light.
    pub linear: Linearisation,
    /// What the camera noted.
    pub capture: Capture,
    /// BLAKE3 digest of the file, lower-case hex.
    pub digest: String,
}

impl Photo {
    /// Largest code of a channel: 255 or 65535.
    #[must_use]
    pub fn top_code(&self) -> u16 {
        match self.samples {
            Samples::Eight(_) => 255,
            Samples::Sixteen(_) => u16::MAX,
        }
    }

    /// Codes of the pixel in row `row`, column `col`.
    ///
    /// # Panics
    /// When the pixel lies outside the photo.
    #[must_use]
    pub fn codes(&self, row: usize, col: usize) -> [u16; 3] {
        let at = 3 * (row * self.width + col);
        match &self.samples {
            Samples::Eight(v) => [v[at].into(), v[at + 1].into(), v[at + 2].into()],
            Samples::Sixteen(v) => [v[at], v[at + 1], v[at + 2]],
        }
    }

    /// Linear light of the pixel, Rec. 709 primaries, D65 white.
    ///
    /// # Panics
    /// When the pixel lies outside the photo.
    #[must_use]
    pub fn light(&self, row: usize, col: usize) -> [f32; 3] {
        let codes = self.codes(row, col);
        self.linear
            .to_rec709([0, 1, 2].map(|c| self.linear.tables[c][usize::from(codes[c])]))
    }
}

impl Linearisation {
    /// Turns light in the file's primaries into Rec. 709.
    #[must_use]
    pub fn to_rec709(&self, rgb: [f32; 3]) -> [f32; 3] {
        match &self.to_rec709 {
            None => rgb,
            Some(m) => m.map(|row| row[0] * rgb[0] + row[1] * rgb[1] + row[2] * rgb[2]),
        }
    }
}
