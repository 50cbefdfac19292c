//! What form speckles are asked to have: long, soft at their edges, or light again in the middle.

use rand::RngExt;
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;
use serde::{Deserialize, Serialize};

use super::spots::Form;

/// Widths of a Gaussian edge from 10 to 90 % of its fall, in standard deviations: twice the normal quantile of 0.9.
const TEN_TO_NINETY: f64 = 2.563_103_131;

/// The form of speckles. Whatever it is, each is as large as it was drawn: the area in which more than half of the silver
/// that the speckle takes is gone.
///
/// Default: round, sharp and full.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SpeckShape {
    /// Length over width; 1 is round.
    pub elongation: f64,
    /// Direction of the long ones: axial degrees, anticlockwise from the panel's bottom edge. `None`: each its own way.
    pub angle_deg: Option<f64>,
    /// Standard deviation of their directions about it, degrees.
    pub angle_spread_deg: f64,
    /// Width over which the silver falls from 90 to 10 % at their edges, mm, as across a step under a Gaussian; 0 sharp.
    /// One wider than half of the speckle leaves some silver in its middle.
    pub softness_mm: f64,
    /// Share of the diameter that is light again in the middle; 0 full. The ring is as large in area as a full speckle.
    pub hollow: f64,
}

impl Default for SpeckShape {
    fn default() -> Self {
        SpeckShape {
            elongation: 1.0,
            angle_deg: None,
            angle_spread_deg: 0.0,
            softness_mm: 0.0,
            hollow: 0.0,
        }
    }
}

impl SpeckShape {
    /// The form of the next speckle; `None` where it is round, sharp and full.
    pub(super) fn drawn(&self, rng: &mut Pcg64) -> Option<Form> {
        let anywhere = rng.random::<f64>() * 180.0;
        let off: f64 = rng.sample(StandardNormal);
        let degrees = self
            .angle_deg
            .map_or(anywhere, |mean| mean + self.angle_spread_deg * off);
        let plain =
            (self.elongation - 1.0).abs() < 1e-9 && self.softness_mm <= 0.0 && self.hollow <= 0.0;
        (!plain).then(|| Form {
            elongation: self.elongation,
            turn: degrees.to_radians(),
            sigma_mm: self.softness_mm / TEN_TO_NINETY,
            hollow: self.hollow.clamp(0.0, 0.95),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Plane;
    use crate::synth::spots::{Spot, outline};
    use crate::synth::stream::{Part, stream};

    /// What one speckle of 2 mm takes at 40 px/mm, in the middle of 10 × 10 mm.
    fn laid(shape: SpeckShape, harmonics: usize) -> Plane {
        let mut rng = stream(1, Part::SpeckleTurn, 0);
        let spot = Spot {
            centre_mm: [5.0, 5.0],
            diameter_mm: 2.0,
            floor: 0.0,
            outline: outline(&mut rng, harmonics, 0.1),
            form: shape.drawn(&mut rng),
        };
        let mut silver = Plane::ones((400, 400));
        spot.lay(&mut silver, 40.0, 0);
        silver.mapv(|s| 1.0 - s)
    }

    #[test]
    fn whatever_the_form_the_area_is_that_of_the_diameter() {
        let long = SpeckShape {
            elongation: 3.0,
            angle_deg: Some(20.0),
            ..SpeckShape::default()
        };
        for shape in [
            long,
            SpeckShape {
                softness_mm: 0.6,
                ..SpeckShape::default()
            },
            SpeckShape {
                hollow: 0.5,
                ..long
            },
        ] {
            let taken = laid(shape, 4);
            let dark = taken.iter().filter(|t| **t > 0.5).count() as f64 / 1600.0;
            // A circle of 1 mm radius; pixels of a fortieth of a millimetre.
            assert!((dark / std::f64::consts::PI - 1.0).abs() < 0.01, "{dark}");
        }
    }

    #[test]
    fn a_soft_edge_has_the_width_asked_for() {
        let shape = SpeckShape {
            softness_mm: 0.8,
            ..SpeckShape::default()
        };
        let taken = laid(shape, 0);
        // Out from the centre along a row, at pixel centres.
        let crossing = |level: f32| {
            let c = (200..400).find(|c| taken[[200, *c]] < level).unwrap();
            let (a, b) = (taken[[200, c - 1]], taken[[200, c]]);
            (c as f64 - 1.0 + f64::from((a - level) / (a - b))) / 40.0
        };
        let width = crossing(0.1) - crossing(0.9);
        assert!((width - 0.8).abs() < 0.005, "{width}");
    }

    #[test]
    fn a_hollow_one_is_light_in_the_middle_for_its_share_of_the_diameter() {
        let shape = SpeckShape {
            hollow: 0.5,
            ..SpeckShape::default()
        };
        let taken = laid(shape, 0);
        let row: Vec<bool> = (0..400).map(|c| taken[[200, c]] > 0.5).collect();
        let first = row.iter().position(|d| *d).unwrap();
        let last = row.iter().rposition(|d| *d).unwrap();
        let light = row[first..=last].iter().filter(|d| !**d).count();
        let share = light as f64 / (last - first + 1) as f64;
        assert!((share - 0.5).abs() < 0.02, "{share}");
    }
}
