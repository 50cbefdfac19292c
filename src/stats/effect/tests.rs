//! Whole effects, worked by hand or turned about.

use super::*;

/// A line 1 + 2x with two panels at each of three settings, 0.1 over and under it.
const LINE: [[f64; 2]; 6] = [
    [0.0, 1.1],
    [0.0, 0.9],
    [1.0, 3.1],
    [1.0, 2.9],
    [2.0, 5.1],
    [2.0, 4.9],
];

fn growth(x: f64) -> f64 {
    0.9 - 0.5 * (1.0 - (-x / 40.0).exp())
}

/// Panels at eight times, two at each, the second a little over and the first under the curve by turns.
fn grown() -> Vec<[f64; 2]> {
    (0..16)
        .map(|i| {
            let x = 20.0 * f64::from(i / 2);
            let off = if (i % 2 == 0) == (i / 2 % 2 == 0) {
                0.01
            } else {
                -0.01
            };
            [x, growth(x) + off]
        })
        .collect()
}

#[test]
fn the_bands_of_a_line_are_those_worked_by_hand() {
    let effect = Effect::from_panels(&LINE, 1).unwrap();
    assert_eq!(effect.shape, Shape::Line);
    assert!(effect.is_real());
    // s² = 6·0.01/4; Sxx = 4; t with four degrees of freedom 2.776445 (Student's table).
    let s = 0.015_f64.sqrt();
    for x in [0.0_f64, 0.7, 2.0] {
        let leverage: f64 = 1.0 / 6.0 + (x - 1.0).powi(2) / 4.0;
        let At { curve, panel } = effect.at(x).unwrap();
        assert!((curve.value - 1.0 - 2.0 * x).abs() < 1e-12);
        assert!((curve.high - curve.value - 2.776_445 * s * leverage.sqrt()).abs() < 1e-6);
        assert!((panel.value - panel.low - 2.776_445 * s * (1.0 + leverage).sqrt()).abs() < 1e-6);
    }
}

#[test]
fn a_growth_is_found_with_its_length_and_read_within_what_was_tried() {
    let effect = Effect::from_panels(&grown(), 1).unwrap();
    assert_eq!(effect.shape, Shape::Growth);
    // From 0 to 140 the length 40; errors of 0.01 that cancel by pairs leave the curve where it is.
    assert!((effect.fit.parameters[2] - 40.0 / 140.0).abs() < 1e-8);
    assert_eq!(
        effect.tried.map(f64::to_bits),
        [0.0_f64, 140.0].map(f64::to_bits)
    );
    assert!(effect.at(0.0).is_some() && effect.at(140.0).is_some());
    assert!(effect.at(-0.1).is_none() && effect.at(140.1).is_none());
    assert!(effect.at(f64::NAN).is_none());
    for x in [0.0, 33.0, 140.0] {
        let At { curve, panel } = effect.at(x).unwrap();
        assert!((curve.value - growth(x)).abs() < 1e-9);
        assert!(panel.low < curve.low && curve.high < panel.high);
    }
}

#[test]
fn the_setting_for_a_measure_is_where_the_curve_has_it_and_its_ends_where_the_band_does() {
    let effect = Effect::from_panels(&grown(), 1).unwrap();
    let setting = effect.setting_for(growth(50.0)).unwrap();
    assert!((setting.value - 50.0).abs() < 1e-6);
    assert!((setting.measure - growth(50.0)).abs() < 1e-9);
    // The curve falls: at the least setting the band only just comes down to it, at the greatest up.
    assert!((effect.at(setting.low).unwrap().panel.low - growth(50.0)).abs() < 1e-9);
    assert!((effect.at(setting.high).unwrap().panel.high - growth(50.0)).abs() < 1e-9);
    assert!(!setting.less_untried && !setting.more_untried);
    let last = effect.setting_for(growth(140.0)).unwrap();
    assert!(last.more_untried && last.high <= 140.0 && !last.less_untried);
    // A little past the last curve, yet one panel may have it.
    let past = effect.setting_for(growth(140.0) - 0.005).unwrap();
    assert!((past.value - 140.0).abs() < 1e-9 && past.measure > growth(140.0) - 0.005);
}

#[test]
fn what_the_panels_do_not_reach_has_no_setting() {
    let effect = Effect::from_panels(&grown(), 1).unwrap();
    assert_eq!(effect.setting_for(0.2), Err(Unreached::TooLow));
    assert_eq!(effect.setting_for(1.1), Err(Unreached::TooHigh));
    assert_eq!(effect.setting_for(f64::NAN), Err(Unreached::NotFinite));
    let none = [3.0, 1.0, 2.0, 2.0, 1.0, 3.0];
    let none: Vec<[f64; 2]> = (0..).map(f64::from).zip(none).map(Into::into).collect();
    let effect = Effect::from_panels(&none, 1).unwrap();
    assert!(!effect.is_real());
    assert_eq!(effect.setting_for(2.0), Err(Unreached::NoEffect));
}

