//! What is true of the speckles, blots and lines.

use super::lines::{Kind, kind};
use super::softness::softness_mm;
use super::{BLOT_MM, quantile};
use crate::synth::dark::{DarkArea, dark_areas};
use crate::synth::field::Painted;
use crate::units::axial;

/// A speckle so many times as long as wide has a direction.
const HAS_AXIS: f64 = 1.5;

#[derive(Default)]
pub(super) struct SpeckleTruth {
    pub(super) centres_mm: Vec<[f64; 2]>,
    pub(super) diameters_mm: Vec<f64>,
    pub(super) blot_pixels: usize,
    pub(super) line_pixels: usize,
    /// Axis ratio and direction of each.
    axes: Vec<(f64, f64)>,
    /// Softness of those that tell one, mm.
    softness_mm: Vec<f64>,
    rings: usize,
    /// Speckles and blots, counted or not.
    pub(super) places: Vec<DarkArea>,
}

impl Painted {
    pub(super) fn speckle_truth(&self, floor_mm: f64) -> SpeckleTruth {
        let mut truth = SpeckleTruth::default();
        for area in dark_areas(self) {
            let diameter_mm = area.diameter_px() / self.px_per_mm;
            let kind = kind(&area, self.px_per_mm);
            if kind == Kind::Line {
                truth.line_pixels += area.on_glass;
                continue;
            }
            if diameter_mm < floor_mm {
                continue;
            }
            if diameter_mm > BLOT_MM {
                truth.blot_pixels += area.on_glass;
            } else if area.is_counted(self) {
                let mm = |px: f64| (px - self.margin_px as f64) / self.px_per_mm;
                truth
                    .centres_mm
                    .push([mm(area.centre[1]), mm(area.centre[0])]);
                truth.diameters_mm.push(diameter_mm);
                truth.axes.push(area.axes());
                if kind == Kind::Ring {
                    truth.rings += 1;
                } else {
                    truth.softness_mm.extend(softness_mm(self, &area));
                }
            }
            truth.places.push(area);
        }
        truth
    }
}

impl SpeckleTruth {
    /// Median axis ratio.
    pub(super) fn elongation(&self) -> Option<f64> {
        let ratios: Vec<f64> = self.axes.iter().map(|(ratio, _)| *ratio).collect();
        quantile(&ratios, 0.5)
    }

    /// Mean direction of the long ones and the length of the mean of their doubled directions.
    pub(super) fn axis(&self) -> Option<(f64, f64)> {
        let doubled = self.axes.iter().filter(|(ratio, _)| *ratio >= HAS_AXIS);
        let (cos, sin, n) = doubled.fold((0.0, 0.0, 0usize), |(cos, sin, n), (_, degrees)| {
            let (s, c) = (2.0 * degrees).to_radians().sin_cos();
            (cos + c, sin + s, n + 1)
        });
        (n > 0).then(|| {
            let degrees = sin.atan2(cos).to_degrees() / 2.0;
            (axial(degrees), cos.hypot(sin) / n as f64)
        })
    }

    pub(super) fn softness(&self) -> Option<f64> {
        quantile(&self.softness_mm, 0.5)
    }

    pub(super) fn ring_fraction(&self) -> Option<f64> {
        let count = self.diameters_mm.len();
        (count > 0).then(|| self.rings as f64 / count as f64)
    }
}
