//! Lines that are neither speckles nor ridges: scratches, cracks, a net, drips.

use rand::RngExt;
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;
use serde::{Deserialize, Serialize};

use super::area::Area;
use super::net::Net;
use super::spots::lognormal;
use super::stream::{Part, stream};
use super::strokes::Stroke;
use crate::frame::Plane;
use crate::units::SizeMm;

/// Thin bare lines, laid over everything else.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Marks {
    /// What they are.
    pub kind: MarkKind,
    /// How many for each square decimetre; of a net, its cells.
    pub per_dm2: f64,
    /// Median length, mm; nothing to a net, which has no ends.
    pub length_mm: f64,
    /// Width, mm; under 2. Single lines vary about it by a tenth.
    pub width_mm: f64,
    /// Silver level left inside, 0 to 1.
    pub floor: f64,
}

/// Kinds of lines.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MarkKind {
    /// Straight.
    Scratches {
        /// Mean direction: axial degrees, anticlockwise from the bottom edge.
        angle_deg: f64,
        /// Standard deviation of the directions, degrees.
        spread_deg: f64,
    },
    /// Winding, with kinks; every other one branches.
    Cracks,
    /// All joined: the borders of cells that fill the panel.
    Net,
    /// Running down from above the top edge to a round end; the length is that below the edge.
    Drips,
}

/// The widest a single line gets, mm.
const WIDEST_MM: f64 = 1.9;
/// Standard deviations of the natural logarithms of length and width.
const LENGTHS: f64 = 0.3;
const WIDTHS: f64 = 0.1;
/// Steps of a crack and of a drip, mm.
const CRACK_STEP_MM: f64 = 0.4;
const DRIP_STEP_MM: f64 = 1.0;
/// How much thinner a drip is above its end than where it began, and how much wider its round end is than its foot.
const DRIP_FOOT: f64 = 0.85;
const DRIP_END: f64 = 1.25;

impl Marks {
    /// Takes the lines out of the silver.
    pub(super) fn lay(
        &self,
        silver: &mut Plane,
        seed: u64,
        size: SizeMm,
        area: Area,
        (px_per_mm, margin_px): (f64, usize),
    ) {
        let cover = if self.kind == MarkKind::Net {
            let cell_mm = 100.0 / self.per_dm2.max(1e-3).sqrt();
            let net = Net::new(cell_mm, seed, area);
            net.cover(silver.dim(), self.width_mm, (px_per_mm, margin_px))
        } else {
            let mut cover = Plane::zeros(silver.dim());
            for stroke in self.strokes(seed, size, area) {
                stroke.lay(&mut cover, px_per_mm, margin_px);
            }
            cover
        };
        let floor = self.floor as f32;
        for (s, share) in silver.iter_mut().zip(&cover) {
            *s += (s.min(floor) - *s) * share;
        }
    }

    fn strokes(&self, seed: u64, size: SizeMm, area: Area) -> Vec<Stroke> {
        let per_mm2 = self.per_dm2 / 10_000.0;
        let filled = match self.kind {
            // As many for the glass as were asked for, wherever they end.
            MarkKind::Drips => area.extent_mm[0] * size.height,
            _ => area.mm2(),
        };
        let mut strokes = Vec::new();
        for which in 0..(per_mm2 * filled).round() as u64 {
            // Of each its own, so that how a line winds leaves the next where it is.
            let mut rng = stream(seed, Part::Marks, which);
            let at = area.anywhere(&mut rng);
            let length = lognormal(&mut rng, self.length_mm, LENGTHS);
            let width = lognormal(&mut rng, self.width_mm, WIDTHS).min(WIDEST_MM);
            match self.kind {
                MarkKind::Scratches {
                    angle_deg,
                    spread_deg,
                } => {
                    let off: f64 = rng.sample(StandardNormal);
                    strokes.push(scratch(at, angle_deg + spread_deg * off, length, width));
                }
                MarkKind::Cracks => {
                    let heading = rng.random::<f64>() * std::f64::consts::TAU;
                    let crack = crack(&mut rng, at, heading, length, width);
                    if rng.random::<f64>() < 0.5 {
                        strokes.push(branch(&mut rng, &crack, length, width));
                    }
                    strokes.push(crack);
                }
                MarkKind::Drips => {
                    let from = [at[0], area.from_mm[1]];
                    strokes.push(drip(
                        &mut rng,
                        from,
                        length,
                        width.min(WIDEST_MM / DRIP_END),
                    ));
                }
                MarkKind::Net => {}
            }
        }
        strokes
    }
}

