//! Bare spots: where each lies, its outline and its form, and laying it into the silver.

use rand::RngExt;
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;
use statrs::function::erf::erf;

use crate::frame::Plane;

/// A bare spot with a star-shaped outline.
#[derive(Debug, Clone)]
pub(super) struct Spot {
    /// Centre, mm right of and below the panel's top left corner.
    pub(super) centre_mm: [f64; 2],
    /// Diameter of the circle of equal area, mm.
    pub(super) diameter_mm: f64,
    /// Silver level left inside.
    pub(super) floor: f32,
    /// Amplitude relative to the radius, and phase, of the 2nd, 3rd, … harmonic of the outline.
    pub(super) outline: Vec<(f64, f64)>,
    /// What else there is to its form; `None` for a round, sharp, full one.
    pub(super) form: Option<Form>,
}

/// The form of one speckle.
#[derive(Debug, Clone, Copy)]
pub(super) struct Form {
    pub(super) elongation: f64,
    /// Anticlockwise from the bottom edge, radians.
    pub(super) turn: f64,
    /// Standard deviation of the Gaussian its edge is soft by, mm.
    pub(super) sigma_mm: f64,
    pub(super) hollow: f64,
}

/// Corners of the polygon an outline is drawn as. It has exactly the area asked for, and lies within a five-hundredth of
/// its radius of the smooth outline.
const CORNERS: usize = 64;

/// An outline of `count` harmonics whose amplitudes have the standard deviation `first` at the 2nd and fall off as
/// one over the order.
pub(super) fn outline(rng: &mut Pcg64, count: usize, first: f64) -> Vec<(f64, f64)> {
    (0..count)
        .map(|k| {
            let size: f64 = rng.sample(StandardNormal);
            let phase = rng.random::<f64>() * std::f64::consts::TAU;
            (first * 2.0 / (k + 2) as f64 * size.clamp(-2.0, 2.0), phase)
        })
        .collect()
}

/// Diameter drawn from a lognormal.
pub(super) fn lognormal(rng: &mut Pcg64, median: f64, log_sd: f64) -> f64 {
    let z: f64 = rng.sample(StandardNormal);
    median * (log_sd * z).exp()
}

impl Spot {
    /// Lays the spot into the silver: at its outline the level changes over one pixel, in proportion to the share of
    /// the pixel it covers.
    pub(super) fn lay(&self, silver: &mut Plane, px_per_mm: f64, margin_px: usize) {
        if let Some(form) = &self.form {
            form.lay(self, silver, px_per_mm, margin_px);
            return;
        }
        let at = |mm: f64| mm * px_per_mm + margin_px as f64;
        let [x, y] = self.centre_mm.map(at);
        let reach: f64 = self.outline.iter().map(|(a, _)| a.abs()).sum();
        let power: f64 = self.outline.iter().map(|(a, _)| a * a).sum();
        let round = self.diameter_mm / 2.0 * px_per_mm / (1.0 + power / 2.0).sqrt();
        let (radius, most) = soft_radius(round);
        let (inner, outer) = (radius * (1.0 - reach) - 0.5, radius * (1.0 + reach) + 0.5);
        let span = |middle: f64, n: usize| {
            let first = (middle - outer - 0.5).floor().clamp(0.0, n as f64);
            let end = (middle + outer + 0.5).ceil().clamp(0.0, n as f64);
            first as usize..end as usize
        };
        let (rows, cols) = silver.dim();
        for r in span(y, rows) {
            let dy = r as f64 + 0.5 - y;
            for c in span(x, cols) {
                let dx = c as f64 + 0.5 - x;
                let d = dx.hypot(dy);
                let share = if d <= inner {
                    1.0
                } else if d >= outer {
                    continue;
                } else {
                    let angle = dy.atan2(dx);
                    let edge = self.outline.iter().zip(2u32..).fold(1.0, |e, ((a, p), k)| {
                        e + a * (f64::from(k) * angle + p).cos()
                    });
                    (0.5 + radius * edge.max(0.1) - d).clamp(0.0, 1.0)
                };
                let s = &mut silver[[r, c]];
                *s += (s.min(self.floor) - *s) * (share * most) as f32;
            }
        }
    }
}

/// Radius and height of the cone-edged disc, one pixel soft, that covers as much as a sharp disc of radius `r`, all in
/// pixels: the soft one covers π (r² + 1/12).
fn soft_radius(r: f64) -> (f64, f64) {
    if r * r >= 1.0 / 3.0 {
        ((r * r - 1.0 / 12.0).sqrt(), 1.0)
    } else {
        (0.5, 3.0 * r * r)
    }
}

