//! What is wrong with the light, the camera and what it notes.

use serde::{Deserialize, Serialize};

use super::shot::Shot;
use super::stream::mixed;
use crate::frame::quad::{Homography, Point, Quad};

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

/// A lens that draws the corners of the frame in.
#[derive(Debug, Clone, Copy)]
pub(super) struct Barrel {
    middle: Point,
    /// Relative change of the distance from the middle, for its square.
    per_px2: f64,
}

/// Rounds of fixed-point iteration; each wins a digit or more.
const ROUNDS: usize = 20;

impl Barrel {
    pub(super) fn new(shot: &Shot) -> Self {
        let (width, height) = (shot.width_px as f64, shot.height_px as f64);
        Barrel {
            middle: [width / 2.0, height / 2.0],
            per_px2: 4.0 * shot.fault.barrel / (width * width + height * height),
        }
    }

    fn stretch(&self, [x, y]: Point) -> f64 {
        1.0 + self.per_px2 * ((x - self.middle[0]).powi(2) + (y - self.middle[1]).powi(2))
    }

    /// Where a straight lens would show what this one shows at a point.
    pub(super) fn straightened(&self, at: Point) -> Point {
        let stretch = self.stretch(at);
        [0, 1].map(|a| self.middle[a] + (at[a] - self.middle[a]) * stretch)
    }

    /// Where this lens shows what a straight one would at a point.
    pub(super) fn bent(&self, at: Point) -> Point {
        (0..ROUNDS).fold(at, |guess, _| {
            let stretch = self.stretch(guess);
            [0, 1].map(|a| self.middle[a] + (at[a] - self.middle[a]) / stretch)
        })
    }

    /// Whether it bends at all.
    pub(super) fn bends(&self) -> bool {
        self.per_px2.abs() > 0.0
    }

    /// Farthest any point of a frame moves, pixels.
    pub(super) fn farthest_px(&self) -> f64 {
        let corner = self.middle[0].hypot(self.middle[1]);
        self.per_px2.abs() * corner.powi(3)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bent_point_is_straightened_to_where_it_was() {
        let shot = Shot {
            fault: Fault {
                barrel: 0.08,
                ..Fault::default()
            },
            ..Shot::default()
        };
        let barrel = Barrel::new(&shot);
        for at in [[10.0, 20.0], [2000.0, 1500.0], [3900.0, 200.0]] {
            let back = barrel.straightened(barrel.bent(at));
            assert!((0..2).all(|a| (back[a] - at[a]).abs() < 1e-6), "{back:?}");
        }
        // The corner of the frame is drawn in.
        assert!(barrel.bent([0.0, 0.0])[0] > 50.0);
    }
}
