//! What the forms, lines and sides of a finish are, against what was asked for.

use super::*;
use crate::synth::finish::{Arrangement, Finish, Ridges, Speckles};
use crate::synth::form::SpeckShape;
use crate::synth::lopsided::Lopsided;
use crate::synth::marks::{MarkKind, Marks};
use crate::synth::patina::{Patina, PatinaPlace};
use crate::synth::winding::Winding;
use crate::units::{SizeMm, axial_difference};

pub(super) const SAMPLE: SizeMm = SizeMm {
    width: 100.0,
    height: 80.0,
};

pub(super) fn specks(diameter_median_mm: f64, per_cm2: f64) -> Finish {
    Finish {
        speckles: Some(Speckles {
            per_cm2,
            diameter_median_mm,
            spread: 0.2,
            arrangement: Arrangement::Spaced,
            floor: 0.0,
        }),
        ..Finish::seeded(21)
    }
}

fn marked(kind: MarkKind, per_dm2: f64, length_mm: f64, width_mm: f64) -> Finish {
    Finish {
        marks: Some(Marks {
            kind,
            per_dm2,
            length_mm,
            width_mm,
            floor: 0.0,
        }),
        ..Finish::seeded(5)
    }
}

pub(super) fn coloured(place: PatinaPlace) -> Option<Patina> {
    Some(Patina {
        hue_deg: 85.0,
        chroma: 30.0,
        place,
    })
}

#[test]
fn long_speckles_are_as_long_and_lie_as_asked_and_are_as_large() {
    let long = Finish {
        speck_shape: SpeckShape {
            elongation: 3.0,
            angle_deg: Some(30.0),
            angle_spread_deg: 5.0,
            ..SpeckShape::default()
        },
        ..specks(1.0, 2.0)
    };
    let truth = long.paint(SAMPLE, 16.0).truth(0.4);
    // Outlines are a little ragged, which makes single ones longer or shorter by a seventh; 160 of them.
    let ratio = truth.speckle_elongation.unwrap();
    assert!((ratio - 3.0).abs() < 0.15, "{ratio}");
    let off = axial_difference(30.0, truth.speckle_axis.unwrap());
    assert!(off.abs() < 2.0, "{off}");
    // exp(−2 (5°)²) = 0.985, and a little for the outlines.
    assert!(truth.speckle_axis_strength.unwrap() > 0.96);
    assert!((truth.speckle_diameter_median.unwrap() - 1.0).abs() < 0.06);
    assert!(truth.line_fraction < 1e-3, "{}", truth.line_fraction);
}

#[test]
fn long_speckles_lying_each_its_own_way_have_no_common_direction() {
    let long = Finish {
        speck_shape: SpeckShape {
            elongation: 2.5,
            ..SpeckShape::default()
        },
        ..specks(1.0, 2.0)
    };
    let truth = long.paint(SAMPLE, 12.0).truth(0.4);
    // 160 directions by chance: root mean square 1/√160 = 0.08; three of those.
    assert!(truth.speckle_axis_strength.unwrap() < 0.24);
}

#[test]
fn ordinary_speckles_are_round_sharp_and_full_and_no_lines() {
    for per_cm2 in [3.0, 20.0] {
        let mut finish = specks(0.9, per_cm2);
        if let Some(of) = &mut finish.speckles {
            of.arrangement = Arrangement::Random;
        }
        let truth = finish.paint(SAMPLE, 12.0).truth(0.4);
        assert!(truth.speckle_elongation.unwrap() < 1.25);
        assert!(truth.speckle_softness.unwrap() < 1e-9);
        assert!(truth.ring_fraction.unwrap() < 0.01);
        assert!(truth.line_fraction < 1e-3, "{}", truth.line_fraction);
    }
}

#[test]
fn soft_edges_are_as_wide_as_asked() {
    for softness_mm in [0.3, 0.6] {
        let soft = Finish {
            speck_shape: SpeckShape {
                softness_mm,
                ..SpeckShape::default()
            },
            ..specks(1.6, 1.0)
        };
        let found = soft.paint(SAMPLE, 12.0).truth(0.4).speckle_softness;
        assert!((found.unwrap() - softness_mm).abs() < 0.03, "{found:?}");
    }
}

#[test]
fn hollow_speckles_are_rings_of_the_same_area() {
    let hollow = Finish {
        speck_shape: SpeckShape {
            hollow: 0.5,
            ..SpeckShape::default()
        },
        ..specks(1.2, 2.0)
    };
    let truth = hollow.paint(SAMPLE, 16.0).truth(0.4);
    assert!(truth.ring_fraction.unwrap() > 0.95);
    assert!((truth.speckle_diameter_median.unwrap() - 1.2).abs() < 0.06);
    assert!(truth.line_fraction < 1e-9);
}

