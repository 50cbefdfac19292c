//! The studio's fixed corner, learnt once from a photo of an unaged mirror.

use std::path::Path;

use serde::{Deserialize, Serialize};

use super::grid::Grid;
use super::light::SmoothLight;
use super::patch::{PatchReading, read_patch};
use super::{ASSUMED_BLUR_PX, Settings, rectify};
use crate::error::{Error, Result};
use crate::frame::photo::Photo;
use crate::frame::placement::{PatchKind, Placement};
use crate::frame::quad::Point;

/// Places sampled along each side of the plain mirror.
const PLACES: usize = 48;

/// A plain frame with more than this share of odd places is no unaged mirror.
const MOST_ODD: f64 = 0.1;

/// What the rig knows of a patch from its plain frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RigPatch {
    /// Grey or mirror.
    pub kind: PatchKind,
    /// Its linear light that day.
    pub level: [f64; 3],
    /// Silver-over-patch ratio: what full silver showed at the patch's place, over the patch.
    pub silver_over_patch: [f64; 3],
}

/// A rig: its smooth light, its patches, and what a bare spot shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rig {
    /// The studio's name for it.
    pub name: String,
    /// Width over height of the plain frame.
    pub frame_aspect: f64,
    /// Light of full silver over the frame on the day of the plain frame.
    pub light: SmoothLight,
    /// The patches of that day.
    pub patches: Vec<RigPatch>,
    /// Reflectance of its grey card.
    pub patch_reflectance: f64,
    /// What a bare spot shows against full silver.
    pub bare_ratio: f64,
    /// Digest of the plain frame's file.
    pub plain_digest: String,
    /// Camera that took it.
    pub camera: Option<String>,
}

impl Rig {
    /// Learns a rig from its plain frame.
    ///
    /// # Errors
    /// The mirror in the photo is not plain, or too small in it.
    pub fn from_plain(
        name: &str,
        path: &Path,
        photo: &Photo,
        placement: &Placement,
        settings: &Settings,
    ) -> Result<Rig> {
        let grid = Grid::new(placement, settings.finest_px_per_mm, ASSUMED_BLUR_PX)?;
        let samples: Vec<(Point, [f64; 3])> = rectify::coarse(photo, &grid, PLACES, PLACES)
            .into_iter()
            .map(|cell| (cell.place, cell.light))
            .collect();
        let too_odd = |odd: f64| Error::NotPlain {
            path: path.to_owned(),
            odd_percent: (odd * 100.0).round(),
        };
        let (light, odd) = SmoothLight::fit(&samples).ok_or_else(|| too_odd(1.0))?;
        if odd > MOST_ODD {
            return Err(too_odd(odd));
        }
        let patches = placement
            .patches
            .iter()
            .map(|p| read_patch(photo, p, settings.patch_trim))
            .map(|p| {
                let there = light.at(place(&p, photo));
                RigPatch {
                    kind: p.kind,
                    level: p.level,
                    silver_over_patch: [0, 1, 2].map(|c| there[c] / p.level[c].max(1e-6)),
                }
            })
            .collect();
        Ok(Rig {
            name: name.to_owned(),
            frame_aspect: photo.width as f64 / photo.height as f64,
            light,
            patches,
            patch_reflectance: placement.patch_reflectance,
            bare_ratio: settings.bare_ratio,
            plain_digest: photo.digest.clone(),
            camera: photo.capture.model.clone(),
        })
    }

    /// Silver-over-patch ratio of the rig's patches of one kind, averaged; `None` where it has none.
    #[must_use]
    pub fn silver_over(&self, kind: PatchKind) -> Option<[f64; 3]> {
        let of_kind: Vec<&RigPatch> = self.patches.iter().filter(|p| p.kind == kind).collect();
        let mean = |c: usize| {
            of_kind.iter().map(|p| p.silver_over_patch[c]).sum::<f64>() / of_kind.len() as f64
        };
        (!of_kind.is_empty()).then(|| [0, 1, 2].map(mean))
    }

    /// The photo has the shape of the plain frame, so its light lies where it lay then.
    #[must_use]
    pub fn frames_like(&self, photo: &Photo) -> bool {
        let aspect = photo.width as f64 / photo.height as f64;
        (aspect / self.frame_aspect - 1.0).abs() < 0.02
    }
}

/// Where a patch lies, as shares of the frame.
pub(super) fn place(patch: &PatchReading, photo: &Photo) -> Point {
    [
        patch.centre[0] / photo.width as f64,
        patch.centre[1] / photo.height as f64,
    ]
}
