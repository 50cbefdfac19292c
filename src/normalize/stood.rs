//! How a photo stands against its rig's plain frame: the rig knows where its card lay and how large a millimetre was.
//!
//! A picture that was turned or mirrored on its way keeps nothing of it in the file, and reads well: its streaks are turned, and its
//! light is that of other places. A size mistyped makes every millimetre wrong.

use super::patch::PatchReading;
use super::rig::{Rig, frame_mm, place};
use crate::frame::photo::Photo;
use crate::frame::placement::{PatchKind, Placement};
use crate::frame::quad::Point;
use crate::quality::{Flag, FlagSet};
use crate::units::SizeMm;

/// Patches this far from where the plain frame had them, in shares of the frame, lie elsewhere; so near, they lie there.
const ELSEWHERE: f64 = 0.12;
const THERE: f64 = 0.06;

/// So many times nearer than as it stands.
const NEARER: f64 = 0.5;

/// A millimetre is this many times as large as in the plain frame, or as small: for a panel of another size the phone may stand
/// nearer or further away, but not so much.
const OTHER_SCALE: f64 = 3.0;

/// Without a rig: no phone focuses so near that it sees less than this across, mm.
const LEAST_FRAME_MM: f64 = 35.0;

/// A step of sizes as people type them, mm.
const ROUND_MM: f64 = 10.0;

type Turn = fn(Point) -> Point;

/// What can have happened to a picture of the plain frame's shape, and of that shape laid on its side.
const UPRIGHT: [(Flag, Turn); 3] = [
    (Flag::UpsideDown, |[x, y]| [1.0 - x, 1.0 - y]),
    (Flag::Mirrored, |[x, y]| [1.0 - x, y]),
    (Flag::Mirrored, |[x, y]| [x, 1.0 - y]),
];
const ASIDE: [(Flag, Turn); 2] = [
    (Flag::OnItsSide, |[x, y]| [y, 1.0 - x]),
    (Flag::OnItsSide, |[x, y]| [1.0 - y, x]),
];

/// How the photo stands, and the size the panel looks like where that is not the one that was said.
pub(super) fn signs(
    photo: &Photo,
    placement: &Placement,
    patches: &[PatchReading],
    rig: Option<&Rig>,
) -> (FlagSet, Option<SizeMm>) {
    let mut flags = FlagSet::default();
    if let Some(turned) = rig.and_then(|rig| turned(photo, patches, rig)) {
        flags.raise(turned);
    }
    let frame_mm = frame_mm(photo, placement);
    let times = match rig
        .filter(|r| r.frames_like(photo))
        .and_then(|r| r.frame_mm)
    {
        Some(then) => then / frame_mm,
        None if frame_mm < LEAST_FRAME_MM => {
            flags.raise(Flag::SizeUnlikely);
            return (flags, None);
        }
        None => 1.0,
    };
    if (1.0 / OTHER_SCALE..=OTHER_SCALE).contains(&times) {
        return (flags, None);
    }
    flags.raise(Flag::SizeUnlikely);
    let like = |mm: f64| ((times * mm / ROUND_MM).round() * ROUND_MM).max(ROUND_MM);
    let SizeMm { width, height } = placement.size;
    let looks_like = SizeMm {
        width: like(width),
        height: like(height),
    };
    (flags, Some(looks_like))
}

/// What must have happened for the patches to lie where they lie.
fn turned(photo: &Photo, patches: &[PatchReading], rig: &Rig) -> Option<Flag> {
    let now: Vec<(PatchKind, Point)> = (patches.iter())
        .filter(|p| p.kind != PatchKind::Bare)
        .map(|p| (p.kind, place(p, photo)))
        .collect();
    let then = |kind: PatchKind| {
        (rig.patches.iter())
            .filter(move |p| p.kind == kind)
            .filter_map(|p| p.place)
    };
    let off = |turn: Turn| {
        let each = now.iter().filter_map(|(kind, place)| {
            let [x, y] = turn(*place);
            then(*kind)
                .map(|[u, v]| (u - x).hypot(v - y))
                .reduce(f64::min)
        });
        let each: Vec<f64> = each.collect();
        (!each.is_empty()).then(|| each.iter().sum::<f64>() / each.len() as f64)
    };
    let as_it_stands = if rig.frames_like(photo) {
        off(|place| place)?
    } else {
        f64::INFINITY
    };
    let turns: &[(Flag, Turn)] = if rig.frames_like(photo) {
        &UPRIGHT
    } else {
        &ASIDE
    };
    let best = turns
        .iter()
        .filter_map(|(flag, turn)| Some((*flag, off(*turn)?)))
        .reduce(|a, b| if b.1 < a.1 { b } else { a })?;
    let holds = as_it_stands > ELSEWHERE && best.1 < THERE.min(NEARER * as_it_stands);
    holds.then_some(best.0)
}
