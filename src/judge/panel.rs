//! The signs in the panel: what it reflects and what lies on its glass.

use super::room::{self, Seen};
use super::small::Small;
use super::{doubled, drops};
use crate::frame::panel::Panel;
use crate::quality::{Flag, FlagSet};

/// A dark spot on a panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Its centre right of and below the top left corner of the silver plane, mm.
    pub centre_mm: [f64; 2],
    /// Equivalent diameter, mm.
    pub diameter_mm: f64,
}

/// How strongly a panel shows a sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sign {
    /// What it is a sign of.
    pub flag: Flag,
    /// The weakest of what it must show, each as a share of what is asked: from 1 up the flag is raised.
    pub strength: f64,
}

/// What is weak about a panel with these spots.
#[must_use]
pub fn of_panel(panel: &Panel, spots: &[Spot]) -> FlagSet {
    let mut flags = FlagSet::default();
    for sign in signs_of_panel(panel, spots) {
        flags.raise_if(sign.strength >= 1.0, sign.flag);
    }
    flags
}

/// The strength of every sign in the panel.
#[must_use]
pub fn signs_of_panel(panel: &Panel, spots: &[Spot]) -> [Sign; 4] {
    let small = Small::of(panel);
    let (seen, (rims, pairs)) = rayon::join(
        || room::seen(panel, &small),
        || (drops::strength(&small), doubled::strength(panel, spots)),
    );
    let [room, end] = [false, true].map(|ends| match seen {
        Seen {
            strength,
            board_ends,
        } if board_ends == ends => strength,
        _ => 0.0,
    });
    [
        (Flag::RoomReflected, room),
        (Flag::BoardShort, end),
        (Flag::DoubledSpecks, pairs),
        (Flag::WetDrops, rims),
    ]
    .map(|(flag, strength)| Sign { flag, strength })
}
