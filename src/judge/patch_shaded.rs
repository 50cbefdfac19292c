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

#[cfg(test)]
mod tests {
    use super::super::drawn::{ABOUT, card, tiles};
    use super::*;

    fn is(kind: PatchKind, lights: &[f64], panel: impl Fn(f64, f64) -> [f64; 3]) -> bool {
        let cards: Vec<Card> = lights
            .iter()
            .zip(ABOUT)
            .map(|(light, at)| card(kind, at, [*light; 3]))
            .collect();
        shaded(&cards, &tiles(panel))
    }

    #[test]
    fn one_patch_or_none_has_no_others() {
        assert!(!is(PatchKind::Grey, &[], |_, _| [0.5; 3]));
        assert!(!is(PatchKind::Grey, &[0.01], |_, _| [0.5; 3]));
    }

    #[test]
    fn of_two_one_is_shaded_by_a_third_and_of_three_by_a_sixth() {
        for kind in [PatchKind::Grey, PatchKind::Mirror] {
            let is = |lights: &[f64]| is(kind, lights, |_, _| [0.5; 3]);
            assert!(!is(&[0.4, 0.4]) && !is(&[0.4, 0.4 * 1.34]) && is(&[0.4, 0.4 * 1.36]));
            assert!(!is(&[0.4; 3]) && !is(&[0.4, 0.4, 0.4 * 1.15]) && is(&[0.4, 0.4, 0.4 * 1.17]));
            assert!(is(&[0.4, 0.4, 0.4 / 1.17]) && !is(&[0.4, 0.4, 0.4 / 1.15]));
        }
    }

    #[test]
    fn light_that_the_panel_shares_is_no_shade() {
        // Twice as bright 300 pixels to the right.
        let slope = |x: f64, _: f64| [0.2 * (x / 300.0 * 2.0_f64.ln()).exp(); 3];
        assert!(!is(PatchKind::Mirror, &[0.3, 0.6], slope));
        assert!(is(PatchKind::Mirror, &[0.6, 0.3], slope));
        // A grey and a mirror are not held against each other.
        let unlike = [
            card(PatchKind::Grey, ABOUT[0], [0.1; 3]),
            card(PatchKind::Mirror, ABOUT[1], [0.6; 3]),
        ];
        assert!(!shaded(&unlike, &tiles(|_, _| [0.5; 3])));
    }
}
