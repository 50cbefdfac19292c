//! Two kinds of lamp, or a lamp and a window.
//!
//! A person sees one side of the board warmer than the other. Sign: red over green or blue over green differs by more than
//! 5 % between patches of one kind, whole codes of JPEG chroma allowed for, or the colour of the panel's bright tiles
//! changes along a slope by more than 8 % from corner to corner, most tiles (three in five) lying along it within 3 % and
//! the panel's quarters changing alike. Tarnish is local and lies along no slope. Fooled by: tarnish that deepens evenly
//! from one side to the other; cards of two makes.

use super::cards::Card;
use super::slope::Slope;
use super::tiles::{Tiles, ratios};
use crate::frame::quad::{Point, Quad};

/// Most the colour may differ from patch to patch.
const MOST_OF_PATCHES: f64 = 0.05;

/// Most it may change over the panel's corners: more, for silver has a colour of its own.
const MOST_OF_PANEL: f64 = 0.08;

/// Tiles this close to a slope follow it.
const FOLLOWS: f64 = 0.03;

pub(super) fn mixed(cards: &[Card], tiles: &Tiles, corners: &Quad) -> bool {
    (0..2).any(|i| {
        let values: Vec<(Point, f64)> = tiles
            .tiles
            .iter()
            .map(|t| (t.centre, ratios(t.bright)[i]))
            .collect();
        let slope = Slope::of_most(&values, FOLLOWS);
        let over_panel = slope
            .is_some_and(|s| s.across(corners) > MOST_OF_PANEL && s.is_steady(&values, FOLLOWS));
        over_panel || unlike(cards, i)
    })
}

fn unlike(cards: &[Card], i: usize) -> bool {
    cards.iter().enumerate().any(|(n, one)| {
        let rest = cards[n + 1..].iter().filter(|other| other.kind == one.kind);
        rest.clone().any(|other| {
            let room = MOST_OF_PATCHES + one.colour_doubt + other.colour_doubt;
            (one.ratios()[i] - other.ratios()[i]).abs() > room
        })
    })
}

#[cfg(test)]
mod tests {
    use super::super::drawn::{ABOUT, black_tiles, card, corners, tiles};
    use super::*;
    use crate::frame::placement::PatchKind::{Grey, Mirror};

    #[test]
    fn patches_of_one_kind_may_differ_by_five_in_a_hundred() {
        let is = |kinds: [crate::frame::placement::PatchKind; 2], channel: usize, by: f64| {
            let mut light = [0.3; 3];
            light[channel] *= by.exp();
            let two = [
                card(kinds[0], ABOUT[0], [0.3; 3]),
                card(kinds[1], ABOUT[1], light),
            ];
            mixed(&two, &black_tiles(|_| 0.0), &corners())
        };
        for channel in [0, 2] {
            assert!(!is([Grey; 2], channel, 0.0) && !is([Grey; 2], channel, 0.049));
            assert!(is([Grey; 2], channel, 0.051) && is([Mirror; 2], channel, -0.051));
            assert!(!is([Grey, Mirror], channel, 0.2));
        }
        assert!(!mixed(&[], &black_tiles(|_| 0.0), &corners()));
    }

    #[test]
    fn silver_may_change_its_colour_by_eight_in_a_hundred_along_a_slope() {
        let is = |channel: usize, over: f64| {
            let panel = tiles(|_, y| {
                let mut light = [0.3; 3];
                light[channel] *= (over * (y - 200.0) / 200.0).exp();
                light
            });
            mixed(&[], &panel, &corners())
        };
        for channel in [0, 2] {
            assert!(!is(channel, 0.0) && !is(channel, 0.078));
            assert!(is(channel, 0.082) && is(channel, -0.082));
        }
        // Light alone has no colour, and tarnish in one place lies along no slope.
        assert!(!mixed(&[], &tiles(|x, _| [0.1 + x / 800.0; 3]), &corners()));
        let local = tiles(|x, y| {
            if (x - 150.0).hypot(y - 150.0) < 40.0 {
                [0.4, 0.3, 0.15]
            } else {
                [0.3; 3]
            }
        });
        assert!(!mixed(&[], &local, &corners()));
    }
}
