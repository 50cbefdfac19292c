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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;
    use crate::frame::quad::Quad;
    use crate::normalize::Settings;
    use crate::normalize::patch::read_patch;
    use std::path::Path;

    /// A photo of a panel of 80 px and a card at a place, pixels.
    fn seen([width, height]: [usize; 2], card: Point) -> (Photo, Placement, Vec<PatchReading>) {
        let photo = drawn::photo([width, height], |_, _| [0.6; 3]);
        let middle = [width, height].map(|px| px as f64 / 2.0 - 40.0);
        let mut placement = drawn::placement(Quad::rectangle(middle[0], middle[1], 80.0, 80.0));
        let corners = Quad::rectangle(card[0] - 10.0, card[1] - 10.0, 20.0, 20.0);
        placement.patches = vec![drawn::patch(PatchKind::Grey, corners)];
        let read = vec![read_patch(&photo, &placement.patches[0], 0.1)];
        (photo, placement, read)
    }

    fn rig() -> Rig {
        let (photo, placement, _) = seen([300, 200], [30.0, 40.0]);
        Rig::from_plain(
            "corner",
            Path::new("plain.png"),
            &photo,
            &placement,
            &Settings::default(),
        )
        .unwrap()
    }

    fn flags(size: [usize; 2], card: Point) -> Vec<Flag> {
        let (photo, placement, read) = seen(size, card);
        let (flags, looks_like) = signs(&photo, &placement, &read, Some(&rig()));
        assert_eq!(looks_like, None);
        let all = UPRIGHT.iter().chain(&ASIDE).map(|(flag, _)| *flag);
        let mut raised: Vec<Flag> = all.filter(|flag| flags.has(*flag)).collect();
        raised.dedup();
        raised
    }

    #[test]
    fn a_card_where_it_was_or_anywhere_new_says_nothing() {
        assert!(flags([300, 200], [30.0, 40.0]).is_empty());
        assert!(flags([300, 200], [50.0, 50.0]).is_empty());
        assert!(flags([300, 200], [150.0, 20.0]).is_empty());
    }

    #[test]
    fn a_card_where_a_turn_would_lay_it_says_which() {
        assert_eq!(flags([300, 200], [270.0, 160.0]), [Flag::UpsideDown]);
        assert_eq!(flags([300, 200], [270.0, 40.0]), [Flag::Mirrored]);
        assert_eq!(flags([300, 200], [30.0, 160.0]), [Flag::Mirrored]);
        // Laid on its side: the frame's shape is the other, and (x, y) became (1 − y, x) or (y, 1 − x).
        assert_eq!(flags([200, 300], [160.0, 30.0]), [Flag::OnItsSide]);
        assert_eq!(flags([200, 300], [40.0, 270.0]), [Flag::OnItsSide]);
        assert!(flags([200, 300], [100.0, 20.0]).is_empty());
    }

    #[test]
    fn three_times_the_rigs_scale_is_unlikely_and_its_own_is_told() {
        let sized = |mm: f64, rig: Option<&Rig>| {
            let (photo, mut placement, read) = seen([300, 200], [30.0, 40.0]);
            placement.size = SizeMm {
                width: mm,
                height: mm,
            };
            let (flags, looks_like) = signs(&photo, &placement, &read, rig);
            (flags.has(Flag::SizeUnlikely), looks_like)
        };
        let rig = rig();
        for mm in [100.0, 299.0, 34.0] {
            assert_eq!(sized(mm, Some(&rig)), (false, None), "{mm}");
        }
        let hundred = Some(SizeMm {
            width: 100.0,
            height: 100.0,
        });
        assert_eq!(sized(301.0, Some(&rig)), (true, hundred));
        assert_eq!(sized(33.0, Some(&rig)), (true, hundred));
        // Without a rig: a frame of under 35 mm is no phone's. 80 of 300 pixels are the panel.
        assert_eq!(sized(9.0, None), (true, None));
        assert_eq!(sized(9.4, None), (false, None));
        assert_eq!(sized(9000.0, None), (false, None));
    }
}