#[test]
fn scratches_cover_their_number_times_length_times_width() {
    let kind = MarkKind::Scratches {
        angle_deg: 20.0,
        spread_deg: 4.0,
    };
    let large = SizeMm {
        width: 300.0,
        height: 300.0,
    };
    // At 8 px/mm a scratch is four pixels wide, and some that cross are not seen to be even.
    let truth = marked(kind, 40.0, 12.0, 0.5).paint(large, 14.0).truth(0.4);
    // The mean of a lognormal length is e^(0.3² / 2) of its median. 360 scratches: 2 % by their lengths, 5 % by their number
    // on the glass; crossings hide little.
    let asked = 40.0 * 12.0 * (0.045f64).exp() * 0.5 / 10_000.0;
    assert!(
        (truth.line_fraction / asked - 1.0).abs() < 0.12,
        "{}",
        truth.line_fraction / asked
    );
    assert!(truth.speckle_count <= 1 && truth.blot_fraction < 1e-9);
}

#[test]
fn cracks_nets_and_drips_are_lines_and_nothing_else() {
    for (kind, per_dm2, length, width) in [
        (MarkKind::Cracks, 8.0, 30.0, 0.4),
        (MarkKind::Net, 100.0, 0.0, 0.4),
        (MarkKind::Drips, 12.0, 35.0, 1.2),
    ] {
        let truth = marked(kind, per_dm2, length, width)
            .paint(SAMPLE, 12.0)
            .truth(0.4);
        let bare = 1.0 - truth.coverage;
        assert!(bare > 0.005, "{kind:?} {bare}");
        assert!(
            (truth.line_fraction / bare - 1.0).abs() < 0.04,
            "{kind:?} {bare} {}",
            truth.line_fraction
        );
        assert!(truth.speckle_count <= 2, "{kind:?} {}", truth.speckle_count);
        assert!(truth.blot_fraction < 1e-9, "{kind:?}");
    }
}

#[test]
fn marks_beside_speckles_leave_them_their_count() {
    let plain = specks(0.8, 3.0);
    let kind = MarkKind::Scratches {
        angle_deg: 70.0,
        spread_deg: 10.0,
    };
    let both = Finish {
        marks: marked(kind, 10.0, 15.0, 0.3).marks,
        ..plain.clone()
    };
    let (plain, both) = (plain.paint(SAMPLE, 12.0), both.paint(SAMPLE, 12.0));
    assert_eq!(plain.base, both.base);
    let (alone, truth) = (plain.truth(0.4), both.truth(0.4));
    let lost = alone.speckle_count - truth.speckle_count;
    // Eight scratches of 15 × 1.1 mm each touch half a speckle.
    assert!(lost < 12, "{lost}");
    assert!(truth.line_fraction > 0.003);
}

#[test]
fn loss_to_one_side_is_as_uneven_as_worked_out_by_hand() {
    let lopsided = Finish {
        lopsided: Some(Lopsided {
            towards_deg: 0.0,
            depth: 0.6,
        }),
        ..Finish::default()
    };
    let truth = lopsided.paint(SAMPLE, 8.0).truth(0.4);
    assert!((truth.coverage - 0.7).abs() < 1e-4);
    // Rising by h = 0.6 / 16 from part to part: √21.25 h, see `unevenness`.
    let asked = 21.25f64.sqrt() * 0.6 / 16.0;
    assert!(
        (truth.unevenness - asked).abs() < 1e-3,
        "{}",
        truth.unevenness
    );
    let top = Finish {
        lopsided: Some(Lopsided {
            towards_deg: 90.0,
            depth: 0.6,
        }),
        ..Finish::default()
    };
    let cut = top.paint(SAMPLE, 4.0);
    assert!(cut.cut()[[0, 5]] < 0.41 && cut.cut()[[319, 5]] > 0.99);
}

