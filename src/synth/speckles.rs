//! Where speckles and blots fall.

use rand::RngExt;
use rand_pcg::Pcg64;

use super::finish::{Arrangement, Blots, Speckles};
use super::spots::{Spot, lognormal, outline};
use super::stream::{Part, stream};

/// Nothing larger is a speckle; a draw above is brought down to this, well clear of the 6 mm where blots begin.
const LARGEST_SPECKLE_MM: f64 = 5.0;
/// Nothing smaller is surely a blot, once its outline has been painted.
const SMALLEST_BLOT_MM: f64 = 6.6;
/// Nearest two centres of the spaced arrangement come, in roots of the area each has to itself. Discs dropped one after
/// the other jam at 0.83 (random sequential adsorption).
const SPACED: f64 = 0.7;
/// Drops tried before a spaced speckle is left out.
const TRIES: usize = 400;

/// The rectangle to fill: top left corner and extent, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Area {
    pub(super) from_mm: [f64; 2],
    pub(super) extent_mm: [f64; 2],
}

impl Area {
    fn mm2(self) -> f64 {
        self.extent_mm[0] * self.extent_mm[1]
    }

    fn anywhere(self, rng: &mut Pcg64) -> [f64; 2] {
        [0, 1].map(|i| self.from_mm[i] + rng.random::<f64>() * self.extent_mm[i])
    }

    fn grown(self, by_mm: f64) -> Self {
        Area {
            from_mm: self.from_mm.map(|v| v - by_mm),
            extent_mm: self.extent_mm.map(|v| v + 2.0 * by_mm),
        }
    }
}

/// The speckles of a painted area.
pub(super) fn speckles(of: &Speckles, seed: u64, area: Area) -> Vec<Spot> {
    let mut rng = stream(seed, Part::Speckles, 0);
    let per_mm2 = of.per_cm2 / 100.0;
    let centres = match of.arrangement {
        Arrangement::Random => {
            let count = (per_mm2 * area.mm2()).round() as usize;
            (0..count).map(|_| area.anywhere(&mut rng)).collect()
        }
        Arrangement::Spaced => spaced(&mut rng, per_mm2, area),
        Arrangement::Clumped {
            clump_radius_mm,
            per_clump,
        } => clumped(&mut rng, per_mm2, area, clump_radius_mm, per_clump),
    };
    let mut shape = stream(seed, Part::SpeckleShape, 0);
    centres
        .into_iter()
        .map(|centre_mm| Spot {
            centre_mm,
            diameter_mm: lognormal(&mut shape, of.diameter_median_mm, of.spread)
                .min(LARGEST_SPECKLE_MM),
            floor: of.floor as f32,
            outline: outline(&mut shape, 4, 0.07),
        })
        .collect()
}

/// The blots of a painted area.
pub(super) fn blots(of: &Blots, seed: u64, area: Area) -> Vec<Spot> {
    let mut rng = stream(seed, Part::Blots, 0);
    let count = (of.per_dm2 / 10_000.0 * area.mm2()).round() as usize;
    (0..count)
        .map(|_| Spot {
            centre_mm: area.anywhere(&mut rng),
            diameter_mm: lognormal(&mut rng, of.diameter_mm, 0.2).max(SMALLEST_BLOT_MM),
            floor: of.floor as f32,
            outline: outline(&mut rng, 14, 0.14),
        })
        .collect()
}

/// Dropped one after the other; one that falls too near another is dropped again elsewhere. The area is taken to join up
/// with itself left to right and top to bottom, or its border would hold more than its middle.
fn spaced(rng: &mut Pcg64, per_mm2: f64, area: Area) -> Vec<[f64; 2]> {
    let apart = SPACED / per_mm2.sqrt();
    let cells = area.extent_mm.map(|mm| ((mm / apart) as usize).max(1));
    let cell_of = |p: [f64; 2]| {
        [0, 1].map(|i| {
            let share = (p[i] - area.from_mm[i]) / area.extent_mm[i];
            ((share * cells[i] as f64) as usize).min(cells[i] - 1)
        })
    };
    let distance = |p: [f64; 2], q: [f64; 2]| {
        let [x, y] = [0, 1].map(|i| {
            let d = (p[i] - q[i]).abs();
            d.min(area.extent_mm[i] - d)
        });
        x.hypot(y)
    };
    let mut held: Vec<Vec<[f64; 2]>> = vec![Vec::new(); cells[0] * cells[1]];
    let mut centres = Vec::new();
    for _ in 0..(per_mm2 * area.mm2()).round() as usize {
        for _ in 0..TRIES {
            let p = area.anywhere(rng);
            let [i, j] = cell_of(p);
            let near = |at: usize, n: usize| [at + n - 1, at, at + 1].map(|k| k % n);
            let free = near(j, cells[1]).iter().all(|b| {
                near(i, cells[0]).iter().all(|a| {
                    held[b * cells[0] + a]
                        .iter()
                        .all(|q| distance(p, *q) >= apart)
                })
            });
            if free {
                held[j * cells[0] + i].push(p);
                centres.push(p);
                break;
            }
        }
    }
    centres
}

/// Clumps anywhere, and each speckle anywhere in a clump drawn at random.
fn clumped(
    rng: &mut Pcg64,
    per_mm2: f64,
    area: Area,
    radius_mm: f64,
    per_clump: f64,
) -> Vec<[f64; 2]> {
    let wide = area.grown(radius_mm);
    let count = (per_mm2 * wide.mm2()).round() as usize;
    let clumps: Vec<_> = (0..((count as f64 / per_clump).round() as usize).max(1))
        .map(|_| wide.anywhere(rng))
        .collect();
    (0..count)
        .map(|_| {
            let which = (rng.random::<f64>() * clumps.len() as f64) as usize;
            let middle = clumps[which.min(clumps.len() - 1)];
            let (r, turn) = (
                radius_mm * rng.random::<f64>().sqrt(),
                rng.random::<f64>() * std::f64::consts::TAU,
            );
            [middle[0] + r * turn.cos(), middle[1] + r * turn.sin()]
        })
        .collect()
}
