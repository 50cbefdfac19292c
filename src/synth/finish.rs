//! What can be asked of a painted panel.

use serde::{Deserialize, Serialize};

use super::form::SpeckShape;
use super::lopsided::Lopsided;
use super::marks::Marks;
use super::patina::Patina;
use super::winding::Winding;

/// A finish to paint. The silver level at a point is the product of what each part leaves of it.
///
/// Default: a plain mirror, full silver everywhere.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Finish {
    /// Same seed, same panel. Each part draws from a stream of its own.
    pub seed: u64,
    /// Silver lost evenly everywhere, 0 to 1.
    pub veil: f64,
    /// Soft patches of more and less loss.
    pub clouds: Option<Clouds>,
    /// Lines of loss all running about one way.
    pub ridges: Option<Ridges>,
    /// Small bare discs.
    pub speckles: Option<Speckles>,
    /// Large bare areas.
    pub blots: Option<Blots>,
    /// Loss growing towards the cut edges.
    pub edge_loss: Option<EdgeLoss>,
    /// How yellow the remaining silver is: 0 neutral, 1 strong tarnish (b* about 28). Luminance stays as painted,
    /// so red rises, by up to a quarter: mind the exposure.
    pub warmth: f64,
    /// The form of the speckles; round, sharp and full where nothing else is said.
    pub speck_shape: SpeckShape,
    /// Lines that are neither speckles nor ridges.
    pub marks: Option<Marks>,
    /// Bends the ridges, where there are any.
    pub winding: Option<Winding>,
    /// Colour that comes and goes over the remaining silver, at unchanged luminance.
    pub patina: Option<Patina>,
    /// Loss growing towards one side of the panel.
    pub lopsided: Option<Lopsided>,
}

/// A smooth random field of loss: Gaussian-filtered white noise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Clouds {
    /// Mean loss, 0 to 1; it varies by ±45 % of this (one standard deviation), less where it would pass 1.
    pub depth: f64,
    /// Distance at which the autocorrelation falls to 1/e, mm; from 0.5 up.
    pub scale_mm: f64,
}

/// Loss that comes and goes across one direction, as a raised cosine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ridges {
    /// Direction along the lines: axial degrees, anticlockwise from the panel's bottom edge, seen from the front.
    pub angle_deg: f64,
    /// Distance from line to line, mm.
    pub spacing_mm: f64,
    /// Loss in the middle of a line, 0 to 1; between the lines there is none, and the mean is half of this.
    pub depth: f64,
    /// Standard deviation of the local direction, degrees; 0 to about 20. The spacing varies in the same measure.
    pub wobble_deg: f64,
}

/// Small bare discs, slightly out of round.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Speckles {
    /// Discs laid per square centimetre; those that touch run together.
    pub per_cm2: f64,
    /// Median diameter of an equal-area circle, mm.
    pub diameter_median_mm: f64,
    /// Standard deviation of the natural logarithm of the diameter.
    pub spread: f64,
    /// How they lie to each other.
    pub arrangement: Arrangement,
    /// Silver level left inside, 0 to 1.
    pub floor: f64,
}

/// How speckles lie to each other.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Arrangement {
    /// Anywhere, each without regard to the others.
    #[default]
    Random,
    /// No two centres nearer than 0.7 of the root of the area each has to itself.
    Spaced,
    /// In round clumps.
    Clumped {
        /// Radius of a clump, mm.
        clump_radius_mm: f64,
        /// Mean number in a clump.
        per_clump: f64,
    },
    /// In straight rows, evenly along each.
    Rows {
        /// Distance from row to row, mm.
        spacing_mm: f64,
        /// Direction of the rows: axial degrees, anticlockwise from the bottom edge.
        angle_deg: f64,
        /// Standard deviation of how far a speckle lies off its place, along and across, mm.
        jitter_mm: f64,
    },
    /// Where the ridges take most; anywhere where there are no ridges.
    AlongRidges,
    /// Denser towards one side of the panel.
    Crowded {
        /// The way they grow denser, degrees anticlockwise from the panel's right.
        towards_deg: f64,
        /// How much denser than in the middle at that side, and how much thinner at the other: 0 alike, 1 none are left
        /// at the far side.
        strength: f64,
    },
}

/// Large ragged dark areas.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Blots {
    /// Blots per square decimetre.
    pub per_dm2: f64,
    /// Median diameter of an equal-area circle, mm; none is under 6.6 mm.
    pub diameter_mm: f64,
    /// Silver level left inside, 0 to 1.
    pub floor: f64,
}

/// Loss that dies away exponentially from the nearest cut edge inwards, and stays at its depth beyond the cut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct EdgeLoss {
    /// Loss at the cut edge, 0 to 1.
    pub depth: f64,
    /// Distance inwards at which it has fallen to 1/e, mm.
    pub width_mm: f64,
}

impl Finish {
    /// A plain mirror under this seed, to be given parts.
    #[must_use]
    pub fn seeded(seed: u64) -> Self {
        Finish {
            seed,
            ..Finish::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_finish_is_written_out_and_read_back_and_what_is_left_out_is_plain() {
        let finish = Finish {
            speckles: Some(Speckles {
                per_cm2: 2.0,
                diameter_median_mm: 0.8,
                spread: 0.3,
                arrangement: Arrangement::Clumped {
                    clump_radius_mm: 6.0,
                    per_clump: 5.0,
                },
                floor: 0.1,
            }),
            ..Finish::seeded(9)
        };
        let text = serde_json::to_string(&finish).unwrap();
        assert_eq!(serde_json::from_str::<Finish>(&text).unwrap(), finish);
        let plain: Finish = serde_json::from_str(r#"{"seed": 4}"#).unwrap();
        assert_eq!(plain, Finish::seeded(4));
    }
}
