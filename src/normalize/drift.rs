//! Today's light against that of the rig's day, by the patches that both photos show.
//!
//! Exposure alone is no drift: it scales every patch alike. The light has drifted where patches of one kind disagree, where
//! the camera notes the exposure of the rig's day and a patch differs all the same, or where the colour of a patch changed
//! though the camera did not choose its white balance anew. Patches of different reflectance that disagree tell of the
//! camera's tones; far apart they may as well tell of the lamps, and both are said.

use serde::{Deserialize, Serialize};

use super::card::code_step;
use super::patch::PatchReading;
use super::rig::{Rig, RigPatch, place};
use crate::frame::photo::{Capture, Photo};
use crate::frame::placement::{PatchKind, Placement};
use crate::frame::quad::Point;
use crate::ops::transfer::luminance;
use crate::quality::{Flag, FlagSet};

/// More than this share is a drift (common practice: a grey card that differs by 3 % after the exposure was locked).
const DRIFT: f64 = 0.03;

/// Two reflectances may disagree with the tone curve by this share.
const BENT: f64 = 0.05;

/// Patches that disagree by more than this share show no one light.
const MOVED: f64 = 0.08;

/// Patches this share of the frame apart may be lit otherwise.
const APART: f64 = 0.25;

/// Codes that a channel of a flat JPEG patch may be off by rounding of its chroma (half of 1.772, ITU-T T.871).
const CHROMA_CODES: f64 = 0.9;

/// What a patch says of full silver: today's light there over that of the rig's day.
#[derive(Debug, Clone, Copy)]
pub(super) struct Ratio {
    pub(super) place: Point,
    /// Per channel.
    pub(super) ratio: [f64; 3],
    kind: PatchKind,
    reflectance: f64,
    /// How far rounding may move its colour.
    colour_doubt: f64,
}

impl Ratio {
    fn luminance(&self) -> f64 {
        luminance(&self.ratio)
    }

    /// How far the two differ, as a share.
    fn apart(&self, other: &Ratio) -> f64 {
        (self.luminance() / other.luminance()).ln().abs()
    }

    /// How far apart they lie, in shares of the frame.
    fn far(&self, other: &Ratio) -> f64 {
        (self.place[0] - other.place[0]).hypot(self.place[1] - other.place[1])
    }

    fn like(&self, other: &Ratio) -> bool {
        self.kind == other.kind && (self.reflectance / other.reflectance).ln().abs() < 0.01
    }

    /// Largest change of a channel against green.
    fn colour(&self) -> f64 {
        let against_green = |c: usize| (self.ratio[c] / self.ratio[1] - 1.0).abs();
        against_green(0).max(against_green(2))
    }
}

/// What every patch that the rig knows says. Each is compared where it lies, with the patch of that day that is most like
/// it, so a patch that moved a little in the frame does not shift the scale.
pub(super) fn ratios(
    photo: &Photo,
    placement: &Placement,
    patches: &[PatchReading],
    rig: &Rig,
) -> Vec<Ratio> {
    let ratio = |patch: &PatchReading| {
        let place = place(patch, photo);
        let reflectance = patch.reflectance.unwrap_or(placement.patch_reflectance);
        let then = rig.patch_like(patch.kind, reflectance, place)?;
        let card = match patch.kind {
            PatchKind::Grey => rig.reflectance_of(then) / reflectance,
            PatchKind::Mirror => 1.0,
            PatchKind::Bare => return None,
        };
        let light = rig.light.at(place);
        let silver = |c: usize| patch.level[c] * then.silver_over_patch[c] * card;
        let green = |p: &RigPatch| p.level[1];
        Some(Ratio {
            place,
            ratio: [0, 1, 2].map(|c| (silver(c) / light[c]).max(1e-6)),
            kind: patch.kind,
            reflectance,
            colour_doubt: CHROMA_CODES * (code_step(patch.level[1]) + code_step(green(then))),
        })
    };
    patches.iter().filter_map(ratio).collect()
}

/// The ratios that tell of the panel's light: those of mirrors alone where a grey patch disagrees with them, for a mirror shows the
/// board as the panel does, and a card what falls on it.
pub(super) fn telling(ratios: &[Ratio]) -> Vec<Ratio> {
    let is_mirror = |r: &&Ratio| r.kind == PatchKind::Mirror;
    let mirrors = || ratios.iter().filter(is_mirror);
    let disagrees = |grey: &Ratio| {
        let nearest = mirrors().min_by(|a, b| grey.far(a).total_cmp(&grey.far(b)));
        nearest.is_some_and(|mirror| grey.apart(mirror) > DRIFT)
    };
    if ratios
        .iter()
        .any(|r| r.kind == PatchKind::Grey && disagrees(r))
    {
        mirrors().copied().collect()
    } else {
        ratios.to_vec()
    }
}

/// A side of the photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PhotoSide {
    /// At the left.
    Left,
    /// At the right.
    Right,
    /// Above.
    Top,
    /// Below.
    Bottom,
}

impl PhotoSide {
    /// The side towards which a direction in the photo points.
    fn towards([x, y]: Point) -> Self {
        match (x.abs() >= y.abs(), x < 0.0, y < 0.0) {
            (true, true, _) => PhotoSide::Left,
            (true, false, _) => PhotoSide::Right,
            (false, _, true) => PhotoSide::Top,
            (false, _, false) => PhotoSide::Bottom,
        }
    }
}

