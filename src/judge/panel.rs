//! The signs in the panel: what it reflects and what lies on its glass.

use crate::frame::panel::Panel;
use crate::quality::FlagSet;

/// A dark spot on a panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Its centre right of and below the top left corner of the silver plane, mm.
    pub centre_mm: [f64; 2],
    /// Equivalent diameter, mm.
    pub diameter_mm: f64,
}

/// What is weak about a panel with these spots.
#[must_use]
pub fn of_panel(_panel: &Panel, _spots: &[Spot]) -> FlagSet {
    FlagSet::default()
}
