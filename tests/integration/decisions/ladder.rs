//! Panels attacked more and more stand higher and higher on a ladder.

use paneprint::compare::ladder::{Beyond, Rung, stand};
use paneprint::fingerprint::Fingerprint;
use paneprint::synth::{Finish, Speckles};
use rayon::prelude::*;

use super::{SIGNED, learnt, reading, side, signed};

/// The finish with so much veil and so many times as many specks.
fn worn(step: f64, number: u32) -> Fingerprint {
    let like = signed(9700 + u64::from(number));
    let finish = Finish {
        veil: 0.03 + 0.1 * step,
        speckles: like.speckles.clone().map(|s| Speckles {
            per_cm2: s.per_cm2 * (0.5 + step),
            ..s
        }),
        ..like
    };
    reading(&finish, SIGNED, number).fingerprint
}

#[test]
fn a_panel_stands_where_it_was_painted() {
    learnt(SIGNED);
    let steps: Vec<Fingerprint> = [(0.0, 0), (1.0, 1), (2.0, 2)]
        .into_par_iter()
        .map(|(s, n)| worn(s, n))
        .collect();
    let names = ["little", "usual", "much"];
    let rungs: Vec<Rung<'_>> = names
        .iter()
        .zip(&steps)
        .map(|(name, f)| Rung {
            name,
            side: side(name, f),
        })
        .collect();
    let place = |step, number| {
        let panel = worn(step, number);
        stand(side("panel", &panel), &rungs).unwrap()
    };
    let half = place(0.5, 3);
    assert!((half.place.value - 1.5).abs() < 0.2, "{half:?}");
    assert!(half.place.low < 1.5 && half.place.high > 1.5, "{half:?}");
    let third = place(1.5, 4);
    assert!((third.place.value - 2.5).abs() < 0.2, "{third:?}");
    assert_eq!(place(3.5, 5).beyond, Some(Beyond::Heavier));
    let light = Finish::seeded(9799);
    let light = reading(&light, SIGNED, 6).fingerprint;
    assert_eq!(
        stand(side("panel", &light), &rungs).unwrap().beyond,
        Some(Beyond::Lighter)
    );
    let falling: Vec<Rung<'_>> = rungs.iter().rev().copied().collect();
    assert!(stand(side("panel", &light), &falling).is_err());
    assert!(stand(side("panel", &light), &rungs[..1]).is_err());
}
