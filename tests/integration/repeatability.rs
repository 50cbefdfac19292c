//! A rig that is known to be unsteady by so much is found to be, and its readings and matches know it from then on.

use std::sync::OnceLock;

use paneprint::compare::study::Session;
use paneprint::compare::{Side, Study, Terms, Verdict, compare, study};
use paneprint::fingerprint::metric::{COVERAGE, figures};
use paneprint::fingerprint::{Fingerprint, Scatter};
use paneprint::normalize::Rig;
use paneprint::stats::spread::Spread;
use paneprint::synth::{Arrangement, Finish, Ridges, Shot, Speckles};

use crate::support::{SAMPLE, SAMPLE_PX_PER_MM, read_shot, sample_rig, sample_shot};

/// How far the card's light is off in each photo, as a share: as if it stood a little otherwise each time.
const CARD_OFF: [f64; 4] = [-0.03, -0.01, 0.015, 0.025];

/// Veiled enough that no light error makes it brighter than full silver.
fn panel() -> Finish {
    Finish {
        veil: 0.12,
        ridges: Some(Ridges {
            angle_deg: 30.0,
            spacing_mm: 6.0,
            depth: 0.08,
            wobble_deg: 3.0,
        }),
        speckles: Some(Speckles {
            per_cm2: 3.0,
            diameter_median_mm: 1.4,
            spread: 0.3,
            arrangement: Arrangement::Random,
            floor: 0.0,
        }),
        ..Finish::seeded(31)
    }
}

/// The same panel put back by hand: another pose, another exposure, other noise.
fn shots() -> [Shot; 4] {
    let poses = [(0.0, 0.0), (2.0, -1.5), (-1.0, 3.0), (1.5, 1.0)];
    let mut seed = 70;
    poses.map(|(tilt_x_deg, tilt_y_deg)| {
        seed += 1;
        Shot {
            tilt_x_deg,
            tilt_y_deg,
            exposure_ev: 0.1 * tilt_x_deg - 0.2,
            seed,
            ..sample_shot()
        }
    })
}

/// The rig as it is in a photo in which its card reads a share too dark.
fn rig_off(share: f64) -> Rig {
    let mut rig = sample_rig().clone();
    for patch in &mut rig.patches {
        patch.silver_over_patch = patch.silver_over_patch.map(|r| r * (1.0 + share));
    }
    rig
}

/// What the four photos say.
fn readings() -> &'static [Fingerprint] {
    static READINGS: OnceLock<Vec<Fingerprint>> = OnceLock::new();
    READINGS.get_or_init(|| {
        let painted = panel().paint(SAMPLE, SAMPLE_PX_PER_MM);
        let read =
            |(shot, off): (Shot, f64)| read_shot(&painted, &shot, Some(&rig_off(off))).fingerprint;
        shots().into_iter().zip(CARD_OFF).map(read).collect()
    })
}

fn side(fingerprint: &Fingerprint) -> Side<'_> {
    Side {
        name: "photo.jpg",
        fingerprint,
    }
}

fn studied() -> Study {
    let session = Session {
        name: "",
        panels: vec![readings().iter().map(side).collect()],
    };
    study(&[session]).unwrap()
}

/// The readings as they are read once the rig has been studied.
fn wiser() -> Vec<Fingerprint> {
    let mut wiser = readings().to_vec();
    for reading in &mut wiser {
        reading.take_on(Some(studied().repeatability));
    }
    wiser
}

#[test]
fn the_scatter_that_was_put_in_is_found() {
    let painted = panel().paint(SAMPLE, SAMPLE_PX_PER_MM);
    let floor = readings()[0].measurements.speckle_floor_mm;
    let coverage = painted.truth(floor).coverage;
    let bare = sample_rig().bare_ratio;
    // Full silver taken too bright by a share makes every level s into ((s (1 − b) + b)/(1 + share) − b)/(1 − b).
    let light = coverage * (1.0 - bare) + bare;
    let told = CARD_OFF.map(|off| (light / (1.0 + off) - bare) / (1.0 - bare));
    let wanted = Spread::of(&told).unwrap().sd().unwrap();
    let found = studied().repeatability.of(&COVERAGE).unwrap();
    assert_eq!(found.dof, 3);
    // Pose, noise and JPEG add about 0.001 to 0.02, and may fall with or against the light.
    assert!(
        (found.sd / wanted - 1.0).abs() < 0.08,
        "{} against {wanted}",
        found.sd
    );
}

#[test]
fn a_reading_in_a_studied_rig_has_wider_intervals_and_the_same_measurements() {
    let study = studied();
    for (before, after) in readings().iter().zip(&wiser()) {
        assert_eq!(before.measurements, after.measurements);
        for row in figures() {
            let (Ok(narrow), Ok(wide)) = (before.measure(row), after.measure(row)) else {
                continue;
            };
            // An end that is cut to what can be stays where it is.
            let (least, most) = row.range;
            let hair = 1e-9;
            let wider = (wide.low < narrow.low - hair || wide.low <= least)
                && (wide.high > narrow.high + hair || wide.high >= most);
            // What came out the same each time has no scatter to widen by.
            let studied = study.repeatability.of(row).is_some_and(|s| s.sd > hair);
            assert_eq!(wider, studied, "{}: {wide:?} against {narrow:?}", row.key);
            // What no photo shows, such as blots, cannot be studied.
            let shown = |f: &Fingerprint| f.measure(row).is_ok_and(|e| e.value > 0.0);
            let studied = study.repeatability.of(row).is_some();
            assert!(studied || !readings().iter().any(shown), "{}", row.key);
        }
    }
}

#[test]
fn two_photos_of_one_panel_are_never_outside_for_less_than_the_limit() {
    let study = studied();
    // A studio that allows nothing.
    let strict = Terms {
        own: figures().map(|row| (row.key.to_owned(), 1e-6)).collect(),
        ..Terms::default()
    };
    let wiser = wiser();
    for (i, panel) in wiser.iter().enumerate() {
        for sample in &wiser[..i] {
            for found in compare(side(sample), side(panel), &strict)
                .unwrap()
                .measures
            {
                let row = found.metric;
                let (Ok(a), Ok(b), Some(said)) = (found.sample, found.panel, found.found) else {
                    continue;
                };
                let limit = study.repeatability.of(row).map_or(0.0, Scatter::limit);
                if row.difference(a.value, b.value).abs() < limit {
                    assert_ne!(said.verdict, Verdict::Outside, "{}: {said:?}", row.key);
                }
            }
        }
    }
}

#[test]
fn a_study_by_other_measures_or_settings_is_not_taken_on() {
    let mut reading = readings()[0].clone();
    let mut stale = studied().repeatability;
    stale.settings_digest = "other".to_owned();
    reading.take_on(Some(stale));
    assert_eq!(reading.repeatability, None);
}

#[test]
fn what_was_kept_before_there_were_studies_is_still_read() {
    let mut kept = serde_json::to_value(&readings()[0]).unwrap();
    kept.as_object_mut().unwrap().remove("repeatability");
    let read: Fingerprint = serde_json::from_value(kept).unwrap();
    assert_eq!(&read, &readings()[0]);
}