/// Which lamp is no longer as it was when the rig was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LampMoved {
    /// The board has become darker towards this side.
    DarkerTowards(PhotoSide),
    /// More light falls on the grey card at this side of the photo than the board shows.
    OnCardAt(PhotoSide),
    /// Less light falls on the grey card at this side of the photo than the board shows.
    OffCardAt(PhotoSide),
}

/// What the ratios say of the lamps: mirrors that disagree tell on which side the board is darker, and a card that disagrees with the
/// mirror nearest to it has a lamp of its own, or lost one.
pub(super) fn lamp_moved(ratios: &[Ratio]) -> Option<LampMoved> {
    let of = |kind| ratios.iter().filter(move |r| r.kind == kind);
    let by_light = |a: &&Ratio, b: &&Ratio| a.luminance().total_cmp(&b.luminance());
    let mirrors = || of(PatchKind::Mirror);
    if let Some((dark, bright)) = mirrors().min_by(by_light).zip(mirrors().max_by(by_light))
        && dark.apart(bright) > DRIFT
    {
        let n = mirrors().count() as f64;
        let mean = |of: &dyn Fn(&Ratio) -> f64| mirrors().map(of).sum::<f64>() / n;
        let usual = mean(&|r| r.luminance().ln());
        // Against the way in which the light grows.
        let darker = [0, 1].map(|a| {
            let middle = mean(&|r| r.place[a]);
            -mean(&|r| (r.place[a] - middle) * (r.luminance().ln() - usual))
        });
        return Some(LampMoved::DarkerTowards(PhotoSide::towards(darker)));
    }
    let (card, mirror) = of(PatchKind::Grey)
        .flat_map(|card| mirrors().map(move |mirror| (card, mirror)))
        .filter(|(card, mirror)| card.apart(mirror) > DRIFT)
        .min_by(|(a, b), (c, d)| a.far(b).total_cmp(&c.far(d)))?;
    let side = PhotoSide::towards([0, 1].map(|a| card.place[a] - 0.5));
    Some(if card.luminance() > mirror.luminance() {
        LampMoved::OnCardAt(side)
    } else {
        LampMoved::OffCardAt(side)
    })
}

/// What the ratios say against the light, the white balance and the tones.
pub(super) fn signs(ratios: &[Ratio], today: &Capture, rig: &Rig) -> FlagSet {
    let mut flags = FlagSet::default();
    for (i, one) in ratios.iter().enumerate() {
        for other in &ratios[..i] {
            let (differ, alike) = (one.apart(other), one.like(other));
            flags.raise_if(
                differ > DRIFT && (alike || one.far(other) > APART),
                Flag::LightDrift,
            );
            flags.raise_if(differ > BENT && !alike, Flag::ResponseOff);
            flags.raise_if(differ > MOVED && !alike, Flag::LightMoved);
        }
    }
    let surest = ratios
        .iter()
        .min_by(|a, b| a.colour_doubt.total_cmp(&b.colour_doubt));
    if surest.is_some_and(|r| r.colour() > DRIFT.max(r.colour_doubt)) {
        flags.raise(if today.white_balance_auto == Some(true) {
            Flag::WhiteBalanceWanders
        } else {
            Flag::LightDrift
        });
    }
    let mean = ratios.iter().map(|r| r.luminance().ln()).sum::<f64>() / ratios.len().max(1) as f64;
    let drifted = same_exposure(today, &rig.capture).then_some(mean.abs());
    flags.raise_if(drifted.is_some_and(|by| by > DRIFT), Flag::LightDrift);
    // What falls on a card is not what the mirror shows: a lamp may have been turned from the one to the other.
    let only_grey = ratios.iter().all(|r| r.kind == PatchKind::Grey);
    flags.raise_if(
        only_grey && drifted.is_some_and(|by| by > MOVED),
        Flag::LightMoved,
    );
    flags
}

/// Both note an exposure, and the same one.
fn same_exposure(one: &Capture, other: &Capture) -> bool {
    let noted = |c: &Capture| Some([c.exposure_s?, c.f_number?, f64::from(c.iso?)]);
    let alike = |a: [f64; 3], b: [f64; 3]| (0..3).all(|i| (a[i] / b[i]).ln().abs() < 0.005);
    noted(one)
        .zip(noted(other))
        .is_some_and(|(a, b)| alike(a, b))
}

/// Two grey patches of different reflectance, `full` being full silver's light at each, disagree with the tones assumed.
pub(super) fn greys_disagree(
    patches: &[PatchReading],
    usual: f64,
    full: impl Fn(&PatchReading) -> [f64; 3],
) -> bool {
    let greys: Vec<(f64, f64)> = patches
        .iter()
        .filter(|p| p.kind == PatchKind::Grey)
        .map(|p| {
            let reflectance = p.reflectance.unwrap_or(usual);
            (
                reflectance,
                (p.against(full(p)) / reflectance).max(1e-6).ln(),
            )
        })
        .collect();
    greys.iter().enumerate().any(|(i, (r, white))| {
        let unlike = |(other, found): &(f64, f64)| {
            (r / other).ln().abs() > 0.1 && (white - found).abs() > BENT
        };
        greys[..i].iter().any(unlike)
    })
}

#[cfg(test)]
mod tests;