#[test]
fn speckles_lie_in_rows_along_ridges_or_to_one_side() {
    let with = |arrangement| {
        let mut finish = specks(0.6, 3.0);
        if let Some(of) = &mut finish.speckles {
            of.arrangement = arrangement;
        }
        finish.ridges = Some(Ridges {
            angle_deg: 40.0,
            spacing_mm: 6.0,
            depth: 0.3,
            wobble_deg: 5.0,
        });
        finish.paint(SAMPLE, 12.0)
    };
    // The mean of doubled phases across the rows is 1 for rows without jitter, and 0 for none.
    let rows = with(Arrangement::Rows {
        spacing_mm: 6.0,
        angle_deg: 25.0,
        jitter_mm: 0.3,
    });
    let centres = rows.truth(0.3).speckle_centres_mm;
    let (sin, cos) = 25.0f64.to_radians().sin_cos();
    let (mut c, mut s) = (0.0, 0.0);
    for [x, y] in &centres {
        let phase = (x * sin + y * cos) / 6.0 * std::f64::consts::TAU;
        (c, s) = (c + phase.cos(), s + phase.sin());
    }
    let n = centres.len() as f64;
    // exp(−(2π 0.3 / 6)² / 2) = 0.95.
    assert!((f64::hypot(c, s) / n - 0.95).abs() < 0.03);
    assert!((n / 80.0 - 3.0).abs() < 0.25, "{n}");

    let along = with(Arrangement::AlongRidges);
    let centres = along.truth(0.3).speckle_centres_mm;
    let lines = along.lines.as_ref().unwrap();
    let near = mean(centres.iter().map(|[x, y]| lines.taken_at(*x, *y)));
    // ∫ cos¹⁴ / ∫ cos¹² = 13/14.
    assert!((near - 13.0 / 14.0).abs() < 0.03, "{near}");

    let crowded = with(Arrangement::Crowded {
        towards_deg: 180.0,
        strength: 0.8,
    });
    let centres = crowded.truth(0.3).speckle_centres_mm;
    let left = centres.iter().filter(|[x, _]| *x < 50.0).count() as f64;
    // Density 1 + 0.8 t over t from 0 to 1 is 1.4 of 2; 240 speckles: 3 %.
    assert!((left / centres.len() as f64 - 0.7).abs() < 0.09, "{left}");
    // The glass holds as many as were asked for.
    assert!((centres.len() as f64 / 80.0 - 3.0).abs() < 0.6);
}

#[test]
fn winding_ridges_wind_about_their_direction() {
    let ridged = |winding| Finish {
        ridges: Some(Ridges {
            angle_deg: 60.0,
            spacing_mm: 4.0,
            depth: 0.5,
            wobble_deg: 0.0,
        }),
        winding,
        ..Finish::seeded(8)
    };
    let wound = ridged(Some(Winding {
        scale_mm: 20.0,
        turn_deg: 40.0,
    }))
    .paint(SAMPLE, 8.0);
    let truth = wound.truth(0.4);
    assert!(axial_difference(60.0, truth.streak_angle.unwrap()).abs() < 15.0);
    // cos of the local direction is how much nearer the lines lie: about 0.8 at 40°.
    let spacing = truth.streak_spacing.unwrap();
    assert!((2.2..3.9).contains(&spacing), "{spacing}");
    assert_ne!(ridged(None).paint(SAMPLE, 8.0).base, wound.base);
}

#[test]
fn the_new_parts_are_the_same_panel_coarser_or_finer() {
    let finish = Finish {
        speck_shape: SpeckShape {
            elongation: 2.0,
            softness_mm: 0.4,
            ..SpeckShape::default()
        },
        patina: coloured(PatinaPlace::Haloes { width_mm: 2.0 }),
        marks: marked(MarkKind::Cracks, 6.0, 20.0, 0.5).marks,
        ..specks(1.2, 1.5)
    };
    let [fine, coarse] = [12.0, 6.0].map(|px| finish.paint(SAMPLE, px));
    let apart = |a: &Plane, b: &Plane| {
        let cells = in_cells(on_glass(a, &fine), 2);
        let pairs = cells.iter().zip(on_glass(b, &coarse));
        mean(pairs.map(|(a, b)| f64::from((a - b).abs())))
    };
    // Outlines fall on other pixels.
    assert!(apart(&fine.silver, &coarse.silver) < 0.004);
    let [a, b] = [&fine, &coarse].map(|p| p.patina.as_ref().unwrap());
    assert!(apart(a, b) < 0.02, "{}", apart(a, b));
    let [a, b] = [fine.truth(0.4), coarse.truth(0.4)];
    assert!((a.line_fraction - b.line_fraction).abs() < 0.002);
    assert!((a.speckle_elongation.unwrap() - b.speckle_elongation.unwrap()).abs() < 0.1);
    assert!((a.patina_fraction - b.patina_fraction).abs() < 0.02);
}
