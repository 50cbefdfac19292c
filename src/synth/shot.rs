//! How a panel is photographed.

use serde::{Deserialize, Serialize};

use super::beside::Beside;
use super::fault::Fault;
use super::glass::{Drops, Dust};
use super::response::Response;
use super::seen::{BoardEnd, Reflection};
use super::table::Table;
use crate::frame::placement::{PatchKind, Side};
use crate::units::SizeMm;

/// A photograph to take: camera, light and what lies beside the panel.
///
/// Default: 12 megapixels, square on, even light, a sharp and quiet phone, nothing beside the panel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Shot {
    /// Pixels across.
    pub width_px: usize,
    /// Pixels down.
    pub height_px: usize,
    /// Share of the frame's width or height, whichever it fills first, that the panel spans when not tilted.
    pub fill: f64,
    /// Tilt about the horizontal axis, degrees; above 0 the panel's upper edge is farther away. Up to ±35.
    pub tilt_x_deg: f64,
    /// Tilt about the vertical axis, degrees; above 0 the edge at the right of the photo is farther away. Up to ±35.
    pub tilt_y_deg: f64,
    /// Turn in the plane of the photo, degrees anticlockwise.
    pub turn_deg: f64,
    /// How far the panel's centre lies right of and below the middle of the frame, shares of its width and height.
    pub offset: [f64; 2],
    /// Relative change of the light across the frame: 0.2 is from −10 % at one side to +10 % at the other.
    pub slope: f64,
    /// The way the light grows, degrees anticlockwise from the photo's right.
    pub slope_direction_deg: f64,
    /// Light lost in the corners of the frame, growing with the square of the distance from its middle; 0 to 1.
    pub vignette: f64,
    /// Exposure, EV. At 0 full silver reads 0.72 of full scale in the middle of the frame; +0.3 EV with a slope of
    /// 0.2 stays under 0.98.
    pub exposure_ev: f64,
    /// Gain of red, green and blue: (1, 1, 1) is right, (1.15, 1, 0.8) a warm lamp, (0.9, 1, 1.15) a blue one.
    pub white_balance: [f64; 3],
    /// Standard deviation of the lens blur, pixels; the pixel's own square comes on top of it (0.29 px).
    pub blur_px: f64,
    /// Standard deviation of the read noise, shares of full scale in linear light.
    pub read_noise: f64,
    /// Photo-electrons at full scale, which set the shot noise; 0 for none.
    pub full_well: f64,
    /// Seed of the noise: another one is another photo of the same thing.
    pub seed: u64,
    /// Quality of the JPEG file, 1 to 100.
    pub jpeg_quality: u8,
    /// The side that faces the camera. A back view shows the panel mirrored left to right.
    pub side: Side,
    /// Reference patches, in the plane of the panel.
    pub patches: Vec<PatchAt>,
    /// Light from the surround, share of full silver: 0.02 to 0.05 for matt black, up to 0.35 for a mid-grey table.
    pub surround: f64,
    /// What a bare spot shows against full silver.
    pub bare_ratio: f64,
    /// What of the room the panel sees.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub reflections: Vec<Reflection>,
    /// Where the board ends within the panel's reflection.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub board_end: Option<BoardEnd>,
    /// Dust on the front glass; a panel seen from the front has it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dust: Option<Dust>,
    /// Drops of water on the panel.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drops: Option<Drops>,
    /// What the panel lies on.
    #[serde(skip_serializing_if = "is_cloth")]
    pub table: Table,
    /// What else lies about; the later over the earlier, and all under the panel.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub beside: Vec<Beside>,
    /// The panel is left out, and only what lies beside it is seen.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub without_panel: bool,
    /// How the camera makes codes of light.
    #[serde(skip_serializing_if = "Response::is_srgb")]
    pub response: Response,
    /// What is wrong with the light and the camera.
    #[serde(skip_serializing_if = "Fault::is_none")]
    pub fault: Fault,
}

fn is_cloth(table: &Table) -> bool {
    *table == Table::Cloth
}

