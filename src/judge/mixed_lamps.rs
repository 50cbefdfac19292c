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
