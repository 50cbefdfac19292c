//! The light falls off across the panel by more than the patches can carry.
//!
//! A person sees one side of the panel brighter than the other. Patches of one kind say how the light changes over the
//! panel's corners: over a factor of 1.6 their slope has left what a straight one can follow. Where full silver is read
//! from mirror patches, the panel's own bright tiles speak for the directions in which these say nothing: over a factor of
//! 1.3. A finish is no slope: most tiles (three in five) must lie along it within 10 %, and the slopes of the panel's
//! quarters scatter little about it. Fooled by: a finish that pales evenly from one side to the other.

use super::cards::{Card, telling};
use super::slope::Slope;
use super::tiles::Tiles;
use crate::frame::placement::PatchKind;
use crate::frame::quad::{Point, Quad};

/// Most the patches may say of the panel's corners: ln 1.6.
const MOST_TOLD: f64 = 0.47;

/// Most the panel may show where the patches say nothing: ln 1.3.
const MOST_UNTOLD: f64 = 0.26;

pub(super) fn too_steep(cards: &[Card], tiles: &Tiles, corners: &Quad) -> bool {
    let cards = telling(cards);
    let Some(first) = cards.first() else {
        // The panel's own envelope follows the light.
        return false;
    };
    let levels: Vec<(Point, f64)> = cards.iter().map(|c| (c.centre(), c.level())).collect();
    let told = Slope::through(&levels, first.inner.area().sqrt());
    let untold = tiles
        .light
        .filter(|_| tiles.steady && first.kind == PatchKind::Mirror)
        .map_or(0.0, |light| told.untold(&light).across(corners));
    told.across(corners) > MOST_TOLD || untold > MOST_UNTOLD
}

#[cfg(test)]
mod tests {
    use super::super::drawn::{ABOUT, black_tiles, card, corners, tiles};
    use super::*;

    #[test]
    fn patches_may_say_a_factor_of_1_6_over_the_corners() {
        // Two patches 300 pixels apart, corners 200: a ratio's logarithm shrinks to two thirds.
        let steep = |ratio: f64| {
            let two = [
                card(PatchKind::Grey, ABOUT[0], [0.2; 3]),
                card(PatchKind::Grey, ABOUT[1], [0.2 * ratio; 3]),
            ];
            too_steep(&two, &black_tiles(|_| 0.0), &corners())
        };
        assert!(!steep(1.0) && !steep(2.02) && steep(2.03) && steep(1.0 / 2.03));
        assert!(!too_steep(&[], &black_tiles(|_| 0.0), &corners()));
    }

    #[test]
    fn the_panel_speaks_where_one_mirror_says_nothing() {
        let steep = |kind, over: f64| {
            let panel = tiles(|x, _| [0.4 * (over * (x - 200.0) / 200.0).exp(); 3]);
            too_steep(&[card(kind, ABOUT[0], [0.5; 3])], &panel, &corners())
        };
        assert!(!steep(PatchKind::Mirror, 0.0) && !steep(PatchKind::Mirror, 0.25));
        assert!(steep(PatchKind::Mirror, 0.27) && steep(PatchKind::Mirror, -0.27));
        assert!(!steep(PatchKind::Grey, 0.4) && !steep(PatchKind::Bare, 0.4));
    }
}
