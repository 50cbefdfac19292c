//! Decisions that agree with each other: a set never asks to strip what a match leaves open, what heads an answer is the silver, and
//! what was signed is within. Readings of one painted panel, moved by known amounts.

use std::sync::OnceLock;

use paneprint::compare::{Lean, Match, Remark, Side, Terms, Verdict, compare, set};
use paneprint::fingerprint::Fingerprint;
use paneprint::units::{Estimate, Measure, axial};
use paneprint::words;

use super::{SIGNED, reading, side, signed};

fn sample() -> &'static Fingerprint {
    static SAMPLE: OnceLock<Fingerprint> = OnceLock::new();
    SAMPLE.get_or_init(|| sure(reading(&signed(9000), SIGNED, 0).fingerprint))
}

/// The same reading as if it were known all but exactly, so that what is moved is all that decides.
fn sure(mut f: Fingerprint) -> Fingerprint {
    let m = &mut f.measurements;
    for measure in [
        &mut m.coverage,
        &mut m.clear_fraction,
        &mut m.veil_fraction,
        &mut m.dark_fraction,
        &mut m.speckle_density,
        &mut m.speckle_diameter_median,
        &mut m.speckle_diameter_p90,
        &mut m.speckle_evenness,
        &mut m.blot_fraction,
        &mut m.streak_angle,
        &mut m.streak_strength,
        &mut m.streak_spacing,
        &mut m.cloud_scale,
        &mut m.aggressiveness,
        &mut m.tone_a,
        &mut m.tone_b,
        &mut m.edge_loss,
    ] {
        *measure = measure.map(|e| about(e.value, 1e-3 * e.value.abs()));
    }
    f
}

fn about(value: f64, half: f64) -> Estimate {
    Estimate {
        value,
        low: value - half,
        high: value + half,
    }
}

/// The sample's reading, moved, as that of another photo.
fn moved(photo: &str, by: impl Fn(&mut Fingerprint)) -> Fingerprint {
    let mut f = sample().clone();
    f.provenance.photo_digest = photo.to_owned();
    by(&mut f);
    f
}

fn shift(measure: &mut Measure, by: f64, half: f64) {
    *measure = measure.map(|e| about(e.value + by, half));
}

/// With so much more silver left, known to so much.
fn silvered(photo: &str, by: f64, half: f64) -> Fingerprint {
    moved(photo, |f| shift(&mut f.measurements.coverage, by, half))
}

fn against(panel: &Fingerprint, terms: &Terms<'_>) -> Match {
    compare(side("signed", sample()), side("panel", panel), terms).unwrap()
}

#[test]
fn a_set_asks_to_strip_only_what_is_outside_the_sample() {
    let terms = Terms::default();
    let [lighter, darker] =
        [("a", 0.066), ("b", -0.066)].map(|(photo, by)| silvered(photo, by, 0.01));
    for panel in [&lighter, &darker] {
        assert_eq!(against(panel, &terms).verdict, Verdict::Unsure);
    }
    let bare = silvered("c", -0.2, 0.01);
    let sides = [side("a", &lighter), side("b", &darker), side("c", &bare)];
    let of = |sides: &[Side<'_>]| set(sides, Some((side("signed", sample()), &terms))).unwrap();
    // The two are unlike each other, and neither is outside what was signed.
    let found = of(&sides[..2]);
    assert_eq!(found.verdict, Verdict::Unsure);
    assert!(found.remakes.is_empty() && found.settle.len() == 1);
    // One that is outside goes, and it alone.
    let found = of(&sides);
    assert_eq!(found.verdict, Verdict::Outside);
    let remade: Vec<usize> = found.remakes.iter().map(|r| r.panel).collect();
    assert_eq!(remade, [2]);
    // Without a sample two that are unlike do not agree, and nobody knows which of them is off.
    let found = set(&sides[..2], None).unwrap();
    assert_eq!(found.verdict, Verdict::Outside);
    assert!(found.remakes.is_empty() && found.settle.len() == 1);
}

#[test]
fn lighter_and_darker_head_an_answer_only_where_the_silver_is_beyond_its_allowance() {
    for (by, lean, toward, head) in [
        (-0.03, Lean::Neither, Lean::Darker, "Outside: as light as"),
        (0.03, Lean::Neither, Lean::Lighter, "Outside: as light as"),
        (-0.1, Lean::Darker, Lean::Darker, "Outside: darker than"),
        (0.1, Lean::Lighter, Lean::Lighter, "Outside: lighter than"),
    ] {
        let panel = moved("panel", |f| {
            shift(&mut f.measurements.coverage, by, 0.002);
            f.measurements.tone_b = Ok(about(20.0, 0.1));
        });
        let m = against(&panel, &Terms::default());
        assert_eq!(
            (m.verdict, m.lean, m.toward),
            (Verdict::Outside, lean, toward)
        );
        assert!(words::verdict(&m, "signed").starts_with(head), "{by}");
    }
}

#[test]
fn where_streaks_alone_are_turned_it_is_asked_first_whether_the_photo_is() {
    let turned = moved("panel", |f| {
        f.measurements.streak_angle = f
            .measurements
            .streak_angle
            .map(|e| about(axial(e.value + 90.0), 0.5));
    });
    let m = against(&turned, &Terms::default());
    assert!(m.verdict == Verdict::Outside && m.perhaps_turned());
    assert!(
        words::next_step(&m)
            .says
            .contains("see first that the photo")
    );
    let terms = Terms::default();
    let panels = [side("a", &turned), side("signed", sample())];
    let found = set(&panels, Some((side("signed", sample()), &terms)));
    assert!(found.unwrap().remakes[0].turned);
    // With anything else that is off it is the finish.
    let warm = moved("panel", |f| {
        f.measurements = turned.measurements.clone();
        f.measurements.tone_b = Ok(about(20.0, 0.1));
    });
    assert!(!against(&warm, &Terms::default()).perhaps_turned());
}

#[test]
fn a_limit_piece_is_within_what_it_was_signed_for() {
    let [light, dark] =
        [("light", 0.09), ("dark", -0.09)].map(|(photo, by)| silvered(photo, by, 0.03));
    let terms = Terms {
        light: Some(side("light", &light)),
        dark: Some(side("dark", &dark)),
        ..Terms::default()
    };
    for (piece, remark) in [(&light, Remark::SignedLight), (&dark, Remark::SignedDark)] {
        assert_ne!(against(piece, &Terms::default()).verdict, Verdict::Within);
        let m = against(piece, &terms);
        assert!(m.verdict == Verdict::Within && m.has(remark), "{m:?}");
    }
    // Another panel as far off is held to the limits like any other.
    let other = silvered("other", 0.15, 0.01);
    assert_ne!(against(&other, &terms).verdict, Verdict::Within);
}
