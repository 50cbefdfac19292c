//! Quantities that cross a module border, each carrying its unit in its type or its name.

pub mod kept;
mod length;

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

pub use length::{LengthUnit, length_mm};

/// The real width and height of a panel as it hangs, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SizeMm {
    /// Left to right, mm.
    pub width: f64,
    /// Bottom to top, mm.
    pub height: f64,
}

impl SizeMm {
    /// Area in square centimetres.
    #[must_use]
    pub fn area_cm2(self) -> f64 {
        self.width * self.height / 100.0
    }

    /// The shorter of the two sides, mm.
    #[must_use]
    pub fn short_side(self) -> f64 {
        self.width.min(self.height)
    }
}

impl fmt::Display for SizeMm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} x {} mm", trim(self.width), trim(self.height))
    }
}

/// At most one decimal, and none where it would be a zero.
fn trim(mm: f64) -> f64 {
    (mm * 10.0).round() / 10.0
}

/// A square place on a panel as it hangs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PlaceMm {
    /// From the panel's left edge to its own, mm.
    pub left: f64,
    /// From the panel's top edge to its own, mm.
    pub top: f64,
    /// Its side, mm.
    pub side: f64,
}

/// Why a size was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SizeError {
    /// Not two figures and a unit.
    #[error("`{0}` is not a size; write width first, like 600x400mm, 60x40cm or 24x16in")]
    Form(String),
    /// Two figures, and nothing says what they count.
    #[error("`{0}` has no unit; write it like {0}mm, {0}cm or {0}in")]
    NoUnit(String),
    /// No pane of glass has this size.
    #[error("`{0}` cannot be a panel: each side must be from 5 mm to 10 m")]
    Impossible(String),
}

/// How many times as wide as high a panel is, as it hangs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proportions(pub f64);

impl From<SizeMm> for Proportions {
    fn from(size: SizeMm) -> Self {
        Proportions(size.width / size.height)
    }
}

/// Why proportions were refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` are no proportions; write width and height like 3:2, at most 20 times one another")]
pub struct ProportionsError(String);

/// Reads `3:2`.
impl FromStr for Proportions {
    type Err = ProportionsError;

    fn from_str(text: &str) -> Result<Self, ProportionsError> {
        let read = || {
            let (width, height) = text.split_once(':')?;
            let [width, height] = [width, height].map(|v| v.trim().parse::<f64>().ok());
            Some(width? / height?).filter(|times| (0.05..=20.0).contains(times))
        };
        let times = read().ok_or_else(|| ProportionsError(text.to_owned()))?;
        Ok(Proportions(times))
    }
}

/// Reads a share of one: `4 %`, `4%` or `0.04`.
#[must_use]
pub fn share_typed(text: &str) -> Option<f64> {
    let number = |text: &str| text.trim().parse().ok().filter(|n: &f64| n.is_finite());
    match text.trim().strip_suffix('%') {
        Some(per_cent) => Some(number(per_cent)? / 100.0),
        None => number(text),
    }
}

/// A distance to look from, metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Metres(pub f64);

/// Where panels are judged when nothing else is said: 1.8 m, 6 feet (terms of studios).
impl Default for Metres {
    fn default() -> Self {
        Metres(1.8)
    }
}

impl fmt::Display for Metres {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}m", self.0)
    }
}

/// Why a distance was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is no distance; write it like 1.8m, 1800mm, 6ft or 72in, from 0.2 m to 100 m")]
pub struct MetresError(String);

/// A figure and the 95 % interval that the panel itself supports.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// The figure.
    pub value: f64,
    /// Lower end of the 95 % interval.
    pub low: f64,
    /// Upper end of the 95 % interval.
    pub high: f64,
}

impl Estimate {
    /// The same estimate in a unit `factor` times smaller.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Estimate {
            value: self.value * factor,
            low: self.low * factor,
            high: self.high * factor,
        }
    }
}

