use super::super::drawn::{even, matched, named, reading, row, whole};
use super::*;
use crate::fingerprint::metric::{
    CLOUD_SCALE, COVERAGE, FINE_TEXTURE, LINE_FRACTION, MIDDLE_TEXTURE, PATINA_SCALE,
    SPECKLE_DENSITY, STREAK_ANGLE, STREAK_SPACING, TONE_B,
};
use crate::frame::Plane;
use Verdict::{Outside, Unsure as Open, Within};

#[test]
fn a_panel_agrees_with_itself_and_bare_glass_with_no_silver() {
    let [silver, bare] = [even(1.0), even(0.0)];
    let of = |sample, panel| {
        let sides = (named("sample", sample), named("panel", panel));
        compare(sides.0, sides.1, &Terms::default()).unwrap()
    };
    for side in [&silver, &bare] {
        let found = of(side, side);
        let mut verdicts = found.measures.iter().filter_map(|m| m.found);
        assert!(verdicts.all(|f| f.verdict != Outside));
        assert_eq!(found.found(&COVERAGE).unwrap().verdict, Within);
        assert_eq!(
            (found.lean, found.toward, found.place),
            (Lean::Neither, Lean::Neither, None)
        );
        assert!(!found.new_dark_is_bare && !found.perhaps_turned() && !found.work_may_mend());
    }
    let found = of(&silver, &bare);
    assert_eq!((found.verdict, found.lean), (Outside, Lean::Darker));
    assert_eq!(found.place, Some(Place::AllOver));
    assert!(found.new_dark_is_bare && !found.work_may_mend());
    assert_eq!(found.tone_difference, None);
    let coverage = found.found(&COVERAGE).unwrap();
    assert!((coverage.difference + 1.0).abs() < 1e-5);
    let found = of(&bare, &silver);
    assert_eq!(
        (found.verdict, found.lean, found.toward),
        (Outside, Lean::Lighter, Lean::Lighter)
    );
    assert!(!found.new_dark_is_bare);
}

#[test]
fn work_mends_a_panel_that_only_lost_too_little() {
    let mends = |toward, rows: Vec<MeasureMatch>| {
        matched(toward, Outside, rows, Vec::new()).work_may_mend()
    };
    let light = row(&COVERAGE, Outside, 2.0);
    assert!(mends(Lean::Lighter, vec![light]));
    assert!(!mends(Lean::Darker, vec![light]) && !mends(Lean::Neither, vec![light]));
    // Too few specks and lines can be added, too many not taken away; a hue is another matter.
    for metric in [&SPECKLE_DENSITY, &LINE_FRACTION] {
        assert!(mends(
            Lean::Lighter,
            vec![light, row(metric, Outside, -2.0)]
        ));
        assert!(!mends(
            Lean::Lighter,
            vec![light, row(metric, Outside, 2.0)]
        ));
        assert!(mends(Lean::Lighter, vec![light, row(metric, Open, 2.0)]));
    }
    assert!(!mends(
        Lean::Lighter,
        vec![light, row(&TONE_B, Outside, -2.0)]
    ));
    let wholes = |weight| {
        let wholes = vec![
            whole(&LOOK, Outside, 2.0),
            whole(&FINE_TEXTURE, Outside, weight),
        ];
        matched(Lean::Lighter, Outside, vec![light], wholes).work_may_mend()
    };
    assert!(wholes(-2.0) && !wholes(2.0));
}

#[test]
fn a_panel_is_perhaps_turned_where_nothing_but_its_streaks_is_outside() {
    let turned = |rows: Vec<MeasureMatch>, wholes| {
        matched(Lean::Neither, Outside, rows, wholes).perhaps_turned()
    };
    let angle = row(&STREAK_ANGLE, Outside, 2.0);
    assert!(turned(vec![angle, row(&COVERAGE, Open, 1.0)], Vec::new()));
    assert!(!turned(
        vec![angle, row(&COVERAGE, Outside, 2.0)],
        Vec::new()
    ));
    assert!(!turned(vec![angle], vec![whole(&LOOK, Outside, 2.0)]));
    assert!(!turned(vec![row(&STREAK_ANGLE, Open, 1.0)], Vec::new()));
}

