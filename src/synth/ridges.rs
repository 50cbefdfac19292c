//! Lines of loss that all run about one way, and the direction they truly have.

use super::area::Area;
use super::finish::Ridges;
use super::smooth::{Column, Noise};
use super::stream::{Part, stream};
use super::winding::{Bends, Winding};
use crate::units::{SizeMm, axial};

/// The lines as painted: a plane wave whose fronts are pushed about by a smooth random field.
#[derive(Debug, Clone)]
pub(super) struct Lines {
    /// Unit vector across the lines, x right and y down.
    across: [f64; 2],
    spacing_mm: f64,
    depth: f32,
    /// How far the fronts are pushed, mm for each standard deviation of the field.
    push_mm: f64,
    push: Noise,
    /// Makes some lines fainter than others.
    strength: Noise,
    bends: Option<Bends>,
}

/// How much fainter a line gets, for each standard deviation of its strength.
const FADE: f32 = 0.2;

impl Lines {
    pub(super) fn new(ridges: &Ridges, winding: Option<&Winding>, seed: u64, area: Area) -> Self {
        // The lines keep their direction for a few of them.
        let sigma_mm = 2.5 * ridges.spacing_mm;
        let noise = |part| {
            let mut rng = stream(seed, part, 0);
            Noise::new(&mut rng, sigma_mm, area.from_mm, area.extent_mm)
        };
        // The slope of Gaussian-filtered noise has a standard deviation of 1 / (√2 sigma).
        let push_mm = std::f64::consts::SQRT_2 * sigma_mm * ridges.wobble_deg.to_radians().tan();
        let (sin, cos) = ridges.angle_deg.to_radians().sin_cos();
        Lines {
            // Along the lines is (cos, sin) with y up, so (cos, -sin) with y down.
            across: [sin, cos],
            spacing_mm: ridges.spacing_mm,
            depth: ridges.depth as f32,
            push_mm,
            push: noise(Part::Ridges),
            strength: noise(Part::RidgeDepth),
            bends: winding.map(|winding| Bends::new(winding, ridges.angle_deg, seed, area)),
        }
    }

    pub(super) fn columns(&self, xs_mm: &[f64]) -> Vec<Column> {
        self.push.columns(xs_mm)
    }

    /// Multiplies a row of silver by what the lines leave of it.
    pub(super) fn apply(&self, y_mm: f64, xs_mm: &[f64], columns: &[Column], silver: &mut [f32]) {
        let push = self.push.row(y_mm, columns);
        let strength = self.strength.row(y_mm, columns);
        let turns = 1.0 / self.spacing_mm;
        for (i, s) in silver.iter_mut().enumerate() {
            let mut shift = f64::from(push[i]) * self.push_mm;
            if let Some(bends) = &self.bends {
                shift += bends.at(xs_mm[i], y_mm);
            }
            let along = (xs_mm[i] * self.across[0] + y_mm * self.across[1] + shift) * turns;
            let wave = ((along - along.floor()) as f32 * std::f32::consts::TAU).cos();
            let faint = (1.0 - FADE + FADE * strength[i]).clamp(0.3, 1.0);
            *s *= 1.0 - self.depth * faint * (0.5 + 0.5 * wave);
        }
    }

    /// How far the front at a point is pushed, mm.
    fn shift_mm(&self, x_mm: f64, y_mm: f64) -> f64 {
        let bent = (self.bends.as_ref()).map_or(0.0, |bends| bends.at(x_mm, y_mm));
        self.push.at(x_mm, y_mm) * self.push_mm + bent
    }

    /// How near a point lies to the middle of a line: 1 there, 0 half way between two.
    pub(super) fn taken_at(&self, x_mm: f64, y_mm: f64) -> f64 {
        let across = x_mm * self.across[0] + y_mm * self.across[1];
        let turns = (across + self.shift_mm(x_mm, y_mm)) / self.spacing_mm;
        0.5 + 0.5 * (turns * std::f64::consts::TAU).cos()
    }

    /// Mean axial direction along the lines, degrees anticlockwise from the bottom edge, and mean spacing, mm.
    ///
    /// From the gradient of the phase at points an eighth of the spacing apart all over the panel; the direction as
    /// the mean of doubled angles, each point counting the same; the spacing as one over the mean of lines per mm.
    pub(super) fn direction_and_spacing(&self, size: SizeMm) -> (f64, f64) {
        let step = self.spacing_mm / 8.0;
        let h = step / 2.0;
        let (nx, ny) = (
            (size.width / step).ceil().max(1.0) as usize,
            (size.height / step).ceil().max(1.0) as usize,
        );
        let (mut cos2, mut sin2, mut slope) = (0.0, 0.0, 0.0);
        for j in 0..ny {
            for i in 0..nx {
                let x = (i as f64 + 0.5) * size.width / nx as f64;
                let y = (j as f64 + 0.5) * size.height / ny as f64;
                let rise = |a: f64, b: f64| (a - b) / (2.0 * h);
                let gx = self.across[0] + rise(self.shift_mm(x + h, y), self.shift_mm(x - h, y));
                let gy = self.across[1] + rise(self.shift_mm(x, y + h), self.shift_mm(x, y - h));
                // Along the line: a quarter turn from the gradient, and y up again.
                let doubled = 2.0 * gx.atan2(gy);
                cos2 += doubled.cos();
                sin2 += doubled.sin();
                slope += gx.hypot(gy);
            }
        }
        let mean = (sin2.atan2(cos2) / 2.0).to_degrees();
        (axial(mean), self.spacing_mm * (nx * ny) as f64 / slope)
    }
}
