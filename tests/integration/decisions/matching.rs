//! One approved sample, twelve panels of its finish, ten that differ in one thing.

use std::sync::OnceLock;

use paneprint::compare::paint::may_move;
use paneprint::compare::{
    Allowances, Lean, Match, Place, Remark, Terms, Today, Variety, Verdict, compare, compare_today,
};
use paneprint::fingerprint::Fingerprint;
use paneprint::fingerprint::metric::{CLEAR_FRACTION, COVERAGE};
use paneprint::frame::placement::Stage;
use paneprint::synth::{Clouds, Finish, Ridges, Speckles};
use paneprint::words;
use rayon::prelude::*;

use super::{Otherwise, SIGNED, reading, side, signed, tell};
use crate::support::panel_of;

fn sample() -> &'static Fingerprint {
    static SAMPLE: OnceLock<Fingerprint> = OnceLock::new();
    SAMPLE.get_or_init(|| reading(&signed(9000), SIGNED, 0).fingerprint)
}

fn matched(panel: &Fingerprint, terms: &Terms<'_>) -> Match {
    compare(side("signed", sample()), side("panel", panel), terms).unwrap()
}

fn read(finish: &Finish, number: u32) -> Fingerprint {
    reading(finish, SIGNED, number).fingerprint
}

/// Every measure and whole that is not within, for a message.
fn open(m: &Match) -> String {
    let measures = m
        .measures
        .iter()
        .filter_map(|r| Some((r.metric.key, r.found?.verdict)));
    let wholes = m.wholes.iter().map(|w| (w.whole.key, w.verdict));
    let open = measures
        .chain(wholes)
        .filter(|(_, v)| *v != Verdict::Within);
    open.map(|(key, verdict)| format!("{key} {verdict:?} "))
        .collect()
}

#[test]
fn panels_of_the_signed_finish_are_never_outside_and_mostly_within() {
    sample();
    let found: Vec<Match> = (0..12_u32)
        .into_par_iter()
        .map(|i| matched(&read(&signed(9100 + u64::from(i)), i), &Terms::default()))
        .collect();
    let said: Vec<String> = found.iter().map(open).collect();
    let count = |verdict| found.iter().filter(|m| m.verdict == verdict).count();
    tell(&format!(
        "of 12 panels of the finish {} within, {} outside",
        count(Verdict::Within),
        count(Verdict::Outside)
    ));
    assert_eq!(count(Verdict::Outside), 0, "{said:?}");
    assert!(count(Verdict::Within) >= 8, "{said:?}");
}

#[test]
fn a_panel_that_differs_in_one_thing_is_outside_and_the_thing_is_named() {
    sample();
    let found: Vec<(Otherwise, Match)> = (0..10_u32)
        .into_par_iter()
        .map(|i| {
            let otherwise = Otherwise::ALL[i as usize];
            let panel = read(&otherwise.of(signed(9200 + u64::from(i))), i);
            (otherwise, matched(&panel, &Terms::default()))
        })
        .collect();
    let mut outside = 0;
    for (otherwise, m) in &found {
        assert_ne!(m.verdict, Verdict::Within, "{otherwise:?}");
        outside += usize::from(m.verdict == Verdict::Outside);
        let said = words::differences(m).to_lowercase();
        assert!(said.contains(otherwise.said()), "{otherwise:?}: {said}");
    }
    tell(&format!(
        "of 10 panels that differ in one thing {outside} outside"
    ));
    assert!(outside >= 9, "{outside} of 10");
}

/// The whole finish attacked so many times as hard.
fn attacked(seed: u64, times: f64) -> Finish {
    let signed = signed(seed);
    Finish {
        veil: signed.veil * times,
        clouds: signed.clouds.map(|c| Clouds {
            depth: c.depth * times,
            ..c
        }),
        ridges: signed.ridges.map(|r| Ridges {
            depth: r.depth * times,
            ..r
        }),
        speckles: signed.speckles.map(|s| Speckles {
            per_cm2: s.per_cm2 * times,
            ..s
        }),
        ..Finish::seeded(seed)
    }
}

fn lighter() -> &'static Fingerprint {
    static LIGHTER: OnceLock<Fingerprint> = OnceLock::new();
    LIGHTER.get_or_init(|| read(&attacked(9301, 0.45), 1))
}

fn darker() -> &'static Fingerprint {
    static DARKER: OnceLock<Fingerprint> = OnceLock::new();
    DARKER.get_or_init(|| read(&attacked(9302, 1.9), 2))
}

#[test]
fn too_light_and_too_dark_are_told_apart_and_answered_apart() {
    for (panel, lean, next) in [
        (lighter(), Lean::Lighter, "If its back is not painted yet"),
        (darker(), Lean::Darker, "Lost silver does not come back"),
    ] {
        let m = matched(panel, &Terms::default());
        assert_eq!((m.verdict, m.lean), (Verdict::Outside, lean));
        assert!(words::next_step(&m).says.starts_with(next));
    }
}