#[test]
fn sizes_have_nothing_to_add_where_the_textures_or_the_looks_agree() {
    let left = |wholes: &[WholeMatch]| {
        let rows = [&CLOUD_SCALE, &STREAK_SPACING, &PATINA_SCALE, &COVERAGE];
        let mut rows = rows.map(|metric| row(metric, Outside, 2.0));
        leave_out_sizes(&mut rows, wholes);
        rows.map(|m| m.found.is_some())
    };
    assert_eq!(left(&[]), [true; 4]);
    assert_eq!(
        left(&[whole(&LOOK, Within, 0.1)]),
        [false, false, false, true]
    );
    assert_eq!(left(&[whole(&LOOK, Open, 0.1)]), [true; 4]);
    let [fine, middle] = [
        whole(&FINE_TEXTURE, Within, 0.1),
        whole(&MIDDLE_TEXTURE, Within, 0.1),
    ];
    assert_eq!(left(&[fine, middle]), [false, true, true, true]);
    assert_eq!(left(&[fine, whole(&MIDDLE_TEXTURE, Open, 0.1)]), [true; 4]);
}

#[test]
fn new_dark_is_bare_under_a_quarter() {
    let of = |level: f32| {
        let half = Plane::from_shape_fn((240, 240), |(_, c)| if c < 120 { level } else { 1.0 });
        new_dark_is_bare(&even(1.0).measurements, &reading(half).measurements)
    };
    assert!(of(0.0) && of(0.2));
    assert!(!of(0.3) && !of(0.45) && !of(0.6));
    let even = even(0.0).measurements;
    assert!(!new_dark_is_bare(&even, &even));
}

#[test]
fn tones_differ_by_ciede2000_at_one_lightness() {
    let [mut a, mut b] = [even(1.0).measurements, even(1.0).measurements];
    assert!(tone_difference(&a, &b).unwrap().abs() < 1e-9);
    let sure = |value| {
        Ok(crate::units::Estimate {
            value,
            low: value,
            high: value,
        })
    };
    // Pair 1 of Sharma, Wu & Dalal (2005): 2.0425 at L* 50.
    (a.tone_a, a.tone_b) = (sure(2.6772), sure(-79.7751));
    (b.tone_a, b.tone_b) = (sure(0.0), sure(-82.7485));
    assert!((tone_difference(&a, &b).unwrap() - 2.0425).abs() < 1e-4);
    assert_eq!(tone_difference(&a, &even(0.0).measurements), None);
}

#[test]
fn a_signed_piece_is_within_whatever_it_shows() {
    let (sample, mut light) = (even(0.7), even(1.0));
    "light".clone_into(&mut light.provenance.photo_digest);
    let terms = Terms {
        light: Some(named("light", &light)),
        ..Terms::default()
    };
    let found = compare(named("sample", &sample), named("panel", &light), &terms).unwrap();
    assert_eq!((found.verdict, found.unsure), (Within, None));
    assert!(found.has(Remark::SignedLight) && !found.has(Remark::SignedDark));
    assert!(
        found
            .measures
            .iter()
            .all(|m| m.found.is_none_or(|f| f.verdict == Within))
    );
    assert!(found.wholes.iter().all(|w| w.verdict == Within));
    let other = even(1.0);
    let found = compare(named("sample", &sample), named("panel", &other), &terms).unwrap();
    assert!(!found.has(Remark::SignedLight));
}

#[test]
fn remarks_say_what_else_must_be_known() {
    let sample = even(1.0);
    let has = |remark, change: fn(&mut Fingerprint)| {
        let mut panel = even(1.0);
        change(&mut panel);
        let sides = (named("sample", &sample), named("panel", &panel));
        compare(sides.0, sides.1, &Terms::default())
            .unwrap()
            .has(remark)
    };
    assert!(has(Remark::OnlyStartingAllowances, |_| ()));
    for (remark, change) in [
        (
            Remark::NotUsable,
            (|f| f.provenance.anyway = true) as fn(&mut Fingerprint),
        ),
        (Remark::RigsDiffer, |f| {
            f.provenance.rig = Some("corner".into())
        }),
    ] {
        assert!(has(remark, change) && !has(remark, |_| ()));
    }
}
