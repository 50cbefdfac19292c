//! Specks show twice: dust on the front of the glass, and its mirror image.
//!
//! A person sees pairs of equal specks, all the same way apart. Image and grain lie 2 t tan of the angle in the glass apart
//! (0.9 mm on 4 mm glass at 10°, 1.8 mm at 20°, computed for n = 1.52); as the angle grows across a panel seen from near, so
//! does the distance. So pairs of like specks are gathered by their displacement less k times their place, for a
//! range of k; dust makes one sharp peak. It counts when chance would not make it of the pairs around it (Poisson, over all
//! peaks looked at), and when its pairs take up a share of the specks that matters.
//!
//! Ageing scatters specks: clumps raise the number of pairs, but in no one direction and distance. What could fool it: a
//! pattern printed or rolled on.

use rayon::prelude::*;
use statrs::distribution::{DiscreteCDF, Poisson};

use crate::frame::panel::Panel;

/// Furthest that a grain and its image lie apart, mm.
const FURTHEST_MM: f64 = 4.0;

/// Side of a bin of displacements, mm; two by two are summed. Centres of specks are known to a tenth of a millimetre.
const BIN_MM: f64 = 0.125;

/// Bins from none to the furthest, and across the table.
const REACH: usize = 32;
const BINS: usize = 2 * REACH;

/// Steps of the growth of the displacement, mm from the panel's middle to its corner.
const GROWTH_STEP_MM: f64 = 0.2;
const GROWTHS: usize = 16;

/// Most that the larger of a pair is to the smaller.
const ALIKE: f64 = 1.3;

/// Pairs looked at; of more, evenly chosen ones.
const ENOUGH: usize = 12_000;

/// Chance of the peak, over all looked at, at which it is none: a millionth.
const LEAST_LOG10: f64 = 6.0;

/// Least share of the specks that are dust or its image.
const LEAST_SHARE: f64 = 0.1;

/// Fewest pairs.
const FEWEST: f64 = 6.0;

/// A dark spot on a panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Its centre right of and below the top left corner of the silver plane, mm.
    pub centre_mm: [f64; 2],
    /// Equivalent diameter, mm.
    pub diameter_mm: f64,
}

/// A pair: the way from one to the other, and its middle, from the panel's middle in half diagonals.
struct Pair {
    apart: [f64; 2],
    place: [f64; 2],
}

/// The strength of the sign.
pub(super) fn strength(panel: &Panel, spots: &[Spot]) -> f64 {
    let (pairs, every) = pairs(panel, spots);
    if (pairs.len() as f64) < 2.0 * FEWEST {
        return 0.0;
    }
    (0..GROWTHS)
        .into_par_iter()
        .map(|growth| peak(&pairs, every, spots.len(), growth as f64 * GROWTH_STEP_MM))
        .reduce(|| 0.0, f64::max)
}

/// Pairs of like spots, both ways round, and how many each stands for.
fn pairs(panel: &Panel, spots: &[Spot]) -> (Vec<Pair>, f64) {
    let (rows, cols) = panel.silver.dim();
    let half = [cols, rows].map(|n| n as f64 / panel.px_per_mm / 2.0);
    let diagonal = half[0].hypot(half[1]);
    let mut order: Vec<&Spot> = spots.iter().collect();
    order.sort_by(|a, b| a.centre_mm[0].total_cmp(&b.centre_mm[0]));
    let mut found = Vec::new();
    for (i, a) in order.iter().enumerate() {
        let near = |b: &&&Spot| b.centre_mm[0] - a.centre_mm[0] <= FURTHEST_MM;
        for b in order[i + 1..].iter().take_while(near) {
            let apart = [0, 1].map(|k| b.centre_mm[k] - a.centre_mm[k]);
            let ratio = a.diameter_mm / b.diameter_mm;
            if apart[0].hypot(apart[1]) < FURTHEST_MM && ratio.max(1.0 / ratio) <= ALIKE {
                let place = [0, 1]
                    .map(|k| (f64::midpoint(a.centre_mm[k], b.centre_mm[k]) - half[k]) / diagonal);
                found.push((apart, place));
            }
        }
    }
    let every = found.len().div_ceil(ENOUGH).max(1);
    let both = |(apart, place): ([f64; 2], [f64; 2])| {
        [apart, apart.map(|v| -v)].map(|apart| Pair { apart, place })
    };
    (
        found.into_iter().step_by(every).flat_map(both).collect(),
        every as f64,
    )
}