#[test]
fn signed_light_and_dark_pieces_say_how_far_a_panel_may_go() {
    let light = read(&attacked(9303, 0.4), 3);
    let dark = read(&attacked(9304, 2.1), 4);
    let terms = Terms {
        light: Some(side("light", &light)),
        dark: Some(side("dark", &dark)),
        ..Terms::default()
    };
    for panel in [lighter(), darker()] {
        let m = matched(panel, &terms);
        let coverage = m.found(&COVERAGE).unwrap();
        assert_ne!(coverage.verdict, Verdict::Outside, "{coverage:?}");
        assert!(!m.has(Remark::OnlyStartingAllowances));
    }
    // A light piece that is darker than the sample is no light limit.
    let wrong = Terms {
        light: Some(side("dark", &dark)),
        ..Terms::default()
    };
    assert!(compare(side("signed", sample()), side("panel", lighter()), &wrong).is_err());
}

#[test]
fn a_finish_that_is_meant_to_vary_may_differ_by_its_own_variety() {
    let allowance = |variety| {
        let terms = Terms {
            variety: Some(variety),
            ..Terms::default()
        };
        let m = matched(sample(), &terms);
        m.found(&CLEAR_FRACTION).unwrap().allowance
    };
    let [uniform, random] = [Variety::Uniform, Variety::Random].map(allowance);
    assert!(random > 1.2 * uniform, "{random} against {uniform}");
}

#[test]
fn a_rig_that_disagrees_with_itself_today_blames_no_panel() {
    let sample_today = |level: f64, number| {
        let mut again = read(&signed(9000), number);
        // As if the lamps had sunk: all silver reads so much lower.
        for row in [
            &mut again.measurements.coverage,
            &mut again.measurements.aggressiveness,
        ] {
            *row = row.map(|e| e.scaled(level));
        }
        again
    };
    let (start, steady, sunk) = (
        sample_today(1.0, 5),
        sample_today(1.0, 6),
        sample_today(0.7, 6),
    );
    let against = |end| {
        let today = Today::of(
            side("signed", sample()),
            side("start", &start),
            side("end", end),
        )
        .unwrap();
        let sides = (side("signed", sample()), side("panel", darker()));
        compare_today(sides.0, sides.1, &loose(), Some(&today)).unwrap()
    };
    let m = against(&steady);
    assert_eq!(m.verdict, Verdict::Outside, "{}", open(&m));
    let m = against(&sunk);
    assert_eq!(m.verdict, Verdict::Unsure, "{}", open(&m));
    assert!(m.has(Remark::CannotTellToday));
    assert!(words::verdict(&m, "signed").starts_with("Cannot tell today"));
}

/// Allowances under which the darker panel is outside in coverage alone.
fn loose() -> Terms<'static> {
    let wide = paneprint::fingerprint::metric::figures();
    let mut own: Allowances = wide
        .map(|row| (row.key.to_owned(), row.range.1 - row.range.0))
        .collect();
    own.insert("coverage".to_owned(), 0.05);
    own.insert("look".to_owned(), 10.0);
    Terms {
        own,
        ..Terms::default()
    }
}

#[test]
fn paint_that_could_decide_is_said_and_counted() {
    let at = |stage, finish: &Finish, number| {
        let mut f = read(finish, number);
        f.provenance.placement.stage = Some(stage);
        f
    };
    let backed = at(Stage::Backed, &signed(9000), 7);
    let dry = at(Stage::Dry, &signed(9401), 8);
    let m = compare(
        side("signed", &backed),
        side("panel", &dry),
        &Terms::default(),
    )
    .unwrap();
    let paint = m.paint.unwrap();
    assert!(m.has(Remark::StagesDiffer) && paint.darken > 0.01 && paint.darken < 0.09);
    // A deep veil that paint may darken by more than is allowed cannot be called within before.
    let veiled = Finish {
        veil: 0.4,
        ..Finish::seeded(9402)
    };
    let (backed, dry) = (at(Stage::Backed, &veiled, 9), at(Stage::Dry, &veiled, 10));
    let m = compare(
        side("signed", &backed),
        side("panel", &dry),
        &Terms::default(),
    )
    .unwrap();
    assert!(m.paint.unwrap().decides);
    assert_eq!(m.verdict, Verdict::Unsure);
    let (down, _) = may_move(&dry.measurements, &COVERAGE);
    assert!(down > 0.06, "{down}");
}

#[test]
fn where_the_difference_sits_is_said() {
    let settings = paneprint::measure::Settings::default();
    let painted = signed(9500).paint(SIGNED, 8.0);
    let numbers = |panel| paneprint::measure::measure(&panel, &settings).numbers;
    let even = numbers(panel_of(&painted, 1));
    for (place, darkened) in [
        (Place::Left, (0.0..0.25, 0.0..1.0)),
        (Place::Top, (0.0..1.0, 0.0..0.25)),
        (Place::BottomRight, (0.72..1.0, 0.72..1.0)),
        (Place::Middle, (0.32..0.68, 0.32..0.68)),
    ] {
        let mut panel = panel_of(&painted, 2);
        let (rows, cols) = panel.silver.dim();
        for ((r, c), s) in panel.silver.indexed_iter_mut() {
            let (x, y) = (c as f64 / cols as f64, r as f64 / rows as f64);
            if darkened.0.contains(&x) && darkened.1.contains(&y) {
                *s *= 0.6;
            }
        }
        let found = paneprint::compare::whereabouts::whereabouts(
            &even,
            &numbers(panel),
            |w| w.coverage,
            false,
        );
        assert_eq!(found, Some(place));
    }
}
