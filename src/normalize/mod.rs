//! [`Photo`] + [`Placement`] (+ [`Rig`]) → [`Panel`]: patches read, full silver found, the panel made square-on and
//! evenly lit.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "positions are clamped to the photo before they become indices; light is kept as f32"
)]

mod bare;
mod bend;
mod beside;
mod card;
mod count;
mod drift;
mod edge;
mod full_silver;
mod grid;
mod light;
mod patch;
mod rectify;
mod response;
mod rig;
mod stood;
mod window;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use serde_json::json;

use crate::error::Result;
use crate::frame::panel::{Panel, SilverScale, Step};
use crate::frame::photo::{ColourSource, Photo};
use crate::frame::placement::{Patch, PatchKind, Placement};
use crate::ops::glass;
use crate::quality::{Flag, FlagSet};
use crate::units::SizeMm;
use grid::Grid;

pub use beside::{BySample, KeptSilver, by_sample};
pub use card::{Card, teach};
pub use drift::{LampMoved, PhotoSide};
pub use light::{Light, SmoothLight};
pub use patch::{PatchReading, read_patch};
pub use response::Response;
pub use rig::{Rig, RigPatch};

/// How photos become panels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// Finest grid a panel is resampled to, px/mm. Default: 10, so that the smallest speckle spans 4 pixels.
    pub finest_px_per_mm: f64,
    /// Coarsest grid a panel may be judged at, px/mm. Default: 1, below which a speckle of 4 mm is 4 pixels.
    pub coarsest_px_per_mm: f64,
    /// What a bare spot over black paint shows against full silver, where the rig does not know better.
    /// Default: 0.063, worked out in [`glass`].
    pub bare_ratio: f64,
    /// Share of a patch's pixels put aside at each end before averaging. Default: 0.1.
    pub patch_trim: f64,
    /// Share of the panel that may be at the top of the code range. Default: 0.02, about what noise alone does to
    /// well exposed silver.
    pub most_clipped: f64,
    /// Share of the panel that may read over 1.1 of full silver. Default: 0.1.
    pub most_over_silver: f64,
    /// A photo blurrier than this is flagged, mm. Default: 0.25, the standard sharpness.
    pub sharp_mm: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Settings {
            finest_px_per_mm: 10.0,
            coarsest_px_per_mm: 1.0,
            bare_ratio: glass::usual_ratio(),
            patch_trim: 0.1,
            most_clipped: 0.02,
            most_over_silver: 0.1,
            sharp_mm: 0.25,
        }
    }
}

/// Blur assumed where no edge shows it, photo pixels: an ordinary phone lens in focus (common practice, no source).
const ASSUMED_BLUR_PX: f64 = 0.8;

/// A photo blurrier than this cannot be judged by, mm: 2.5 deviations, the smallest speckle it can be trusted for, are
/// 2 mm. No setting, for it touches no number.
const MOST_BLUR_MM: f64 = 0.8;

/// Long side of the smallest photo that phones take by themselves, pixels: 2 megapixels have 1600, and phones have taken 5 and more
/// since 2010. Messengers send 1280 to 1600.
const LEAST_TAKEN_PX: usize = 2000;

/// Blur at the edges of a panel in focus, pixels: of a photo made smaller about 1, out of focus or shaken several.
const IN_FOCUS_PX: f64 = 2.0;

/// Names, in the step of the size, what the panel looks like by the rig, width and height.
pub const LOOKS_LIKE_MM: &str = "looks_like_mm";

/// Names, in the step of the lamps, which of them is no longer as it was when the rig was made.
pub const LAMP_MOVED: &str = "lamp_moved";

/// Names, in the step of the silver level, the share of light that runs to and fro in the glass and was taken out.
pub const TO_AND_FRO: &str = "to_and_fro";

/// EXIF colour spaces of a file that says it is sRGB, and of one that says it is not (Exif 2.32).
const EXIF_SRGB: u16 = 1;
const EXIF_UNCALIBRATED: u16 = 65_535;

/// A patch with fewer pixels than this is flagged.
const FEW_PATCH_PX: usize = 400;

/// What says how bright full silver is, beside the patches in the photo.
#[derive(Clone, Copy)]
pub enum Reference<'a> {
    /// Nothing else.
    None,
    /// A rig.
    Rig(&'a Rig),
    /// A sample that lies beside the panel.
    Sample(&'a BySample),
}

impl<'a> From<Option<&'a Rig>> for Reference<'a> {
    fn from(rig: Option<&'a Rig>) -> Self {
        rig.map_or(Reference::None, Reference::Rig)
    }
}

