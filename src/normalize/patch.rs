//! How bright a reference patch is.

use crate::frame::photo::Photo;
use crate::frame::placement::{Patch, PatchKind};
use crate::frame::quad::Point;
use crate::ops::transfer::LUMINANCE;
use crate::stats::order::trimmed_mean;

/// Share of a patch's half-width that is read: its edges may be mixed with what lies beside it.
const INNER: f64 = 0.85;

/// Enough pixels to fix a level to a ten-thousandth; more are skipped over evenly.
const ENOUGH_PX: f64 = 40_000.0;

/// What a patch says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PatchReading {
    /// What it is made of.
    pub kind: PatchKind,
    /// Reflectance of a grey patch where it is its own.
    pub reflectance: Option<f64>,
    /// Linear light of each channel, 0 to 1: the trimmed mean over its pixels. A median of 8-bit codes could only be a
    /// code, up to 0.8 % off on a dim card.
    pub level: [f64; 3],
    /// Its middle in the photo.
    pub centre: Point,
    /// Pixels read.
    pub pixels: usize,
    /// Share of them with a channel at the top of the code range.
    pub clipped: f64,
}

impl PatchReading {
    /// Luminance of the ratios of its channels to some `full` light.
    pub(super) fn against(&self, full: [f64; 3]) -> f64 {
        let ratio = |c: usize| LUMINANCE[c] * self.level[c] / full[c].max(1e-6);
        (0..3).map(ratio).sum()
    }
}

/// Reads a patch, putting aside a share `trim` of its pixels at each end.
#[must_use]
pub fn read_patch(photo: &Photo, patch: &Patch, trim: f64) -> PatchReading {
    let centre = patch.corners.centre();
    let inner = patch.corners.scaled(INNER);
    let span = |axis: usize, end: usize| {
        let [low, high] = inner.span(axis);
        low.max(0.0) as usize..(high.max(0.0) as usize + 1).min(end)
    };
    let stride = (inner.area() / ENOUGH_PX).sqrt().max(1.0) as usize;
    let mut channels: [Vec<f32>; 3] = Default::default();
    let mut clipped = 0_usize;
    for row in span(1, photo.height).step_by(stride) {
        for col in span(0, photo.width).step_by(stride) {
            if inner.contains([col as f64 + 0.5, row as f64 + 0.5]) {
                let light = photo.light(row, col);
                channels.iter_mut().zip(light).for_each(|(c, v)| c.push(v));
                clipped += usize::from(light[3] > 0.0);
            }
        }
    }
    let pixels = channels[0].len();
    PatchReading {
        kind: patch.kind,
        reflectance: patch.reflectance,
        level: channels.map(|mut c| trimmed_mean(&mut c, trim).unwrap_or(0.0)),
        centre,
        pixels: pixels * stride * stride,
        clipped: clipped as f64 / pixels.max(1) as f64,
    }
}
