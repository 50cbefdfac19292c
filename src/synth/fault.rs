//! What is wrong with the light, the camera and what it notes.

use serde::{Deserialize, Serialize};

/// Everything that can be wrong with a shot.
///
/// Default: nothing.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Fault {
    /// What lies on the reference patches.
    pub patches: Vec<OnPatch>,
    /// Relative change of red, green and blue from the left of the frame to its right: two kinds of lamp.
    pub lamps: [f64; 3],
    /// Light lost to deepened shadows, share of full scale: what sends less is black.
    pub black: f64,
    /// Barrel distortion: share by which the corners of the frame are drawn in; below 0 they are drawn out.
    pub barrel: f64,
    /// What the camera notes in the file.
    pub noted: CameraNotes,
}

impl Fault {
    /// Nothing is wrong.
    pub(super) fn is_none(&self) -> bool {
        *self == Fault::default()
    }
}

/// What is wrong with one patch: its light is multiplied.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct OnPatch {
    /// Which of the shot's patches.
    pub patch: usize,
    /// Red, green and blue it sends of what it should.
    pub gain: [f64; 3],
    /// Relative change of its light from left to right.
    pub slope: f64,
    /// Share of its width, from the left, that lies in a sharp shadow.
    pub shadow: f64,
    /// Light left in that shadow.
    pub shadow_light: f64,
    /// Standard deviation of a texture about a fortieth of the patch wide.
    pub texture: f64,
}

impl Default for OnPatch {
    fn default() -> Self {
        OnPatch {
            patch: 0,
            gain: [1.0; 3],
            slope: 0.0,
            shadow: 0.0,
            shadow_light: 1.0,
            texture: 0.0,
        }
    }
}

/// What the camera notes beside what it always does (Exif 2.32).
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct CameraNotes {
    /// The flash fired.
    pub flash: bool,
    /// Digital zoom ratio; 0 is not noted.
    pub zoom: f64,
    /// CustomRendered; 0, a normal process, is not noted.
    pub custom_rendered: u16,
    /// CompositeImage; 0 is not noted.
    pub composite: u16,
    /// The colour space is said to be uncalibrated.
    pub colour_unknown: bool,
    /// The white balance was automatic.
    pub white_balance_auto: bool,
    /// The focal length on 35 mm film is not noted.
    pub focal_unknown: bool,
}
