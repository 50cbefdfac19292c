use super::*;

fn ratio(kind: PatchKind, place: Point, times: f64) -> Ratio {
    Ratio {
        place,
        ratio: [times; 3],
        kind,
        reflectance: 0.18,
        colour_doubt: 0.0,
    }
}

#[test]
fn the_side_on_which_the_light_changed_is_named() {
    use PatchKind::{Grey, Mirror};
    let left = |times| ratio(Mirror, [0.1, 0.5], times);
    let right = |times| ratio(Mirror, [0.9, 0.5], times);
    let above = |times| ratio(Mirror, [0.5, 0.1], times);
    let card = |times| ratio(Grey, [0.8, 0.5], times);
    for (ratios, said) in [
        (vec![left(1.0), right(1.02)], None),
        (
            vec![left(0.8), right(1.0)],
            Some(LampMoved::DarkerTowards(PhotoSide::Left)),
        ),
        (
            vec![left(1.0), right(0.9)],
            Some(LampMoved::DarkerTowards(PhotoSide::Right)),
        ),
        (
            vec![left(1.0), right(1.0), above(0.9)],
            Some(LampMoved::DarkerTowards(PhotoSide::Top)),
        ),
        (
            vec![right(1.0), card(1.5)],
            Some(LampMoved::OnCardAt(PhotoSide::Right)),
        ),
        (
            vec![right(1.0), card(0.7)],
            Some(LampMoved::OffCardAt(PhotoSide::Right)),
        ),
        // A card alone cannot tell a lamp from an exposure.
        (vec![card(0.5)], None),
    ] {
        assert_eq!(lamp_moved(&ratios), said);
    }
}

const LEFT: Point = [0.1, 0.5];
const RIGHT: Point = [0.9, 0.5];

#[test]
fn a_grey_that_disagrees_with_its_mirror_is_not_heard() {
    let heard = |grey: f64| {
        let both = [
            ratio(PatchKind::Mirror, LEFT, 1.0),
            ratio(PatchKind::Grey, RIGHT, grey),
        ];
        telling(&both).len()
    };
    assert_eq!(
        [heard(1.0), heard(1.029), heard(1.032), heard(0.96)],
        [2, 2, 1, 1]
    );
    assert_eq!(telling(&[ratio(PatchKind::Grey, LEFT, 1.5)]).len(), 1);
    assert!(telling(&[]).is_empty());
}

#[test]
fn lamps_moved_are_told_by_three_in_a_hundred() {
    let moved = |mirror: f64, grey: f64| {
        lamp_moved(&[
            ratio(PatchKind::Mirror, LEFT, mirror),
            ratio(PatchKind::Grey, RIGHT, grey),
        ])
    };
    assert_eq!([moved(1.0, 1.0), moved(1.0, 1.029)], [None; 2]);
    assert_eq!(
        moved(1.0, 1.032),
        Some(LampMoved::OnCardAt(PhotoSide::Right))
    );
    assert_eq!(
        moved(1.032, 1.0),
        Some(LampMoved::OffCardAt(PhotoSide::Right))
    );
    assert_eq!(lamp_moved(&[]), None);
    assert_eq!(lamp_moved(&[ratio(PatchKind::Mirror, LEFT, 3.0)]), None);
    let two = |left, right| {
        lamp_moved(&[
            ratio(PatchKind::Mirror, LEFT, left),
            ratio(PatchKind::Mirror, RIGHT, right),
        ])
    };
    assert_eq!(
        two(1.0, 1.032),
        Some(LampMoved::DarkerTowards(PhotoSide::Left))
    );
    assert_eq!(
        two(1.032, 1.0),
        Some(LampMoved::DarkerTowards(PhotoSide::Right))
    );
    for (way, side) in [
        ([-1.0, 1.0], PhotoSide::Left),
        ([1.0, -1.0], PhotoSide::Right),
        ([0.5, -1.0], PhotoSide::Top),
        ([0.5, 1.0], PhotoSide::Bottom),
    ] {
        assert_eq!(PhotoSide::towards(way), side);
    }
}

#[test]
fn greys_of_unlike_reflectance_disagree_by_five_in_a_hundred() {
    let grey = |reflectance, light| PatchReading {
        kind: PatchKind::Grey,
        reflectance,
        level: [light; 3],
        centre: [0.0; 2],
        pixels: 1000,
        clipped: 0.0,
    };
    // Beside a card of 0.18 that reads 0.09, one of 0.36 must read 0.18.
    let disagree = |other: Option<f64>, light: f64| {
        greys_disagree(&[grey(None, 0.09), grey(other, light)], 0.18, |_| [1.0; 3])
    };
    assert!(!disagree(Some(0.36), 0.18) && !disagree(Some(0.36), 0.188));
    assert!(disagree(Some(0.36), 0.19) && disagree(Some(0.36), 0.17));
    // Of one reflectance it is the light.
    assert!(!disagree(None, 0.2) && !disagree(Some(0.19), 0.2));
    assert!(!greys_disagree(&[], 0.18, |_| [1.0; 3]));
}

#[test]
fn exposures_are_the_same_where_both_are_noted_and_alike() {
    let noted = |exposure_s, iso| Capture {
        exposure_s: Some(exposure_s),
        f_number: Some(1.8),
        iso: Some(iso),
        ..Capture::default()
    };
    assert!(same_exposure(&noted(0.01, 100), &noted(0.010_04, 100)));
    assert!(!same_exposure(&noted(0.01, 100), &noted(0.010_06, 100)));
    assert!(!same_exposure(&noted(0.01, 100), &noted(0.01, 125)));
    assert!(!same_exposure(&Capture::default(), &Capture::default()));
}