/// A straight line about a point, with round ends, that covers length × width.
fn scratch([x, y]: [f64; 2], degrees: f64, length: f64, width: f64) -> Stroke {
    let half = (length - width * std::f64::consts::FRAC_PI_4).max(0.0) / 2.0;
    let (sin, cos) = degrees.to_radians().sin_cos();
    let end = |way: f64| ([x + way * half * cos, y - way * half * sin], width / 2.0);
    Stroke(vec![end(-1.0), end(1.0)])
}

/// A line whose heading wanders by 14° a millimetre (root mean square), with a kink of about 35° every 8 mm.
fn crack(rng: &mut Pcg64, from: [f64; 2], heading: f64, length: f64, width: f64) -> Stroke {
    let wander = 14.0 * CRACK_STEP_MM.sqrt();
    let (mut at, mut heading) = (from, heading);
    let mut points = vec![(at, width / 2.0)];
    for _ in 0..(length / CRACK_STEP_MM).round().max(1.0) as usize {
        let [turn, kink]: [f64; 2] = [rng.sample(StandardNormal), rng.sample(StandardNormal)];
        heading += (wander * turn).to_radians();
        if rng.random::<f64>() < CRACK_STEP_MM / 8.0 {
            heading += (35.0 * kink).to_radians();
        }
        at[0] += CRACK_STEP_MM * heading.cos();
        at[1] += CRACK_STEP_MM * heading.sin();
        points.push((at, width / 2.0));
    }
    Stroke(points)
}

/// A thinner and shorter crack that leaves another in its middle half, 35 to 65° off its way.
fn branch(rng: &mut Pcg64, of: &Stroke, length: f64, width: f64) -> Stroke {
    let last = of.0.len() - 1;
    let place = ((0.25 + 0.5 * rng.random::<f64>()) * last as f64) as usize;
    let (from, (to, _)) = (of.0[place].0, of.0[(place + 1).min(last)]);
    let side = if rng.random::<f64>() < 0.5 { -1.0 } else { 1.0 };
    let off = (35.0 + 30.0 * rng.random::<f64>()).to_radians() * side;
    let heading = (to[1] - from[1]).atan2(to[0] - from[0]) + off;
    crack(rng, from, heading, 0.4 * length, 0.8 * width)
}

/// A line down from a point above the glass to `length` below its edge, a little to and fro, with a round end.
fn drip(rng: &mut Pcg64, from: [f64; 2], length: f64, width: f64) -> Stroke {
    let whole = length - from[1];
    let steps = (whole / DRIP_STEP_MM).round().max(2.0) as usize;
    let (mut x, mut lean) = (from[0], 0.0);
    let mut points = Vec::new();
    for step in 0..=steps {
        let share = step as f64 / steps as f64;
        let y = from[1] + share * whole;
        // It gets its round end over the last two widths.
        let end = (1.0 - (1.0 - share) * whole / (2.0 * width)).clamp(0.0, 1.0);
        let trunk = 1.0 - (1.0 - DRIP_FOOT) * share;
        let wide = trunk + (DRIP_END * DRIP_FOOT - trunk) * end * end;
        points.push(([x, y], wide * width / 2.0));
        let push: f64 = rng.sample(StandardNormal);
        lean = 0.9 * lean + 0.025 * push;
        x += lean * DRIP_STEP_MM;
    }
    Stroke(points)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scratch_covers_its_length_times_its_width() {
        for (length, width, degrees) in [(12.0, 0.5, 0.0), (9.0, 0.07, 33.0), (10.0, 1.5, 90.0)] {
            let mut cover = Plane::zeros((300, 300));
            scratch([7.52, 7.49], degrees, length, width).lay(&mut cover, 20.0, 0);
            let mm2 = cover.iter().map(|c| f64::from(*c)).sum::<f64>() / 400.0;
            // Pixels are taken as strips along the line: slanting ones err by little.
            assert!(
                (mm2 / (length * width) - 1.0).abs() < 0.02,
                "{mm2} {length} {width}"
            );
        }
    }

    #[test]
    fn a_drip_comes_from_above_and_ends_where_it_was_asked_to() {
        let mut rng = stream(1, Part::Marks, 0);
        let Stroke(points) = drip(&mut rng, [30.0, -11.0], 25.0, 1.0);
        let ends = [points[0], points[points.len() - 1]];
        assert!((ends[0].0[1] + 11.0).abs() < 1e-9 && (ends[1].0[1] - 25.0).abs() < 1e-9);
        // Round and wider at its end.
        assert!(ends[1].1 > 1.2 * points[points.len() - 5].1);
    }
}
