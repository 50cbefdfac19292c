//! What stands below the picture of a counted panel, in letters without accents or signs.

use crate::units::axial;

/// The three kinds of area.
pub const CLEAR: &str = "clear";
/// Neither clear nor dark.
pub const VEIL: &str = "veil";
/// Silver gone.
pub const DARK: &str = "dark";

/// A share that could not be measured.
pub const NOT_KNOWN: &str = "not known";

/// Beside a broken ring.
pub const CUT: &str = "cut by the top or left edge, not counted";

/// How many were counted, and how wide half of them are at least, as it is written.
#[must_use]
pub fn speckles(counted: usize, median_mm: Option<&str>) -> String {
    let count = match counted {
        0 => return "no speckles".to_owned(),
        1 => "1 speckle".to_owned(),
        many => format!("{many} speckles"),
    };
    match median_mm {
        Some(median) => format!("{count}, median {median} mm"),
        None => count,
    }
}

/// Which way the streaks run, line by line.
#[must_use]
pub fn streaks(degrees: Option<f64>) -> Vec<String> {
    match degrees {
        Some(degrees) => vec![
            format!("streaks at {:.0} degrees", axial(degrees.round())),
            "to the bottom edge".to_owned(),
        ],
        None => vec!["no streak direction".to_owned()],
    }
}