/// Makes the panel of a photo.
///
/// # Errors
/// Corners so extreme that no flat panel projects to them; a bare patch that is not bare.
pub fn normalize(
    photo: &Photo,
    placement: &Placement,
    reference: Reference<'_>,
    settings: &Settings,
) -> Result<Panel> {
    let rig = match reference {
        Reference::Rig(rig) => Some(rig),
        Reference::None | Reference::Sample(_) => None,
    };
    let read = |p: &Patch| read_patch(photo, p, settings.patch_trim);
    let (edge_blur, patches) = rayon::join(
        || edge::blur_px(photo, &placement.corners),
        || {
            placement
                .patches
                .par_iter()
                .map(read)
                .collect::<Vec<PatchReading>>()
        },
    );
    let edge_px = edge_blur.unwrap_or(ASSUMED_BLUR_PX);
    let grid = Grid::new(placement, settings.finest_px_per_mm, edge_px)?;
    let blur_mm = grid.blur_mm(edge_px);

    let mut flags = FlagSet::default();
    flags.raise_if(edge_blur.is_none(), Flag::BlurUnknown);
    flags.raise_if(blur_mm > settings.sharp_mm, Flag::Soft);
    let too_soft = blur_mm > MOST_BLUR_MM;
    let too_few = grid.px_per_mm < settings.coarsest_px_per_mm;
    let shrunken = photo.width.max(photo.height) < LEAST_TAKEN_PX
        && edge_px < IN_FOCUS_PX
        && (too_soft || too_few);
    flags.raise_if(shrunken, Flag::Shrunken);
    flags.raise_if(too_soft && !shrunken, Flag::Blurred);
    flags.raise_if(
        photo.linear.source == ColourSource::BrokenProfile,
        Flag::ProfileBroken,
    );
    flags.raise_if(
        photo.linear.source == ColourSource::AssumedSrgb
            && !matches!(
                photo.capture.colour_space,
                Some(EXIF_SRGB | EXIF_UNCALIBRATED)
            ),
        Flag::ColourAssumed,
    );
    flags.raise_if(too_few, Flag::PanelSmall);

    flags.raise_if(
        patches.iter().any(|p| p.clipped > settings.most_clipped),
        Flag::PatchClipped,
    );
    flags.raise_if(
        patches.iter().any(|p| p.pixels < FEW_PATCH_PX),
        Flag::PatchSmall,
    );

    let (stands, looks_like) = stood::signs(photo, placement, &patches, rig);
    flags.raise_all(&stands);
    let silver = full_silver::find(photo, placement, &patches, reference, &grid);
    flags.raise_if(silver.scale == SilverScale::Own, Flag::OwnScale);
    flags.raise_if(silver.framed_unlike_rig, Flag::FramedUnlikeRig);
    let full = |p: &PatchReading| silver.light.at(rig::place(p, photo));
    flags.raise_if(
        drift::greys_disagree(&patches, placement.patch_reflectance, full),
        Flag::ResponseOff,
    );
    if let Some(rig) = rig {
        flags.raise_all(&drift::signs(&silver.ratios, &photo.capture, rig));
    }
    let bare_patch = bare::of_patches(&patches, full)?;
    let bare_ratio = bare_patch.unwrap_or(rig.map_or(settings.bare_ratio, |r| r.bare_ratio));

    let rectified = rectify::rectify(photo, &grid, &silver.light, bare_ratio);
    flags.raise_if(rectified.clipped > settings.most_clipped, Flag::Clipped);
    flags.raise_if(
        rectified.over_silver > settings.most_over_silver,
        Flag::BrighterThanSilver,
    );

    let mut steps = Vec::new();
    if let Some(rig) = rig.filter(|r| r.response.is_taught()) {
        let cameras = [rig.camera.as_ref(), photo.capture.model.as_ref()];
        steps.push(Step::new(
            "response",
            json!({"rig": rig.name, "same_camera": cameras[0] == cameras[1]}),
        ));
    }
    if let Some(SizeMm { width, height }) = looks_like {
        steps.push(Step::new("size", json!({LOOKS_LIKE_MM: [width, height]})));
    }
    if let Some(lamp) = drift::lamp_moved(&silver.ratios) {
        steps.push(Step::new("lamps", json!({LAMP_MOVED: lamp})));
    }
    let references = patches.iter().filter(|p| p.kind != PatchKind::Bare).count();
    steps.extend([
        Step::new(
            "light",
            json!({"scale": silver.scale, "patches": references, "rig": rig.map(|r| &r.name)}),
        ),
        Step::new(
            "silver level",
            match bare_patch {
                Some(_) => {
                    json!({"bare_ratio": bare_ratio, "from": "bare patch", TO_AND_FRO: glass::RETURNED})
                }
                None => json!({"bare_ratio": bare_ratio, TO_AND_FRO: glass::RETURNED}),
            },
        ),
        Step::new(
            "rectify",
            json!({"px_per_mm": grid.px_per_mm, "samples_a_side": grid.samples, "rim_mm": grid.rim_mm}),
        ),
        Step::new("blur", json!({"edge_px": edge_blur, "panel_mm": blur_mm})),
    ]);
    Ok(Panel {
        rim_mm: grid.rim_mm,
        silver: rectified.silver,
        tone: rectified.tone,
        colour: rectified.colour,
        size: placement.size,
        px_per_mm: grid.px_per_mm,
        blur_mm,
        side: placement.side,
        stage: placement.stage,
        silver_scale: silver.scale,
        light_doubt: silver.doubt,
        flags,
        steps,
    })
}
