//! The light of a photo whose lamps, shadows or reference patches are at fault.

use super::fault::{Fault, OnPatch};
use super::shot::Shot;
use super::stream::mixed;
use crate::frame::quad::{Homography, Point, Quad};

/// Cells of texture along a side of a patch.
const TEXTURE: f64 = 40.0;

impl OnPatch {
    /// What is left of each channel at shares of the patch's width and height.
    fn at(&self, [x, y]: Point) -> [f64; 3] {
        let shade = if x < self.shadow {
            self.shadow_light
        } else {
            1.0
        };
        let grain = if self.texture > 0.0 {
            let cell = ((x * TEXTURE) as u64) << 32 | (y * TEXTURE) as u64;
            // Even from −1 to 1 has a deviation of 1/√3.
            3f64.sqrt() * ((mixed(cell) >> 11) as f64 / (1u64 << 52) as f64 - 1.0)
        } else {
            0.0
        };
        let light = shade * (1.0 + self.slope * (x - 0.5)) * (1.0 + self.texture * grain);
        self.gain.map(|g| g * light)
    }
}

/// The faults of a shot laid over its photo: what is left of the light of each pixel.
pub(super) struct Spoilt<'a> {
    fault: &'a Fault,
    width: f64,
    /// The faulty patches: where, and the way to shares of their sides.
    patches: Vec<(&'a OnPatch, Quad, Homography)>,
}

impl<'a> Spoilt<'a> {
    /// `None` where nothing is wrong with the light. `seen` says where each patch lies.
    pub(super) fn new(shot: &'a Shot, seen: impl Fn(usize) -> Quad) -> Option<Self> {
        let fault = &shot.fault;
        let unit = Quad::rectangle(0.0, 0.0, 1.0, 1.0);
        let wrong = !fault.patches.is_empty()
            || fault.lamps.iter().any(|l| l.abs() > 0.0)
            || fault.black > 0.0;
        wrong.then(|| Spoilt {
            fault,
            width: shot.width_px as f64,
            patches: fault
                .patches
                .iter()
                .filter(|on| on.patch < shot.patches.len())
                .filter_map(|on| {
                    let quad = seen(on.patch);
                    Some((on, quad, Homography::between(&quad.0, &unit.0)?))
                })
                .collect(),
        })
    }

    /// The light of a pixel as it comes in, red, green or blue, after what is wrong with the lamps and the patches.
    pub(super) fn gain(&self, at: Point) -> [f32; 3] {
        let across = at[0] / self.width - 0.5;
        let mut gain = self.fault.lamps.map(|l| 1.0 + l * across);
        for (on, quad, to_shares) in &self.patches {
            if quad.contains(at) {
                let left = on.at(to_shares.apply(at));
                (0..3).for_each(|c| gain[c] *= left[c]);
            }
        }
        gain.map(|g| g as f32)
    }

    /// What the camera makes of a channel's light, share of full scale.
    pub(super) fn deepened(&self, light: f32) -> f32 {
        let black = self.fault.black as f32;
        (light - black).max(0.0) / (1.0 - black)
    }
}
