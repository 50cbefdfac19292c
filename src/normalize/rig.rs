//! The studio's fixed corner, learnt once from a photo of an unaged mirror.

use std::path::Path;

use serde::{Deserialize, Serialize};

use super::grid::Grid;
use super::light::SmoothLight;
use super::patch::{PatchReading, read_patch};
use super::response::Response;
use super::{ASSUMED_BLUR_PX, Settings, bare, rectify};
use crate::error::{Error, Result};
use crate::frame::photo::{Capture, Photo};
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
    /// Its middle, as shares of the frame; `None` in rigs of older programs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<Point>,
    /// Reflectance of a grey patch where it is its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reflectance: Option<f64>,
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
    /// What the camera noted of the plain frame.
    #[serde(default)]
    pub capture: Capture,
    /// Long side of its frame in the plane of the mirror, mm; `None` in rigs of older programs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame_mm: Option<f64>,
    /// The camera's tones, where they were taught.
    #[serde(default)]
    pub response: Response,
}

impl Rig {
    /// What tells it from every other rig, also of its name: the BLAKE3 digest of all it holds.
    #[must_use]
    pub fn digest(&self) -> String {
        let text = serde_json::to_vec(self).unwrap_or_default();
        blake3::hash(&text).to_hex().to_string()
    }

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
        let light = plain_light(path, photo, placement, settings)?;
        let read: Vec<PatchReading> = placement
            .patches
            .iter()
            .map(|p| read_patch(photo, p, settings.patch_trim))
            .collect();
        let patches = read
            .iter()
            .filter(|p| p.kind != PatchKind::Bare)
            .map(|p| {
                let there = light.at(place(p, photo));
                RigPatch {
                    kind: p.kind,
                    level: p.level,
                    silver_over_patch: [0, 1, 2].map(|c| there[c] / p.level[c].max(1e-6)),
                    place: Some(place(p, photo)),
                    reflectance: p.reflectance,
                }
            })
            .collect();
        let full = |p: &PatchReading| light.at(place(p, photo));
        let bare_ratio = bare::of_patches(&read, full)?.unwrap_or(settings.bare_ratio);
        Ok(Rig {
            name: name.to_owned(),
            frame_aspect: photo.width as f64 / photo.height as f64,
            patches,
            light,
            patch_reflectance: placement.patch_reflectance,
            bare_ratio,
            plain_digest: photo.digest.clone(),
            camera: photo.capture.model.clone(),
            capture: photo.capture.clone(),
            frame_mm: Some(frame_mm(photo, placement)),
            response: Response::default(),
        })
    }

    /// Silver-over-patch ratio of the rig's patches of one kind, averaged, grey ones as if of the rig's usual reflectance;
    /// `None` where it has none.
    #[must_use]
    pub fn silver_over(&self, kind: PatchKind) -> Option<[f64; 3]> {
        let of_kind: Vec<&RigPatch> = self.patches.iter().filter(|p| p.kind == kind).collect();
        let usual = |p: &RigPatch| self.reflectance_of(p) / self.patch_reflectance;
        let mean = |c: usize| {
            of_kind
                .iter()
                .map(|p| p.silver_over_patch[c] * usual(p))
                .sum::<f64>()
                / of_kind.len() as f64
        };
        (!of_kind.is_empty()).then(|| [0, 1, 2].map(mean))
    }

    /// The rig's patch of this kind that is most like one of this reflectance at this place.
    pub(super) fn patch_like(
        &self,
        kind: PatchKind,
        reflectance: f64,
        place: Point,
    ) -> Option<&RigPatch> {
        let unlike = |p: &RigPatch| {
            let far = |at: Point| (at[0] - place[0]).hypot(at[1] - place[1]);
            let other = match kind {
                PatchKind::Grey => (self.reflectance_of(p) / reflectance).ln().abs(),
                PatchKind::Mirror | PatchKind::Bare => 0.0,
            };
            p.place.map_or(1.0, far) + 10.0 * other
        };
        self.patches
            .iter()
            .filter(|p| p.kind == kind)
            .min_by(|a, b| unlike(a).total_cmp(&unlike(b)))
    }

    /// Reflectance of one of its grey patches.
    pub(super) fn reflectance_of(&self, patch: &RigPatch) -> f64 {
        patch.reflectance.unwrap_or(self.patch_reflectance)
    }

    /// The photo has the shape of the plain frame, so its light lies where it lay then.
    #[must_use]
    pub fn frames_like(&self, photo: &Photo) -> bool {
        let aspect = photo.width as f64 / photo.height as f64;
        (aspect / self.frame_aspect - 1.0).abs() < 0.02
    }
}

/// The light of full silver over a plain frame.
pub(super) fn plain_light(
    path: &Path,
    photo: &Photo,
    placement: &Placement,
    settings: &Settings,
) -> Result<SmoothLight> {
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
    Ok(light)
}

