//! One patch is lit unlike the others of its kind.
//!
//! A person sees one card in the shade of the frame. Each patch of three or more is left out in turn: it is shaded when it
//! lies more than 15 % off both what the slope through the others says of its place, and their mean with the panel's own
//! slope taken off. Of two, one is shaded when they differ by more than 35 % that the panel does not share. Fooled by: a
//! panel whose finish pales from one side to the other just as much.

use super::cards::Card;
use super::slope::Slope;
use super::tiles::Tiles;
use crate::frame::placement::PatchKind;
use crate::frame::quad::Point;

/// Most a patch may lie off three or more: twice what curved light and tilted cards make of it.
const MOST: f64 = 0.15;

/// Most two may differ: ln 1.35, more than an honest corner's light does.
const MOST_OF_TWO: f64 = 0.30;

pub(super) fn shaded(cards: &[Card], tiles: &Tiles) -> bool {
    [PatchKind::Mirror, PatchKind::Grey].iter().any(|kind| {
        one_of(
            &cards.iter().filter(|c| c.kind == *kind).collect::<Vec<_>>(),
            tiles,
        )
    })
}

fn one_of(cards: &[&Card], tiles: &Tiles) -> bool {
    let least_px = cards.first().map_or(1.0, |c| c.inner.area().sqrt());
    let most = match cards.len() {
        0 | 1 => return false,
        2 => MOST_OF_TWO,
        _ => MOST,
    };
    (0..cards.len()).any(|out| {
        let others: Vec<(Point, f64)> = (0..cards.len())
            .filter(|i| *i != out)
            .map(|i| (cards[i].centre(), cards[i].level()))
            .collect();
        let (at, level) = (cards[out].centre(), cards[out].level());
        let slope = Slope::through(&others, least_px);
        let with_panel = tiles.light.map(|light| {
            let mean = |of: &dyn Fn(&(Point, f64)) -> f64| {
                others.iter().map(of).sum::<f64>() / others.len() as f64
            };
            mean(&|(_, v)| *v) + light.rise(at) - mean(&|(p, _)| light.rise(*p))
        });
        [Some(slope.at(at)), with_panel]
            .into_iter()
            .flatten()
            .all(|told| (level - told).abs() > most)
    })
}
