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
