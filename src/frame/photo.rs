//! A decoded photo, upright, with all that is needed to read it as linear light.

use serde::{Deserialize, Serialize};

use super::quad::Point;

/// Interleaved codes of three channels, row by row from the top left.
#[derive(Debug, Clone)]
pub enum Samples {
    /// Red, green and blue, 8 bits each.
    Eight(Vec<u8>),
    /// Red, green and blue, 16 bits each.
    Sixteen(Vec<u16>),
    /// Luma and the two chromas of a JPEG (ITU-T T.871), 8 bits each. They stay as stored: a flat card is the same three
    /// codes all over, and rounding their red, green and blue would shift its light by up to half a per cent.
    LumaChroma(Vec<u8>),
}

impl Samples {
    /// Steps of the code range: as many entries as the linearisation's tables have.
    #[must_use]
    pub fn steps(&self) -> usize {
        match self {
            Samples::Eight(_) => 256,
            Samples::Sixteen(_) => 65_536,
            // Quarters of a code, 0 to 255 and three quarters.
            Samples::LumaChroma(_) => 1024,
        }
    }
}

/// Quarter codes of the top code, 255.
const TOP_QUARTER: usize = 1020;

/// The step of the brightest code in a range of so many steps.
#[must_use]
pub fn top_step(steps: usize) -> usize {
    if steps == 1024 {
        TOP_QUARTER
    } else {
        steps - 1
    }
}