impl Form {
    /// Lays a spot of this form into the silver. How much it takes at a point follows from the distance to its outline
    /// alone.
    fn lay(&self, spot: &Spot, silver: &mut Plane, px_per_mm: f64, margin_px: usize) {
        let [x, y] = spot.centre_mm.map(|mm| mm * px_per_mm + margin_px as f64);
        let outline = self.outline(spot, px_per_mm);
        let sigma = self.sigma_mm * px_per_mm;
        let farthest = outline.iter().map(|p| p[0].hypot(p[1])).fold(0.0, f64::max);
        let reach = farthest + 3.0 * sigma + 1.0;
        let (rows, cols) = silver.dim();
        let span = |middle: f64, n: usize| {
            let end = |v: f64| v.clamp(0.0, n as f64) as usize;
            end((middle - reach).floor())..end((middle + reach).ceil())
        };
        for r in span(y, rows) {
            for c in span(x, cols) {
                let at = [c as f64 + 0.5 - x, r as f64 + 0.5 - y];
                let mut share = taken(outside(&outline, at), sigma);
                if self.hollow > 0.0 && share > 0.0 {
                    let within = self.hollow * outside(&outline, at.map(|v| v / self.hollow));
                    share *= 1.0 - taken(within, sigma);
                }
                let s = &mut silver[[r, c]];
                *s += (s.min(spot.floor) - *s) * share as f32;
            }
        }
    }

    /// The outline about the spot's centre, pixels, y down.
    fn outline(&self, spot: &Spot, px_per_mm: f64) -> [[f64; 2]; CORNERS] {
        let (sin, cos) = self.turn.sin_cos();
        let stretch = self.elongation.max(1e-3).sqrt();
        let mut corners = [[0.0; 2]; CORNERS];
        for (k, corner) in corners.iter_mut().enumerate() {
            let angle = k as f64 / CORNERS as f64 * std::f64::consts::TAU;
            let edge = spot.outline.iter().zip(2u32..).fold(1.0, |e, ((a, p), k)| {
                e + a * (f64::from(k) * angle + p).cos()
            });
            let along = edge.max(0.1) * angle.cos() * stretch;
            let across = edge.max(0.1) * angle.sin() / stretch;
            *corner = [along * cos - across * sin, -along * sin - across * cos];
        }
        let twice: f64 = sides(&corners)
            .map(|(p, q)| p[0] * q[1] - p[1] * q[0])
            .sum();
        let radius = spot.diameter_mm / 2.0 * px_per_mm;
        let wanted = std::f64::consts::PI * radius * radius / (1.0 - self.hollow * self.hollow);
        let grow = (wanted / (twice.abs() / 2.0)).sqrt();
        corners.map(|p| p.map(|v| v * grow))
    }
}

fn sides(corners: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    let next = corners.iter().cycle().skip(1);
    corners.iter().copied().zip(next.copied())
}

/// Distance outside a polygon; under 0 inside.
fn outside(corners: &[[f64; 2]], [x, y]: [f64; 2]) -> f64 {
    let (mut nearest, mut inside) = (f64::MAX, false);
    for (p, q) in sides(corners) {
        let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
        let (px, py) = (x - p[0], y - p[1]);
        let along = ((px * dx + py * dy) / (dx * dx + dy * dy)).clamp(0.0, 1.0);
        let (ox, oy) = (px - along * dx, py - along * dy);
        nearest = nearest.min(ox * ox + oy * oy);
        if (p[1] > y) != (q[1] > y) && x < p[0] + (y - p[1]) * dx / dy {
            inside = !inside;
        }
    }
    if inside {
        -nearest.sqrt()
    } else {
        nearest.sqrt()
    }
}

/// Share taken at so many pixels outside an outline that is soft by a Gaussian; over one pixel where it is sharp.
fn taken(outside: f64, sigma: f64) -> f64 {
    // A Gaussian of this width falls as steeply as the pixel does.
    if sigma < 0.4 {
        (0.5 - outside).clamp(0.0, 1.0)
    } else {
        0.5 - 0.5 * erf(outside / (sigma * std::f64::consts::SQRT_2))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::synth::stream::{Part, stream};

    #[test]
    fn a_spot_covers_the_area_of_its_diameter_whatever_its_outline() {
        let mut rng = stream(1, Part::Blots, 0);
        for (diameter_mm, harmonics, tolerance) in [
            (0.02, 0, 0.2),
            (0.1, 0, 0.05),
            (1.0, 3, 0.01),
            (12.0, 9, 0.01),
        ] {
            let spot = Spot {
                centre_mm: [12.03, 12.01],
                diameter_mm,
                floor: 0.0,
                outline: outline(&mut rng, harmonics, 0.12),
                form: None,
            };
            let mut silver = Plane::ones((480, 480));
            spot.lay(&mut silver, 20.0, 0);
            let bare: f64 = silver.iter().map(|s| 1.0 - f64::from(*s)).sum();
            let area = std::f64::consts::PI * (diameter_mm * 10.0).powi(2);
            assert!(
                (bare / area - 1.0).abs() < tolerance,
                "{diameter_mm}: {bare} {area}"
            );
        }
    }
}
