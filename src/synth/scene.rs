//! Where things fall in the photo, and how much light they send.

use super::barrel::Barrel;
use super::beside::{Beside, WHITE_OVER_SILVER};
use super::shot::{PatchAt, Shot};
use crate::frame::placement::{GREY_CARD_REFLECTANCE, Patch, PatchKind, Placement, Side};
use crate::frame::quad::{Homography, Point, Quad};
use crate::units::SizeMm;

/// Focal length of the lens, mm on a frame 36 mm wide: a phone's 26 mm at twice.
const FOCAL_MM: f64 = 52.0;
const FRAME_MM: f64 = 36.0;

/// Linear reading of full silver in the middle of the frame at 0 EV, share of full scale.
pub const FULL_SILVER: f64 = 0.72;

/// Share of a patch's image, side by side, that its rectangle in the placement covers at most.
const PATCH_SHARE: f64 = 0.7;

/// Share of a card or offcut, side by side, that serves as a patch.
const THING_SHARE: f64 = 0.75;

/// The shot laid out.
pub(super) struct Scene {
    /// From mm right of and below the panel's centre as the camera sees it to pixels of the photo.
    pub(super) to_photo: Homography,
    /// And back.
    to_mm: Homography,
    size: SizeMm,
    /// The lens, where it bends.
    pub(super) barrel: Option<Barrel>,
    /// The camera: right of and below the panel's centre, and before it, mm.
    pub(super) camera_mm: [f64; 3],
}

impl Scene {
    /// `None` where the shot looks at the panel edge on.
    pub(super) fn new(shot: &Shot, size: SizeMm) -> Option<Self> {
        let (width, height) = (shot.width_px as f64, shot.height_px as f64);
        let focal = FOCAL_MM / FRAME_MM * width.max(height);
        let (sin, cos) = shot.turn_deg.to_radians().sin_cos();
        let spans = [
            size.width * cos.abs() + size.height * sin.abs(),
            size.width * sin.abs() + size.height * cos.abs(),
        ];
        let distance = focal * (spans[0] / width).max(spans[1] / height) / shot.fill;
        let (sin_x, cos_x) = shot.tilt_x_deg.to_radians().sin_cos();
        let (sin_y, cos_y) = shot.tilt_y_deg.to_radians().sin_cos();
        // Where one mm right and one mm down on the panel go: turned in its plane, then about the horizontal axis (up
        // goes away), then about the vertical one (right goes away).
        let place = |x: f64, y: f64| {
            let (x, y) = (x * cos + y * sin, y * cos - x * sin);
            let (y, z) = (y * cos_x, -y * sin_x);
            [x * cos_y - z * sin_y, y, x * sin_y + z * cos_y]
        };
        let (right, down) = (place(1.0, 0.0), place(0.0, 1.0));
        let middle = [
            (0.5 + shot.offset[0]) * width,
            (0.5 + shot.offset[1]) * height,
        ];
        let row = |axis: usize| {
            [right, down, [0.0, 0.0, distance]]
                .map(|v| (focal * v[axis] + middle[axis] * v[2]) / distance)
        };
        let depth = [right[2], down[2], distance].map(|v| v / distance);
        let to_photo = Homography([row(0), row(1), depth]);
        Some(Scene {
            to_mm: to_photo.inverse()?,
            to_photo,
            size,
            barrel: Some(Barrel::new(shot)).filter(Barrel::bends),
            camera_mm: [
                -distance * right[2],
                -distance * down[2],
                distance * (1.0 - right[2].powi(2) - down[2].powi(2)).sqrt(),
            ],
        })
    }

    /// The point of the plane of the panel that a pixel shows, mm, and how far one goes there for a pixel right and
    /// for a pixel down.
    pub(super) fn seen_at(&self, at: Point) -> (Point, [Point; 2]) {
        let [x, y] = self.barrel.map_or(at, |lens| lens.straightened(at));
        let m = &self.to_mm.0;
        let [u, v, w] = m.map(|row| row[0] * x + row[1] * y + row[2]);
        let per = 1.0 / w;
        let mm = [u * per, v * per];
        let step = |c: usize| [0, 1].map(|axis| (m[axis][c] - mm[axis] * m[2][c]) * per);
        (mm, [step(0), step(1)])
    }

