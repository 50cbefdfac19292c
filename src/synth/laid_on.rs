//! Laying the dust and the drops of a shot on the glass of a painted panel.

use rand::RngExt;

use super::field::Painted;
use super::glass::{Drops, Dust, doubled_mm};
use super::scene::Scene;
use super::shot::Shot;
use super::spots::{Spot, lognormal, outline};
use super::stream::{Part, stream};
use crate::frame::Plane;

/// The painted panel with what lies on its glass, as this shot sees it.
pub(super) fn laid_on(painted: &Painted, shot: &Shot, scene: &Scene) -> Painted {
    let mut laid = painted.clone();
    if let Some(dust) = &shot.dust {
        dust.lay(&mut laid, shot, scene);
    }
    if let Some(drops) = &shot.drops {
        drops.lay(&mut laid, shot);
    }
    laid
}

/// So many places on the glass, mm right of and below its centre.
fn places(painted: &Painted, per_mm2: f64, rng: &mut rand_pcg::Pcg64) -> Vec<[f64; 2]> {
    let sides = [painted.size.width, painted.size.height];
    let count = (per_mm2 * sides[0] * sides[1]).round() as usize;
    (0..count)
        .map(|_| sides.map(|side| (rng.random::<f64>() - 0.5) * side))
        .collect()
}

impl Dust {
    fn lay(&self, painted: &mut Painted, shot: &Shot, scene: &Scene) {
        let mut rng = stream(shot.seed, Part::Dust, 0);
        let [foot_x, foot_y, away] = scene.camera_mm;
        let corner = [painted.size.width / 2.0, painted.size.height / 2.0];
        for [x, y] in places(painted, self.per_cm2 / 100.0, &mut rng) {
            let (dx, dy) = (x - foot_x, y - foot_y);
            let out = dx.hypot(dy);
            let apart = doubled_mm(self.glass_mm, out.atan2(away).to_degrees());
            let back = if out > 0.0 { apart / out } else { 0.0 };
            let mut grain = Spot {
                centre_mm: [x + corner[0], y + corner[1]],
                diameter_mm: lognormal(&mut rng, self.diameter_median_mm, self.spread),
                floor: self.floor as f32,
                outline: outline(&mut rng, 4, 0.1),
                form: None,
            };
            grain.lay(&mut painted.silver, painted.px_per_mm, painted.margin_px);
            grain.centre_mm[0] -= back * dx;
            grain.centre_mm[1] -= back * dy;
            grain.lay(&mut painted.silver, painted.px_per_mm, painted.margin_px);
        }
    }
}

/// What a drop makes of the light at a share `r` of its radius, before its rim of +1 is scaled: a lens that gathers the
/// light of its outer part into the rim.
fn drop_profile(r: f64) -> (f64, f64) {
    const DARK: f64 = 0.88;
    let step = |from: f64, to: f64| {
        let t = ((r - from) / (to - from)).clamp(0.0, 1.0);
        t * t * (3.0 - 2.0 * t)
    };
    let rim = step(0.66, 0.76) - step(0.94, 1.0);
    let within = 1.0 - step(0.66, 0.76);
    (1.0 - (1.0 - DARK) * within, rim)
}

impl Drops {
    fn lay(&self, painted: &mut Painted, shot: &Shot) {
        let mut rng = stream(shot.seed, Part::Drops, 0);
        let lamp = rng.random::<f64>() * std::f64::consts::TAU;
        for [x, y] in places(painted, self.per_dm2 / 10_000.0, &mut rng) {
            let radius = lognormal(&mut rng, self.diameter_median_mm, self.spread) / 2.0;
            let at = |mm: f64, side: f64| (mm + side / 2.0) * painted.px_per_mm;
            let centre = [at(x, painted.size.width), at(y, painted.size.height)]
                .map(|px| px + painted.margin_px as f64);
            let silver = &mut painted.silver;
            self.lay_one(silver, centre, radius * painted.px_per_mm, lamp);
        }
    }

    fn lay_one(&self, silver: &mut Plane, [x, y]: [f64; 2], radius: f64, lamp: f64) {
        let (rows, cols) = silver.dim();
        let span = |middle: f64, n: usize| {
            let end = |v: f64| v.clamp(0.0, n as f64) as usize;
            end(middle - radius)..end(middle + radius + 1.0)
        };
        for r in span(y, rows) {
            for c in span(x, cols) {
                let (dx, dy) = (c as f64 + 0.5 - x, r as f64 + 0.5 - y);
                let share = dx.hypot(dy) / radius;
                if share < 1.0 {
                    let (within, rim) = drop_profile(share);
                    let towards = 1.0 + 0.5 * (dy.atan2(dx) - lamp).cos();
                    silver[[r, c]] *= (within + self.rim * rim * towards) as f32;
                }
            }
        }
    }
}
