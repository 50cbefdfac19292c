//! What colour the silver of a finish has, against what was asked for.

use super::form_tests::{SAMPLE, coloured, specks};
use crate::synth::finish::{Blots, Finish};
use crate::synth::patina::PatinaPlace;
use crate::synth::tone::{a_b, silver_colour};
use crate::units::SizeMm;

const EVERYWHERE: PatinaPlace = PatinaPlace::Patches {
    share: 1.0,
    scale_mm: 8.0,
};

#[test]
fn a_mirror_all_under_patina_has_its_hue_and_chroma() {
    for veil in [0.0, 0.3] {
        let finish = Finish {
            veil,
            patina: coloured(EVERYWHERE),
            ..Finish::default()
        };
        let truth = finish.paint(SAMPLE, 8.0).truth(0.4);
        let asked = 30.0 * (1.0f64 - veil).cbrt();
        assert!((truth.patina_fraction - 1.0).abs() < 1e-9);
        assert!((truth.patina_chroma.unwrap() - asked).abs() < 0.05);
        assert!((truth.patina_hue.unwrap() - 85.0).abs() < 0.1);
        assert!(truth.patina_scale.is_none() && truth.halo.is_none());
        let [a, b] = [truth.tone_a, truth.tone_b].map(Option::unwrap);
        assert!((a.hypot(b) - asked).abs() < 0.05);
    }
}

#[test]
fn a_mirror_without_patina_has_none() {
    let truth = specks(1.0, 2.0).paint(SAMPLE, 8.0).truth(0.4);
    assert!(truth.patina_fraction.abs() < 1e-12 && truth.patina_hue.is_none());
    assert_eq!((truth.patina_chroma, truth.halo), (Some(0.0), Some(0.0)));
    // Even tarnish is patina everywhere, of one chroma.
    let warm = Finish {
        warmth: 1.0,
        ..specks(1.0, 2.0)
    };
    let truth = warm.paint(SAMPLE, 8.0).truth(0.4);
    assert!((truth.patina_fraction - 1.0).abs() < 1e-9);
    let [a, b] = a_b(silver_colour(1.0));
    assert!((truth.patina_chroma.unwrap() - a.hypot(b)).abs() < 0.05);
    assert!(truth.halo.unwrap().abs() < 0.5, "{:?}", truth.halo);
}

#[test]
fn patches_have_the_share_and_scale_asked_for() {
    let finish = Finish {
        patina: coloured(PatinaPlace::Patches {
            share: 0.4,
            scale_mm: 8.0,
        }),
        ..Finish::seeded(4)
    };
    let large = SizeMm {
        width: 300.0,
        height: 300.0,
    };
    let truth = finish.paint(large, 5.0).truth(0.4);
    // Chroma over 6 of 30 is a strength over 0.2, which lies 0.21 standard deviations below the border at which 0.4 is
    // cut: 1 − Φ(0.253 − 0.21) = 0.48. About 450 patches: 2.4 %.
    assert!(
        (truth.patina_fraction - 0.48).abs() < 0.06,
        "{}",
        truth.patina_fraction
    );
    assert!((truth.patina_hue.unwrap() - 85.0).abs() < 1.5);
    // Cut hard from a field, patches keep their level over a little less than the field does.
    let scale = truth.patina_scale.unwrap();
    assert!((5.0..8.5).contains(&scale), "{scale}");
}

#[test]
fn haloes_lie_about_speckles_and_blots() {
    let finish = Finish {
        blots: Some(Blots {
            per_dm2: 3.0,
            diameter_mm: 8.0,
            floor: 0.0,
        }),
        patina: coloured(PatinaPlace::Haloes { width_mm: 1.5 }),
        ..specks(1.0, 1.0)
    };
    let painted = finish.paint(SAMPLE, 10.0);
    let truth = painted.truth(0.4);
    assert!(truth.halo.unwrap() > 8.0, "{:?}", truth.halo);
    let bare = Finish {
        patina: None,
        ..finish.clone()
    };
    assert_eq!(bare.paint(SAMPLE, 10.0).silver, painted.silver);
    let patches = Finish {
        patina: coloured(PatinaPlace::Patches {
            share: 0.4,
            scale_mm: 6.0,
        }),
        ..finish
    };
    let elsewhere = patches.paint(SAMPLE, 10.0).truth(0.4).halo.unwrap();
    assert!(elsewhere.abs() < 3.0, "{elsewhere}");
}