/// Why a measure has no value on this panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Unmeasured {
    /// No direction stands out from what chance gives.
    NoDirection,
    /// The streaks come at no regular distance.
    NoSpacing,
    /// Too few speckles to speak of their size or how they lie.
    TooFewSpeckles,
    /// The silver is too even to hold clouds.
    EvenSilver,
    /// No silver left to see a tone in.
    NoSilver,
    /// The panel holds too few independent windows.
    PanelTooSmall,
    /// It was read from a silver map, which holds no colour.
    NoColourKept,
    /// It tells how far two panels lie apart.
    OnlyOfTwo,
    /// Too little of the silver is coloured to speak of a hue.
    NoPatina,
    /// The colour is too even to come in patches.
    EvenColour,
    /// The patches of colour are of sizes too unlike for one figure.
    ManySizes,
    /// Too little lies about dark places, or too little elsewhere.
    NoDarkPlaces,
    /// It was read before this was measured.
    NotReadThen,
}

impl Unmeasured {
    /// What a reading says of a measure that is younger than itself.
    ///
    /// # Errors
    /// Always: there is no figure.
    pub fn not_read_then() -> Measure {
        Err(Unmeasured::NotReadThen)
    }
}

impl fmt::Display for Unmeasured {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Unmeasured::NoDirection => "no direction stands out from what chance gives",
            Unmeasured::NoSpacing => "the streaks come at no regular distance",
            Unmeasured::TooFewSpeckles => "too few speckles to speak of their size or how they lie",
            Unmeasured::EvenSilver => "the silver is too even to hold clouds",
            Unmeasured::NoSilver => "no silver left to see a tone in",
            Unmeasured::PanelTooSmall => "the panel is too small to tell",
            Unmeasured::NoColourKept => "a silver map holds no colour",
            Unmeasured::OnlyOfTwo => "it is told of two panels, not of one",
            Unmeasured::NoPatina => "too little of the silver is coloured to speak of a hue",
            Unmeasured::EvenColour => "the colour is too even to come in patches",
            Unmeasured::ManySizes => {
                "the colour comes in patches of sizes too unlike for one figure"
            }
            Unmeasured::NoDarkPlaces => {
                "too little of the silver lies about dark places, or too little elsewhere"
            }
            Unmeasured::NotReadThen => "it was read before this was measured",
        })
    }
}

/// A measure: an estimate, or the reason there is none.
pub type Measure = Result<Estimate, Unmeasured>;

/// Folds any angle in degrees into the axial range [0, 180).
#[must_use]
pub fn axial(degrees: f64) -> f64 {
    let folded = degrees.rem_euclid(180.0);
    if folded >= 180.0 { 0.0 } else { folded }
}

/// Signed smallest turn from axis `from` to axis `to`, degrees in (−90, 90].
#[must_use]
pub fn axial_difference(from: f64, to: f64) -> f64 {
    let turn = axial(to - from);
    if turn > 90.0 { turn - 180.0 } else { turn }
}

/// Folds any angle in degrees into the whole circle [0, 360).
#[must_use]
pub fn circular(degrees: f64) -> f64 {
    let folded = degrees.rem_euclid(360.0);
    if folded >= 360.0 { 0.0 } else { folded }
}

/// Signed smallest turn from direction `from` to direction `to`, degrees in (−180, 180].
#[must_use]
pub fn circular_difference(from: f64, to: f64) -> f64 {
    let turn = circular(to - from);
    if turn > 180.0 { turn - 360.0 } else { turn }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn directions_near_0_and_360_are_neighbours() {
        assert!((circular_difference(359.0, 1.0) - 2.0).abs() < 1e-9);
        assert!((circular_difference(1.0, 359.0) + 2.0).abs() < 1e-9);
        assert!((circular_difference(0.0, 180.0) - 180.0).abs() < 1e-9);
        assert!((circular(-15.0) - 345.0).abs() < 1e-9);
        assert!(circular(-1e-20) < 360.0);
    }

    #[test]
    fn axes_near_0_and_180_are_neighbours() {
        assert!((axial_difference(179.0, 1.0) - 2.0).abs() < 1e-9);
        assert!((axial_difference(1.0, 179.0) + 2.0).abs() < 1e-9);
        assert!((axial(-15.0) - 165.0).abs() < 1e-9);
        assert!(axial(-1e-20) < 180.0);
    }
}