/// The strength of the highest peak of the displacements less the growth.
fn peak(pairs: &[Pair], every: f64, spots: usize, growth_mm: f64) -> f64 {
    let mut table = vec![0u32; BINS * BINS];
    for pair in pairs {
        let at = [0, 1].map(|k| {
            let rest = pair.apart[k] - growth_mm * pair.place[k];
            (rest / BIN_MM).floor() + REACH as f64
        });
        if at.iter().all(|v| (0.0..BINS as f64).contains(v)) {
            table[at[1] as usize * BINS + at[0] as usize] += 1;
        }
    }
    let square = |r: usize, c: usize, side: usize| -> f64 {
        let rows = r..(r + side).min(BINS);
        let sum = |r: usize| table[r * BINS + c..r * BINS + (c + side).min(BINS)].iter();
        rows.flat_map(sum).map(|n| f64::from(*n)).sum()
    };
    let mut strongest = 0.0;
    for r in 4..BINS - 6 {
        for c in 4..BINS - 6 {
            let count = square(r, c, 2);
            let share = 2.0 * count * every / spots as f64;
            if count < FEWEST || share < 0.5 * LEAST_SHARE {
                continue;
            }
            // Around it, a bin's breadth left out.
            let around = (square(r - 4, c - 4, 10) - square(r - 1, c - 1, 4)) * 4.0 / 84.0;
            let chance = log10_of_at_least(count, around.max(0.25));
            let tried = ((GROWTHS * BINS * BINS) as f64).log10();
            strongest = f64::max(
                strongest,
                ((chance - tried) / LEAST_LOG10).min(share / LEAST_SHARE),
            );
        }
    }
    strongest
}

/// Minus the decimal logarithm of the chance of so many or more where `expected` come by chance.
fn log10_of_at_least(count: f64, expected: f64) -> f64 {
    Poisson::new(expected).map_or(0.0, |p| {
        -p.sf((count - 1.0).max(0.0) as u64).max(1e-300).log10()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Plane, drawn};
    use rand::{RngExt, SeedableRng};

    fn spot(x: f64, y: f64, diameter_mm: f64) -> Spot {
        Spot {
            centre_mm: [x, y],
            diameter_mm,
        }
    }

    fn of(spots: &[Spot]) -> f64 {
        strength(&drawn::panel(Plane::ones((100, 100)), 1.0), spots)
    }

    fn scattered(n: usize) -> Vec<Spot> {
        let mut rng = rand_pcg::Pcg64::seed_from_u64(7);
        let mut one = || {
            spot(
                100.0 * rng.random::<f64>(),
                100.0 * rng.random::<f64>(),
                0.6,
            )
        };
        (0..n).map(|_| one()).collect()
    }

    #[test]
    fn no_spots_or_few_are_not_doubled() {
        assert!(of(&[]).abs() < 1e-12 && of(&[spot(5.0, 5.0, 1.0)]).abs() < 1e-12);
        let pair = [spot(5.0, 5.0, 1.0), spot(6.0, 5.0, 1.0)];
        assert!(of(&pair).abs() < 1e-12);
        assert!(of(&scattered(300)) < 1.0);
    }

    #[test]
    fn specks_that_all_have_one_beside_them_are_doubled() {
        let mut spots = scattered(60);
        let image = |diameter_mm| {
            move |s: &Spot| spot(s.centre_mm[0] + 1.2, s.centre_mm[1] - 0.4, diameter_mm)
        };
        spots.extend(scattered(60).iter().map(image(0.6)));
        assert!(of(&spots) > 1.0, "{}", of(&spots));
        // Half as large again they are no images.
        let mut unlike = scattered(60);
        unlike.extend(scattered(60).iter().map(image(0.9)));
        assert!(of(&unlike) < 1.0, "{}", of(&unlike));
    }

    #[test]
    fn pairs_are_of_like_size_and_at_most_four_millimetres_apart() {
        let panel = drawn::panel(Plane::ones((100, 100)), 1.0);
        let count = |x: f64, diameter_mm: f64| {
            pairs(&panel, &[spot(50.0, 50.0, 1.0), spot(x, 50.0, diameter_mm)])
                .0
                .len()
        };
        // Both ways round.
        assert_eq!(
            [count(53.9, 1.0), count(54.1, 1.0), count(46.1, 1.0)],
            [2, 0, 2]
        );
        assert_eq!(
            [
                count(51.0, 1.29),
                count(51.0, 1.31),
                count(51.0, 0.78),
                count(51.0, 0.76)
            ],
            [2, 0, 2, 0]
        );
    }

    #[test]
    fn chances_are_those_of_poissons_law() {
        // One or more of ln 2 expected: a half. Two or more of one: 1 − 2/e.
        assert!((log10_of_at_least(1.0, 2.0_f64.ln()) - 2.0_f64.log10()).abs() < 1e-9);
        assert!(
            (log10_of_at_least(2.0, 1.0) + (1.0 - 2.0 / std::f64::consts::E).log10()).abs() < 1e-9
        );
    }
}