/// Where a patch lies, as shares of the frame.
pub(super) fn place(patch: &PatchReading, photo: &Photo) -> Point {
    [
        patch.centre[0] / photo.width as f64,
        patch.centre[1] / photo.height as f64,
    ]
}

/// Long side of the photo's frame in the plane of the panel, mm.
pub(super) fn frame_mm(photo: &Photo, placement: &Placement) -> f64 {
    let mm2_per_px2 = 100.0 * placement.size.area_cm2() / placement.corners.area();
    photo.width.max(photo.height) as f64 * mm2_per_px2.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;
    use crate::frame::quad::Quad;

    /// The rig of a plain mirror in a photo of 300 by 200 pixels, with a grey card in a corner.
    fn rig(light: impl Fn(usize, usize) -> f64) -> Result<Rig> {
        let photo = drawn::photo([300, 200], |x, y| [light(x, y); 3]);
        let mut placement = drawn::placement(Quad::rectangle(50.0, 20.0, 160.0, 160.0));
        let card = Quad::rectangle(240.0, 20.0, 40.0, 40.0);
        placement.patches = vec![drawn::patch(PatchKind::Grey, card)];
        Rig::from_plain(
            "corner",
            Path::new("plain.png"),
            &photo,
            &placement,
            &Settings::default(),
        )
    }

    #[test]
    fn an_even_light_and_a_card_are_learnt_as_they_are() {
        let rig = rig(|x, _| if x >= 235 { 0.1 } else { 0.6 }).unwrap();
        for place in [[0.2, 0.2], [0.5, 0.5], [0.7, 0.8]] {
            assert!(rig.light.at(place).iter().all(|v| (v - 0.6).abs() < 1e-3));
        }
        let card = &rig.patches[0];
        assert_eq!((rig.patches.len(), card.kind), (1, PatchKind::Grey));
        assert!((card.level[1] - 0.1).abs() < 1e-4);
        assert!((card.silver_over_patch[1] - 6.0).abs() < 0.02);
        let [x, y] = card.place.unwrap();
        assert!((x - 260.0 / 300.0).abs() < 1e-9 && (y - 0.2).abs() < 1e-9);
        // 160 px are 100 mm, so 300 are 187.5.
        assert!(
            (rig.frame_mm.unwrap() - 187.5).abs() < 1e-6 && (rig.frame_aspect - 1.5).abs() < 1e-12
        );
        let over = rig.silver_over(PatchKind::Grey).unwrap();
        assert!((over[0] - 6.0).abs() < 0.02 && rig.silver_over(PatchKind::Mirror).is_none());
        assert!((rig.bare_ratio - Settings::default().bare_ratio).abs() < 1e-12);
    }

    #[test]
    fn what_is_odd_in_more_than_a_tenth_is_no_plain_mirror() {
        // Dark rows, so many of every ten.
        let spotted = |of_ten: usize| rig(|_, y| if y / 2 % 10 < of_ten { 0.3 } else { 0.6 });
        assert!(spotted(0).is_ok());
        let Err(Error::NotPlain { odd_percent, .. }) = spotted(3) else {
            panic!("it was taken for plain");
        };
        assert!(odd_percent > 100.0 * MOST_ODD, "{odd_percent}");
    }

    #[test]
    fn a_photo_frames_like_it_within_two_in_a_hundred() {
        let rig = rig(|_, _| 0.6).unwrap();
        let photo = |width, height| drawn::photo([width, height], |_, _| [0.0; 3]);
        for (width, height, like) in [
            (300, 200, true),
            (60, 40, true),
            (305, 200, true),
            (307, 200, false),
            (200, 300, false),
        ] {
            assert_eq!(
                rig.frames_like(&photo(width, height)),
                like,
                "{width} {height}"
            );
        }
    }

    #[test]
    fn the_patch_most_like_another_is_nearest_in_reflectance_and_then_in_place() {
        let mut rig = rig(|_, _| 0.6).unwrap();
        let card = |reflectance, place| RigPatch {
            reflectance,
            place: Some(place),
            ..rig.patches[0]
        };
        rig.patches = vec![
            card(None, [0.1, 0.1]),
            card(None, [0.9, 0.9]),
            card(Some(0.5), [0.5, 0.5]),
        ];
        let like = |reflectance, place| {
            rig.patch_like(PatchKind::Grey, reflectance, place)
                .unwrap()
                .place
                .unwrap()[0]
        };
        assert!((like(0.18, [0.2, 0.1]) - 0.1).abs() < 1e-12);
        assert!((like(0.18, [0.8, 0.9]) - 0.9).abs() < 1e-12);
        assert!((like(0.5, [0.1, 0.1]) - 0.5).abs() < 1e-12);
        assert!(
            rig.patch_like(PatchKind::Mirror, 0.18, [0.5, 0.5])
                .is_none()
        );
    }
}
