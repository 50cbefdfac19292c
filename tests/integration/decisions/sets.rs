//! Sets of ten with none, one or two odd panels: exactly those are found.

use paneprint::compare::{Set, Terms, Verdict, set};
use paneprint::fingerprint::Fingerprint;
use paneprint::synth::{Clouds, EdgeLoss, Finish, Ridges};
use paneprint::words;
use rayon::prelude::*;

use super::{Otherwise, SIGNED, SMALL, learnt, reading, side, signed, tell};

/// Three finishes to make sets of.
fn finish(kind: usize, seed: u64) -> Finish {
    let signed = signed(seed);
    match kind {
        0 => signed,
        1 => Finish {
            veil: 0.1,
            clouds: Some(Clouds {
                depth: 0.12,
                scale_mm: 8.0,
            }),
            edge_loss: Some(EdgeLoss {
                depth: 0.3,
                width_mm: 8.0,
            }),
            ..signed
        },
        _ => Finish {
            veil: 0.02,
            ridges: Some(Ridges {
                angle_deg: 100.0,
                spacing_mm: 6.0,
                depth: 0.2,
                wobble_deg: 4.0,
            }),
            ..signed
        },
    }
}

/// Which panels of a set are painted odd.
fn planted(number: usize) -> Vec<usize> {
    let first = (7 * number + 2) % 10;
    let second = (first + 3 + number % 4) % 10;
    let mut odd = [first, second][..number % 3].to_vec();
    odd.sort_unstable();
    odd
}

fn named(panels: &[Fingerprint]) -> Vec<(String, &Fingerprint)> {
    (1..)
        .zip(panels)
        .map(|(i, f)| (format!("panel {i}"), f))
        .collect()
}

/// What differs from the middle of the set.
fn beside(found: &Set, panel: usize) -> String {
    words::differences(&found.beside[panel])
}

#[test]
fn the_odd_ones_of_a_set_are_those_that_were_painted_odd() {
    learnt(SMALL);
    let found: Vec<String> = (0..10_usize)
        .into_par_iter()
        .filter_map(|number| {
            let odd = planted(number);
            let panels: Vec<Fingerprint> = (0..10_usize)
                .map(|i| {
                    let like = finish(number % 2 + number / 5, (20_000 + 100 * number + i) as u64);
                    let painted = match odd.iter().position(|o| *o == i) {
                        Some(which) => Otherwise::ALL[(number + 5 * which) % 10].of(like),
                        None => like,
                    };
                    reading(&painted, SMALL, u32::try_from(10 * number + i).unwrap()).fingerprint
                })
                .collect();
            let named = named(&panels);
            let sides: Vec<_> = named.iter().map(|(name, f)| side(name, f)).collect();
            let found = set(&sides, None).unwrap();
            let is_odd: Vec<usize> = (0..10).filter(|i| !found.odd[*i].is_empty()).collect();
            let remade: Vec<usize> = found.remakes.iter().map(|r| r.panel).collect();
            let why: Vec<String> = (0..10)
                .filter(|i| !odd.contains(i) && (is_odd.contains(i) || remade.contains(i)))
                .map(|i| format!("{i}: {:?}, {}", found.odd[i], beside(&found, i)))
                .collect();
            (is_odd != odd || remade != odd).then(|| {
                format!(
                    "set {number}: {odd:?} painted, {is_odd:?} odd, {remade:?} to remake; {why:?}"
                )
            })
        })
        .collect();
    tell(&format!(
        "of 10 sets {} with exactly the odd ones found",
        10 - found.len()
    ));
    found.iter().for_each(|set| tell(set));
    assert!(found.len() <= 1, "{found:?}");
}

#[test]
fn two_panels_are_a_set_and_a_sample_decides_over_it() {
    let read = |seed, otherwise: Option<Otherwise>, number| {
        let like = signed(seed);
        reading(
            &otherwise.map_or(like.clone(), |o| o.of(like)),
            SIGNED,
            number,
        )
        .fingerprint
    };
    let sample = read(9000, None, 0);
    let veiled = [
        read(9601, Some(Otherwise::MoreVeil), 1),
        read(9602, Some(Otherwise::MoreVeil), 2),
    ];
    let sides = [side("a", &veiled[0]), side("b", &veiled[1])];
    // Alike among themselves, and yet not what was signed.
    assert_eq!(set(&sides, None).unwrap().verdict, Verdict::Within);
    let terms = Terms::default();
    let found = set(&sides, Some((side("signed", &sample), &terms))).unwrap();
    assert_eq!(found.verdict, Verdict::Outside);
    assert_eq!(found.remakes.len(), 2);
    assert!(set(&sides[..1], None).is_err());
    assert!(set(&[sides[0], sides[0]], None).is_err());
}