    fn quad(&self, centre: Point, width: f64, height: f64) -> Quad {
        let (x, y) = (centre[0] - width / 2.0, centre[1] - height / 2.0);
        Quad(
            Quad::rectangle(x, y, width, height)
                .0
                .map(|p| self.shown(p)),
        )
    }

    /// Where a point of the plane of the panel, mm, falls in the photo.
    fn shown(&self, mm: Point) -> Point {
        let at = self.to_photo.apply(mm);
        self.barrel.map_or(at, |lens| lens.bent(at))
    }

    /// The panel in the photo, corner by corner as the camera sees it.
    pub(super) fn panel_seen(&self) -> Quad {
        self.quad([0.0, 0.0], self.size.width, self.size.height)
    }

    /// The patch in the photo, corner by corner as the camera sees it.
    pub(super) fn patch_seen(&self, patch: &PatchAt) -> Quad {
        self.quad(patch.centre_mm, patch.size_mm, patch.size_mm)
    }

    /// The thing in the photo.
    pub(super) fn thing_seen(&self, thing: &Beside) -> Quad {
        Quad(thing.corners(1.0).map(|p| self.to_photo.apply(p)))
    }

    /// The thing as a patch, its edge and border left out.
    fn thing_as_patch(&self, thing: &Beside) -> Option<Patch> {
        Some(Patch {
            kind: thing.what.patch()?,
            corners: Quad(thing.corners(THING_SHARE).map(|p| self.to_photo.apply(p))),
            reflectance: None,
        })
    }

    /// Where everything truly lies.
    pub(super) fn placement(&self, shot: &Shot) -> Placement {
        let [a, b, c, d] = self.panel_seen().0;
        Placement {
            size: self.size,
            corners: match shot.side {
                Side::Front => Quad([a, b, c, d]),
                // Seen from behind, what hangs at the left lies at the right.
                Side::Back => Quad([b, a, d, c]),
            },
            patches: shot
                .patches
                .iter()
                .map(|patch| Patch {
                    kind: patch.kind,
                    corners: self.safely_inside(patch),
                    reflectance: patch.reflectance,
                })
                .chain(shot.beside.iter().filter_map(|t| self.thing_as_patch(t)))
                .collect(),
            patch_reflectance: GREY_CARD_REFLECTANCE,
            side: shot.side,
            stage: None,
            found: None,
        }
    }

    /// An upright rectangle well inside the image of the patch.
    fn safely_inside(&self, patch: &PatchAt) -> Quad {
        let inner = self.quad(patch.centre_mm, patch.size_mm * 0.85, patch.size_mm * 0.85);
        let [x, y] = self.shown(patch.centre_mm);
        let full = self.patch_seen(patch).area().sqrt();
        let mut side = full * PATCH_SHARE;
        loop {
            let square = Quad::rectangle(x - side / 2.0, y - side / 2.0, side, side);
            if square.0.iter().all(|p| inner.contains(*p)) || side < 1.0 {
                return square;
            }
            side *= 0.95;
        }
    }
}

/// The light on the scene, relative to the middle of the frame: linear across it, and less in the corners.
pub(super) struct Light {
    middle: Point,
    rise: [f64; 2],
    fall: f64,
}

impl Light {
    pub(super) fn new(shot: &Shot) -> Self {
        let (width, height) = (shot.width_px as f64, shot.height_px as f64);
        let (sin, cos) = shot.slope_direction_deg.to_radians().sin_cos();
        let across = cos.abs() * width + sin.abs() * height;
        Light {
            middle: [width / 2.0, height / 2.0],
            rise: [cos, -sin].map(|v| shot.slope * v / across),
            fall: 4.0 * shot.vignette / (width * width + height * height),
        }
    }

    /// At a point of the photo.
    pub(super) fn at(&self, x: f64, y: f64) -> f64 {
        let (dx, dy) = (x - self.middle[0], y - self.middle[1]);
        (1.0 + self.rise[0] * dx + self.rise[1] * dy) * (1.0 - self.fall * (dx * dx + dy * dy))
    }
}

/// What a patch sends against full silver in the same light.
pub(super) fn patch_level(patch: &PatchAt, bare_ratio: f64) -> f64 {
    match patch.kind {
        PatchKind::Grey => patch.reflectance.unwrap_or(GREY_CARD_REFLECTANCE) * WHITE_OVER_SILVER,
        PatchKind::Mirror => 1.0,
        PatchKind::Bare => bare_ratio,
    }
}
