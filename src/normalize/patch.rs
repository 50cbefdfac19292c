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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;
    use crate::frame::quad::Quad;

    fn read(light: impl Fn(usize, usize) -> [f64; 3]) -> PatchReading {
        let photo = drawn::photo([60, 60], light);
        let corners = Quad::rectangle(10.0, 20.0, 40.0, 20.0);
        read_patch(&photo, &drawn::patch(PatchKind::Grey, corners), 0.1)
    }

    fn near(found: &PatchReading, wanted: [f64; 3]) -> bool {
        found
            .level
            .iter()
            .zip(wanted)
            .all(|(v, w)| (v - w).abs() < 1e-4)
    }

    #[test]
    fn an_even_patch_has_its_own_light() {
        for level in [0.0, 0.18, 0.9] {
            let found = read(|_, _| [level, level / 2.0, level / 3.0]);
            assert!(near(&found, [level, level / 2.0, level / 3.0]), "{found:?}");
            // 0.85 of 40 by 20 pixels, whose middles lie inside: 34 by 17, or 18 rows where both ends lie on a middle.
            assert!(
                (34 * 17..=35 * 18).contains(&found.pixels),
                "{}",
                found.pixels
            );
            assert!((found.centre[0] - 30.0).abs() < 1e-9 && (found.centre[1] - 30.0).abs() < 1e-9);
            assert!(found.clipped.abs() < 1e-12);
        }
        // One channel at the top is enough.
        assert!((read(|_, _| [0.2, 1.0, 0.2]).clipped - 1.0).abs() < 1e-12);
    }

    #[test]
    fn what_lies_beside_it_and_a_tenth_of_dirt_do_not_count() {
        let inside = |x: usize, y: usize| (12..48).contains(&x) && (21..39).contains(&y);
        let found = read(|x, y| [if inside(x, y) { 0.4 } else { 1.0 }; 3]);
        assert!(
            near(&found, [0.4; 3]) && found.clipped.abs() < 1e-12,
            "{found:?}"
        );
        // Three columns of some 34 are dirty.
        let found = read(|x, _| [if (20..23).contains(&x) { 0.0 } else { 0.4 }; 3]);
        assert!(near(&found, [0.4; 3]), "{found:?}");
    }

    #[test]
    fn a_patch_outside_the_photo_is_read_of_no_pixel() {
        let photo = drawn::photo([20, 20], |_, _| [0.5; 3]);
        let corners = Quad::rectangle(30.0, 30.0, 10.0, 10.0);
        let found = read_patch(&photo, &drawn::patch(PatchKind::Mirror, corners), 0.1);
        assert_eq!(found.pixels, 0);
        assert!(near(&found, [0.0; 3]) && found.clipped.abs() < 1e-12);
    }
}
