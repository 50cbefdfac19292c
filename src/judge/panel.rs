//! The signs in the panel: what it reflects and what lies on its glass.

use super::doubled::{self, Spot};
use super::small::Small;
use super::{below_bare, drops, room};
use crate::frame::panel::Panel;
use crate::quality::{Flag, FlagSet};

/// How strongly a panel shows a sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sign {
    /// What it is a sign of.
    pub flag: Flag,
    /// The weakest of what it must show, each as a share of what is asked: from 1 up the flag is raised.
    pub strength: f64,
}

/// So much stronger than usual something of the room must show among drops.
const PLAIN: f64 = 1.25;

/// What is weak about a panel, but for its spots.
#[must_use]
pub fn of_panel(panel: &Panel) -> FlagSet {
    raised(&signs_in_silver(panel))
}

/// What is weak about a panel's spots.
#[must_use]
pub fn of_spots(panel: &Panel, spots: &[Spot]) -> FlagSet {
    raised(&[sign_in_spots(panel, spots)])
}

/// The strength of every sign in the panel.
#[must_use]
pub fn signs_of_panel(panel: &Panel, spots: &[Spot]) -> [Sign; 5] {
    let [room, end, drops, under] = signs_in_silver(panel);
    [room, end, sign_in_spots(panel, spots), drops, under]
}

fn raised(signs: &[Sign]) -> FlagSet {
    let mut flags = FlagSet::default();
    for sign in signs {
        flags.raise_if(sign.strength >= 1.0, sign.flag);
    }
    flags
}

fn signs_in_silver(panel: &Panel) -> [Sign; 4] {
    let small = Small::new(panel);
    let (seen, rims) = rayon::join(|| room::seen(panel, &small), || drops::strength(&small));
    // What is mirrored and black is darker than bare glass, too.
    let under = if seen.strength >= 1.0 {
        0.0
    } else {
        below_bare::strength(&small)
    };
    // A drop is smooth and bright, too: where drops are seen, the room must be plain.
    let room = if rims >= 1.0 {
        seen.strength / PLAIN
    } else {
        seen.strength
    };
    let (room, end) = if seen.board_ends {
        (0.0, room)
    } else {
        (room, 0.0)
    };
    [
        (Flag::RoomReflected, room),
        (Flag::BoardShort, end),
        (Flag::WetDrops, rims),
        (Flag::BelowBare, under),
    ]
    .map(|(flag, strength)| Sign { flag, strength })
}

fn sign_in_spots(panel: &Panel, spots: &[Spot]) -> Sign {
    Sign {
        flag: Flag::DoubledSpecks,
        strength: doubled::strength(panel, spots),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Plane, drawn};

    #[test]
    fn even_panels_and_specks_show_no_sign() {
        for level in [1.0, 0.5, 0.0] {
            let panel = drawn::panel(Plane::from_elem((240, 240), level), 2.0);
            assert_eq!(of_panel(&panel), FlagSet::default());
            assert_eq!(of_spots(&panel, &[]), FlagSet::default());
            assert!(
                signs_of_panel(&panel, &[])
                    .iter()
                    .all(|sign| sign.strength < 1e-9)
            );
        }
    }

    #[test]
    fn a_sign_is_raised_from_one_up() {
        let sign = |strength| Sign {
            flag: Flag::WetDrops,
            strength,
        };
        assert!(
            !raised(&[sign(0.999)]).has(Flag::WetDrops) && raised(&[sign(1.0)]).has(Flag::WetDrops)
        );
        assert_eq!(raised(&[]), FlagSet::default());
    }

    #[test]
    fn what_is_darker_than_bare_glass_all_over_is_below_it() {
        let panel = drawn::panel(Plane::from_elem((240, 240), -0.1), 2.0);
        let flags = of_panel(&panel);
        assert!(flags.has(Flag::BelowBare) && !flags.has(Flag::RoomReflected));
    }
}