/// A square reference patch and where it lies.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PatchAt {
    /// What it is made of.
    pub kind: PatchKind,
    /// Its centre right of and below the panel's centre as the camera sees it (untilted, unturned), mm.
    pub centre_mm: [f64; 2],
    /// Its side, mm.
    pub size_mm: f64,
    /// Reflectance of a grey patch; `None` for the usual card.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub reflectance: Option<f64>,
}

impl Default for Shot {
    fn default() -> Self {
        Shot {
            width_px: 4000,
            height_px: 3000,
            fill: 0.78,
            tilt_x_deg: 0.0,
            tilt_y_deg: 0.0,
            turn_deg: 0.0,
            offset: [0.0; 2],
            slope: 0.0,
            slope_direction_deg: 0.0,
            vignette: 0.0,
            exposure_ev: 0.0,
            white_balance: [1.0; 3],
            blur_px: 0.8,
            read_noise: 0.0015,
            full_well: 12_000.0,
            seed: 0,
            jpeg_quality: 92,
            side: Side::Front,
            patches: Vec::new(),
            surround: 0.03,
            bare_ratio: 0.063,
            reflections: Vec::new(),
            board_end: None,
            dust: None,
            drops: None,
            table: Table::Cloth,
            beside: Vec::new(),
            without_panel: false,
            response: Response::Srgb,
            fault: Fault::default(),
        }
    }
}

impl Shot {
    /// A careful photo in a studio's corner: nearly square on, a little uneven light, a grey card at the right.
    #[must_use]
    pub fn bench(size: SizeMm) -> Self {
        Shot {
            tilt_x_deg: 1.5,
            tilt_y_deg: -1.0,
            turn_deg: 0.6,
            slope: 0.08,
            slope_direction_deg: 25.0,
            vignette: 0.02,
            ..Shot::default()
        }
        .with_patch(PatchKind::Grey, size, [1.0, 0.0])
    }

    /// The same with so many pixels.
    #[must_use]
    pub fn sized(self, width_px: usize, height_px: usize) -> Self {
        Shot {
            width_px,
            height_px,
            ..self
        }
    }

    /// The same with one more patch beside the panel: `towards` is (1, 0) for the middle of the right side, (−1, −1)
    /// for the left side near the top, and so on.
    #[must_use]
    pub fn with_patch(mut self, kind: PatchKind, size: SizeMm, towards: [f64; 2]) -> Self {
        let size_mm = (size.short_side() / 7.0).clamp(6.0, 60.0);
        let (half_width, half_height) = (size.width / 2.0, size.height / 2.0);
        self.patches.push(PatchAt {
            kind,
            centre_mm: [
                towards[0] * (half_width + 0.8 * size_mm),
                towards[1] * (half_height - 0.6 * size_mm),
            ],
            size_mm,
            reflectance: None,
        });
        self
    }

    /// The same with up to four mirror patches, left and right of the panel near its corners.
    #[must_use]
    pub fn with_mirror_patches(self, size: SizeMm, count: usize) -> Self {
        const NEAR_CORNERS: [[f64; 2]; 4] = [[1.0, -1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, 1.0]];
        NEAR_CORNERS.iter().take(count).fold(self, |shot, towards| {
            shot.with_patch(PatchKind::Mirror, size, *towards)
        })
    }

    /// The same with a card of greys: a row of squares from `first_mm` (right of and below the panel's centre) on, each
    /// `size_mm` wide, in the direction of `step_mm`.
    #[must_use]
    pub fn with_card(
        mut self,
        reflectances: &[f64],
        first_mm: [f64; 2],
        step_mm: [f64; 2],
        size_mm: f64,
    ) -> Self {
        self.patches.extend(
            reflectances
                .iter()
                .zip(0..)
                .map(|(reflectance, i)| PatchAt {
                    kind: PatchKind::Grey,
                    centre_mm: [0, 1].map(|a| first_mm[a] + f64::from(i) * step_mm[a]),
                    size_mm,
                    reflectance: Some(*reflectance),
                }),
        );
        self
    }
}
