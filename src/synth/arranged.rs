//! Where speckles fall.

use rand::RngExt;
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;

use super::area::Area;
use super::finish::Arrangement;
use super::lopsided::towards;
use super::ridges::Lines;
use crate::units::SizeMm;

/// Nearest two centres of the spaced arrangement come, in roots of the area each has to itself. Discs dropped one after
/// the other jam at 0.83 (random sequential adsorption).
const SPACED: f64 = 0.7;
/// Drops tried before a spaced speckle is left out.
const TRIES: usize = 400;

/// What decides where speckles may fall.
pub(super) struct Places<'a> {
    pub(super) area: Area,
    /// The glass.
    pub(super) size: SizeMm,
    pub(super) lines: Option<&'a Lines>,
}

impl Places<'_> {
    /// Centres of so many speckles for each mm².
    pub(super) fn drawn(&self, rng: &mut Pcg64, per_mm2: f64, how: Arrangement) -> Vec<[f64; 2]> {
        let area = self.area;
        let count = (per_mm2 * area.mm2()).round() as usize;
        match how {
            Arrangement::Random => (0..count).map(|_| area.anywhere(rng)).collect(),
            Arrangement::Spaced => spaced(rng, per_mm2, area),
            Arrangement::Clumped {
                clump_radius_mm,
                per_clump,
            } => clumped(rng, per_mm2, area, clump_radius_mm, per_clump),
            Arrangement::Rows {
                spacing_mm,
                angle_deg,
                jitter_mm,
            } => rows(rng, per_mm2, area, spacing_mm, angle_deg, jitter_mm),
            Arrangement::AlongRidges => match self.lines {
                None => (0..count).map(|_| area.anywhere(rng)).collect(),
                Some(lines) => (0..count)
                    .map(|_| likely(rng, area, |[x, y]| lines.taken_at(x, y).powi(NARROW)))
                    .collect(),
            },
            Arrangement::Crowded {
                towards_deg,
                strength,
            } => (0..count)
                .map(|_| {
                    likely(rng, area, |at| {
                        let share = towards(self.size, towards_deg, at);
                        (1.0 + strength * share) / (1.0 + strength)
                    })
                })
                .collect(),
        }
    }
}

/// How narrowly speckles keep to the ridges: the power of the raised cosine that their density follows. At 6 nine in ten
/// lie within a sixth of the spacing of the middle of a line.
const NARROW: i32 = 6;

/// A point drawn with a density in proportion to a chance of at most 1.
fn likely(rng: &mut Pcg64, area: Area, chance: impl Fn([f64; 2]) -> f64) -> [f64; 2] {
    let mut at = area.anywhere(rng);
    for _ in 0..TRIES {
        if rng.random::<f64>() < chance(at) {
            break;
        }
        at = area.anywhere(rng);
    }
    at
}

/// Straight rows, each filled evenly from a start of its own.
fn rows(
    rng: &mut Pcg64,
    per_mm2: f64,
    area: Area,
    spacing_mm: f64,
    angle_deg: f64,
    jitter_mm: f64,
) -> Vec<[f64; 2]> {
    let (sin, cos) = angle_deg.to_radians().sin_cos();
    let middle = [0, 1].map(|i| area.from_mm[i] + area.extent_mm[i] / 2.0);
    let reach = area.extent_mm[0].hypot(area.extent_mm[1]) / 2.0;
    let step_mm = 1.0 / (per_mm2 * spacing_mm);
    let (count, places) = (
        (2.0 * reach / spacing_mm).ceil() as usize,
        (2.0 * reach / step_mm).ceil() as usize,
    );
    let shift = rng.random::<f64>();
    let mut centres = Vec::new();
    for row in 0..count {
        let start = rng.random::<f64>();
        for place in 0..places {
            let [u, v] = [0, 1].map(|_| jitter_mm * rng.sample::<f64, _>(StandardNormal));
            let along = (place as f64 + start) * step_mm - reach + u;
            let across = (row as f64 + shift) * spacing_mm - reach + v;
            let at = [
                middle[0] + along * cos + across * sin,
                middle[1] - along * sin + across * cos,
            ];
            let within = |i: usize| (0.0..area.extent_mm[i]).contains(&(at[i] - area.from_mm[i]));
            if within(0) && within(1) {
                centres.push(at);
            }
        }
    }
    centres
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
