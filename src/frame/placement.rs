//! Where the panel and the reference patches lie in a photo.

use serde::{Deserialize, Serialize};

use super::lens::Lens;
use super::quad::Quad;
use crate::units::SizeMm;

/// What a reference patch is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PatchKind {
    /// Matt card of known reflectance.
    Grey,
    /// Offcut of plain, unaged mirror: full silver in this very photo.
    Mirror,
    /// Offcut of bare glass painted black behind: what no silver looks like in this very photo.
    Bare,
}

/// A reference patch.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Patch {
    /// What it is made of.
    pub kind: PatchKind,
    /// Its corners in the photo, pixels.
    pub corners: Quad,
    /// Reflectance of a grey patch, 0 to 1; `None` where it is that of all of them.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub reflectance: Option<f64>,
}

/// One step of a card of greys, by which a rig learns the camera's tones.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CardStep {
    /// Its reflectance, 0 to 1.
    pub reflectance: f64,
    /// Its corners in the photo, pixels.
    pub corners: Quad,
}

/// The side of the panel that faced the camera.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The glass side, as it hangs.
    #[default]
    Front,
    /// The coated side; left and right are exchanged before measuring.
    Back,
}

/// How far the work has gone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Still wet.
    Wet,
    /// Dry, the back not yet painted.
    Dry,
    /// The back painted.
    Backed,
}

/// Reflectance of the grey card where none is given: the usual 18 % card (common practice, no source).
pub const GREY_CARD_REFLECTANCE: f64 = 0.18;

/// What found the panel, where nobody said where it lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FoundBy {
    /// The printed corner marks around it.
    Marks,
    /// Its own edges.
    Edges,
}

/// How the panel was found.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Finding {
    /// By what.
    pub by: FoundBy,
    /// How sure it is, 0 to 1; under [`SURE`] the picture is flagged.
    pub confidence: f64,
}

/// Confidence from which a finding is acted on.
pub const SURE: f64 = 0.5;

/// Everything about where things lie in one photo. Built only by the placement stage, which refuses the impossible.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Placement {
    /// The panel's real size.
    pub size: SizeMm,
    /// The panel's corners in the photo, named as it hangs, seen from the front.
    pub corners: Quad,
    /// The reference patches.
    pub patches: Vec<Patch>,
    /// Reflectance of the grey patches, 0 to 1.
    pub patch_reflectance: f64,
    /// The side that faced the camera.
    pub side: Side,
    /// How far the work has gone; `None` where not said.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub stage: Option<Stage>,
    /// How the panel was found; `None` where it was said.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub found: Option<Finding>,
}

/// Where the panel and the patches lie in one photo, whatever the panel's size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sighting {
    /// The panel's corners in the photo, named as it hangs, seen from the front.
    pub corners: Quad,
    /// The reference patches.
    pub patches: Vec<Patch>,
    /// The side that faced the camera.
    pub side: Side,
    /// How the panel was found; `None` where it was said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub found: Option<Finding>,
}

impl From<&Placement> for Sighting {
    fn from(placement: &Placement) -> Self {
        Sighting {
            corners: placement.corners,
            patches: placement.patches.clone(),
            side: placement.side,
            found: placement.found,
        }
    }
}

impl Sighting {
    /// The patches of one kind.
    pub fn patches_of(&self, kind: PatchKind) -> impl Iterator<Item = &Patch> {
        self.patches.iter().filter(move |p| p.kind == kind)
    }
}

impl Placement {
    /// The panel and the patches lie in the frame also of a lens that bends nothing.
    #[must_use]
    pub fn stays_within(&self, lens: &Lens) -> bool {
        let quads = self.patches.iter().map(|patch| &patch.corners);
        let mut corners = quads
            .chain([&self.corners])
            .flat_map(|quad| lens.straight_quad(quad).0);
        corners.all(|p| (0..2).all(|a| (0.0..lens.frame_px[a]).contains(&p[a])))
    }

    /// The same in the photo as the lens took it.
    #[must_use]
    pub fn bent(mut self, lens: &Lens) -> Self {
        self.corners = lens.bent_quad(&self.corners);
        for patch in &mut self.patches {
            patch.corners = lens.bent_quad(&patch.corners);
        }
        self
    }

    /// The patches of one kind.
    pub fn patches_of(&self, kind: PatchKind) -> impl Iterator<Item = &Patch> {
        self.patches.iter().filter(move |p| p.kind == kind)
    }
}