#[test]
fn too_little_to_go_by_is_said() {
    let few = Unknown::TooFewPanels {
        found: 5,
        needed: 6,
    };
    assert_eq!(Effect::from_panels(&LINE[..5], 1), Err(few));
    let none = Unknown::TooFewPanels {
        found: 0,
        needed: 6,
    };
    assert_eq!(Effect::from_panels(&[], 1), Err(none));
    let two = LINE.map(|[x, y]| [f64::from(x > 1.0), y]);
    let settings = |found| Unknown::TooFewSettings { found, needed: 3 };
    assert_eq!(Effect::from_panels(&two, 1), Err(settings(2)));
    assert_eq!(
        Effect::from_panels(&LINE.map(|[_, y]| [7.0, y]), 1),
        Err(settings(1))
    );
    assert_eq!(
        Effect::from_panels(&LINE.map(|[x, _]| [x, 0.1]), 1),
        Err(Unknown::AllEqual)
    );
    assert_eq!(
        Effect::from_panels(&LINE.map(|[x, _]| [x, 0.0]), 1),
        Err(Unknown::AllEqual)
    );
    for odd in [f64::NAN, f64::INFINITY, 1e300] {
        assert_eq!(
            Effect::from_panels(&LINE.map(|[x, y]| [x, y * odd]), 1),
            Err(Unknown::NotFinite)
        );
        assert_eq!(
            Effect::from_panels(&LINE.map(|[x, y]| [x * odd, y]), 1),
            Err(Unknown::NotFinite)
        );
    }
}

#[test]
fn other_units_and_the_other_way_up_change_nothing_but_the_figures() {
    let panels = grown();
    let effect = Effect::from_panels(&panels, 1).unwrap();
    let turned: Vec<[f64; 2]> = panels
        .iter()
        .map(|[x, y]| [x / 60.0 + 273.0, -100.0 * y])
        .collect();
    let other = Effect::from_panels(&turned, 1).unwrap();
    assert_eq!(other.shape, effect.shape);
    assert!((other.chance - effect.chance).abs() < 1e-12);
    let (at, also) = (effect.at(60.0).unwrap(), other.at(274.0).unwrap());
    assert!((also.curve.value + 100.0 * at.curve.value).abs() < 1e-6);
    assert!((also.panel.low + 100.0 * at.panel.high).abs() < 1e-6);
    let (setting, also) = (
        effect.setting_for(0.6).unwrap(),
        other.setting_for(-60.0).unwrap(),
    );
    assert!((also.value - setting.value / 60.0 - 273.0).abs() < 1e-6);
    assert!((also.low - setting.low / 60.0 - 273.0).abs() < 1e-6);
}

#[test]
fn the_same_panels_and_seed_give_the_same_bits() {
    let [one, other] = [1, 1].map(|seed| Effect::from_panels(&grown(), seed).unwrap());
    assert_eq!(format!("{one:?}"), format!("{other:?}"));
}

/// Panels at settings a step apart.
fn in_a_row(measure: &[f64]) -> Panels {
    let last = (measure.len() - 1) as f64;
    let middle = measure.iter().sum::<f64>() / measure.len() as f64;
    Panels {
        settings: (0..measure.len()).map(|i| i as f64 / last).collect(),
        measure: measure.iter().map(|v| v - middle).collect(),
    }
}

#[test]
fn chance_is_the_share_of_orders_that_show_as_much() {
    let chance = |measure: &[f64], seed| chance::chance(&in_a_row(measure), seed);
    // Up or down, 2 of 720: 5.6 of 1999 deals, give or take four times 2.4.
    let rising = chance(&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0], 1);
    assert!(rising < (1.0 + 5.6 + 4.0 * 2.4) / 2000.0, "{rising}");
    // What rises and falls again follows no shape.
    assert!(chance(&[0.0, 1.0, 2.0, 2.0, 1.0, 0.0], 1) > 0.5);
    // Another 1999 deals: within four standard errors of the difference.
    let [one, other] = [7, 8].map(|seed| chance(&[1.0, 3.0, 2.0, 2.5, 4.0, 3.5, 3.0], seed));
    assert!((one - other).abs() < 4.0 * (0.5 / 2000.0_f64).sqrt());
}
