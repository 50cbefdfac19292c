//! The panel is turned away from the camera by more than 20°.
//!
//! A person sees a rectangle with one side shorter than the other. The corners and the panel's real proportions give the
//! turn of its plane, for a pinhole whose axis meets the middle of the frame (Hartley & Zisserman, Multiple View Geometry,
//! 2nd ed., section 8.4: seen by a camera of the right focal length, two sides of a rectangle are at right angles and as
//! long as they are). The focal length is the one that makes them so best, near the one the camera noted or, where it
//! noted none, of those phones have. Up to 20° the front glass reflects as square on (4.3 % against 4.26 %). Fooled by: a
//! wrong size; a photo cut out of a larger one, off its middle.

use crate::frame::photo::Photo;
use crate::frame::placement::Placement;
use crate::frame::quad::{Homography, Quad};

/// Most the panel may be turned away, degrees, and what is left open: glass hides a part of one side, by which 20° look like
/// 21.8 where 4 mm of glass lie over a panel of 150 mm.
const MOST_DEG: f64 = 20.0 + 2.0;

/// Focal lengths of phones and plain cameras, mm on 35 mm film.
const FOCAL_MM: [f64; 2] = [20.0, 120.0];

/// How far the one noted may be off, as a factor: lenses breathe and pictures are cut.
const NOTED_OFF: f64 = 1.25;

/// Diagonal of a frame of 35 mm film, 24 × 36 mm.
const DIAGONAL_MM: f64 = 43.267;

/// Focal lengths tried.
const TRIED: u32 = 64;

pub(super) fn tilted(photo: &Photo, placement: &Placement) -> bool {
    let frame = [photo.width as f64, photo.height as f64];
    tilt_deg(placement, frame, photo.capture.focal_length_35mm).is_some_and(|t| t > MOST_DEG)
}

/// Angle between the camera's axis and the panel's, degrees.
fn tilt_deg(placement: &Placement, frame: [f64; 2], noted_mm: Option<f64>) -> Option<f64> {
    let (width, height) = (placement.size.width, placement.size.height);
    let real = Quad::rectangle(-width / 2.0, -height / 2.0, width, height);
    let seen = placement
        .corners
        .0
        .map(|c| [0, 1].map(|a| c[a] - frame[a] / 2.0));
    let m = Homography::between(&real.0, &seen)?.0;
    let px_per_mm = frame[0].hypot(frame[1]) / DIAGONAL_MM;
    let [least, most] = noted_mm.map_or(FOCAL_MM, |mm| [mm / NOTED_OFF, mm * NOTED_OFF]);
    (0..=TRIED)
        .map(|i| least * (most / least).powf(f64::from(i) / f64::from(TRIED)) * px_per_mm)
        .map(|focal| {
            // One mm right and one mm down on the panel, in space, both on one unknown scale.
            let [right, down] = [0, 1].map(|c| [m[0][c] / focal, m[1][c] / focal, m[2][c]]);
            let (long, tall) = (length(right), length(down));
            let skew = (0..3).map(|a| right[a] * down[a]).sum::<f64>() / (long * tall);
            let across = [0, 1, 2].map(|a| {
                let (b, c) = ((a + 1) % 3, (a + 2) % 3);
                right[b] * down[c] - right[c] * down[b]
            });
            let cos = (across[2] / length(across)).abs().min(1.0);
            (skew.hypot((long / tall).ln()), cos.acos().to_degrees())
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, degrees)| degrees)
}

fn length(v: [f64; 3]) -> f64 {
    v.iter().map(|v| v * v).sum::<f64>().sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    /// A panel of 100 by 60 mm turned about its upright or its level axis, half a metre before a pinhole of 28 mm.
    fn turned(degrees: f64, upright: bool) -> (Photo, Placement) {
        let photo = drawn::photo([400, 300], |_, _| [0.5; 3]);
        let focal = 28.0 * 500.0 / DIAGONAL_MM;
        let (sin, cos) = degrees.to_radians().sin_cos();
        let corner = |x: f64, y: f64| {
            let (x, y, away) = if upright {
                (x * cos, y, 500.0 + x * sin)
            } else {
                (x, y * cos, 500.0 + y * sin)
            };
            [200.0 + focal * x / away, 150.0 + focal * y / away]
        };
        let mut placement = drawn::placement(Quad([
            corner(-50.0, -30.0),
            corner(50.0, -30.0),
            corner(50.0, 30.0),
            corner(-50.0, 30.0),
        ]));
        placement.size.height = 60.0;
        (photo, placement)
    }

    #[test]
    fn the_turn_is_told_from_the_corners() {
        for upright in [true, false] {
            for degrees in [0.0, 5.0, 21.0, 23.0, 40.0] {
                let (mut photo, placement) = turned(degrees, upright);
                photo.capture.focal_length_35mm = Some(28.0);
                let found = tilt_deg(&placement, [400.0, 300.0], Some(28.0)).unwrap();
                assert!((found - degrees).abs() < 0.7, "{degrees} {found}");
                assert_eq!(tilted(&photo, &placement), degrees > 22.0);
            }
        }
    }

    #[test]
    fn without_a_noted_lens_a_phone_of_any_is_tried_and_impossible_corners_tell_nothing() {
        let (photo, placement) = turned(0.0, true);
        assert!(!tilted(&photo, &placement));
        let (photo, placement) = turned(40.0, true);
        assert!(tilted(&photo, &placement));
        let flat = drawn::placement(Quad([[0.0, 0.0], [9.0, 0.0], [18.0, 0.0], [27.0, 0.0]]));
        assert!(!tilted(&photo, &flat));
        assert!((length([3.0, 4.0, 12.0]) - 13.0).abs() < 1e-12);
    }
}