/// Red, green and blue of luma and chroma, in steps of a quarter code (ITU-T T.871: R = Y + 1.402 (Cr − 128), and so
/// on), in fixed point.
#[inline]
#[must_use]
pub fn quarter_codes(y: u8, cb: u8, cr: u8) -> [usize; 3] {
    const RED_OF_CR: i32 = 91_881 * 4;
    const GREEN_OF_CB: i32 = -22_554 * 4;
    const GREEN_OF_CR: i32 = -46_802 * 4;
    const BLUE_OF_CB: i32 = 116_130 * 4;
    const HALF: i32 = 1 << 15;
    let (y, cb, cr) = (
        (i32::from(y) << 18) + HALF,
        i32::from(cb) - 128,
        i32::from(cr) - 128,
    );
    [
        y + RED_OF_CR * cr,
        y + GREEN_OF_CB * cb + GREEN_OF_CR * cr,
        y + BLUE_OF_CB * cb,
    ]
    .map(|sum| usize::try_from((sum >> 16).clamp(0, 1020)).unwrap_or(0))
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
    /// Linear light 0 to 1 for each step of the code range ([`Samples::steps`]), one table a channel (red, green, blue).
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
    /// Focal length that shows as much on 35 mm film, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub focal_length_35mm: Option<f64>,
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

/// A photo as shown: orientation applied, codes as decoded, ready to be read as linear light.
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

/// Linear light of a pixel, Rec. 709 primaries, D65 white, and 1 where a channel is at the top of the code range.
pub type Light = [f32; 4];

impl Photo {
    /// Linear light of the pixel in row `row`, column `col`.
    ///
    /// # Panics
    /// When the pixel lies outside the photo.
    #[inline]
    #[must_use]
    pub fn light(&self, row: usize, col: usize) -> Light {
        let mut light = [0.0; 4];
        self.each(row, col, 1, |[r, g, b], at_top| {
            light = [r, g, b, f32::from(u8::from(at_top))];
        });
        self.in_rec709(light)
    }

    /// Linear light of the pixel that a point lies in; outside the photo that of the nearest one.
    #[inline]
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "positions are clamped to the photo"
    )]
    pub fn light_at(&self, [x, y]: Point) -> Light {
        let row = (y.max(0.0) as usize).min(self.height - 1);
        self.light(row, (x.max(0.0) as usize).min(self.width - 1))
    }

    /// Linear light of the pixels of row `row` from column `col` on, as many as `out` holds.
    ///
    /// # Panics
    /// When they reach outside the photo.
    pub fn light_along(&self, row: usize, col: usize, out: &mut [Light]) {
        let mut pixels = out.iter_mut();
        self.each(row, col, pixels.len(), |[r, g, b], at_top| {
            if let Some(light) = pixels.next() {
                *light = [r, g, b, f32::from(u8::from(at_top))];
            }
        });
        if self.linear.to_rec709.is_some() {
            out.iter_mut()
                .for_each(|light| *light = self.in_rec709(*light));
        }
    }

    #[inline]
    fn in_rec709(&self, light: Light) -> Light {
        let [r, g, b, at_top] = light;
        match &self.linear.to_rec709 {
            None => light,
            Some(m) => {
                let [r, g, b] = m.map(|row| row[0] * r + row[1] * g + row[2] * b);
                [r, g, b, at_top]
            }
        }
    }

    /// The same with the channels weighed and added up. The weights of red, green and blue run evenly along the row:
    /// `weights` are those of the first pixel and what is added from each to the next.
    ///
    /// # Panics
    /// When the pixels reach outside the photo.
    pub fn weighed_along(&self, row: usize, col: usize, weights: [[f32; 3]; 2], out: &mut [f32]) {
        // Weighing what a matrix has made of the channels is weighing the channels otherwise.
        let [first, step] = match &self.linear.to_rec709 {
            None => weights,
            Some(m) => {
                weights.map(|w| [0, 1, 2].map(|c| w[0] * m[0][c] + w[1] * m[1][c] + w[2] * m[2][c]))
            }
        };
        let mut pixels = out.iter_mut();
        let mut along = 0.0;
        self.each(row, col, pixels.len(), |light, _| {
            let [r, g, b] = [0, 1, 2].map(|c| (first[c] + along * step[c]) * light[c]);
            if let Some(sum) = pixels.next() {
                *sum = r + g + b;
            }
            along += 1.0;
        });
    }

    /// Looks `pixels` pixels up in the tables: their channels' light in the file's own primaries, and whether one is at
    /// the top of the code range.
    #[inline]
    fn each(&self, row: usize, col: usize, pixels: usize, put: impl FnMut([f32; 3], bool)) {
        let first = 3 * (row * self.width + col);
        let range = first..first + 3 * pixels;
        let rgb8 = |p: &[u8; 3]| p.map(usize::from);
        let rgb16 = |p: &[u16; 3]| p.map(usize::from);
        let ycc = |p: &[u8; 3]| quarter_codes(p[0], p[1], p[2]);
        match &self.samples {
            Samples::Eight(codes) => self.look_up::<256, _>(&codes[range], 255, rgb8, put),
            Samples::Sixteen(codes) => {
                self.look_up::<65_536, _>(&codes[range], 65_535, rgb16, put);
            }
            Samples::LumaChroma(codes) => {
                self.look_up::<1024, _>(&codes[range], TOP_QUARTER, ycc, put);
            }
        }
    }

    /// The tables' length `N` is a power of two and known, so no look-up needs a check.
    #[inline]
    fn look_up<const N: usize, T>(
        &self,
        codes: &[T],
        top: usize,
        steps: impl Fn(&[T; 3]) -> [usize; 3],
        mut put: impl FnMut([f32; 3], bool),
    ) {
        // Tables are as long as the code range; a shorter one would read as black.
        let table = |c: usize| {
            self.linear.tables[c]
                .first_chunk()
                .unwrap_or(const { &[0.0; N] })
        };
        let [red, green, blue]: [&[f32; N]; 3] = [table(0), table(1), table(2)];
        for pixel in codes.as_chunks::<3>().0 {
            let [r, g, b] = steps(pixel).map(|s| s & (N - 1));
            put([red[r], green[g], blue[b]], r.max(g).max(b) >= top);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn luma_and_chroma_keep_the_fractions_of_red_green_and_blue() {
        for ycc in [
            [91, 131, 126],
            [64, 130, 125],
            [200, 120, 140],
            [128, 128, 128],
            [255, 128, 128],
        ] {
            let [y, cb, cr] = ycc.map(f64::from);
            let exact = [
                y + 1.402 * (cr - 128.0),
                y - 0.344_136 * (cb - 128.0) - 0.714_136 * (cr - 128.0),
                y + 1.772 * (cb - 128.0),
            ];
            for (got, want) in quarter_codes(ycc[0], ycc[1], ycc[2]).iter().zip(exact) {
                // Rounded to the nearest quarter.
                assert!((*got as f64 / 4.0 - want).abs() <= 0.126, "{got} {want}");
            }
        }
    }
}
