//! The quick search finds what the exhaustive one finds.

use std::num::NonZero;

use paneprint::compare::find::nearest;
use paneprint::fingerprint::look::{DIMENSIONS, Look};
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;

fn random(rng: &mut Pcg64) -> Look {
    let mut point = [0.0; DIMENSIONS];
    for v in &mut point {
        *v = 3.0 * rng.sample::<f32, _>(StandardNormal);
    }
    Look(point)
}

#[test]
fn among_a_hundred_thousand_looks_the_nearest_are_those_of_the_exhaustive_search() {
    let mut rng = Pcg64::seed_from_u64(77);
    let mut looks: Vec<(i64, Look)> = (0..100_000).map(|id| (id, random(&mut rng))).collect();
    // Some are the same to the last bit, so that only their numbers part them.
    for i in 0..50 {
        looks[i * 7 + 400].1 = looks[i].1;
    }
    for i in 0..20_usize {
        let wanted = if i % 2 == 0 {
            looks[i].1
        } else {
            random(&mut rng)
        };
        let mut all: Vec<(f32, i64)> = looks
            .iter()
            .map(|(id, look)| (look.squared_distance(&wanted, f32::INFINITY).unwrap(), *id))
            .collect();
        all.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for most in [1, 5, 100] {
            let found = nearest(&looks, &wanted, NonZero::new(most).unwrap());
            let ids: Vec<i64> = found.iter().map(|n| n.id).collect();
            let exhaustive: Vec<i64> = all[..most].iter().map(|(_, id)| *id).collect();
            assert_eq!(ids, exhaustive);
        }
    }
    assert!(nearest(&[], &looks[0].1, NonZero::new(3).unwrap()).is_empty());
}
