//! Light changes across one patch.
//!
//! A person sees the edge of a shadow, a glare, a thumb mark. The patch is cut into 6 × 6 cells. It is uneven when the
//! slope through them changes by more than 6 % from side to side beyond what the other patches or the panel say of the
//! light, or when three cells, more than the tenth its level puts aside, lie off that slope by more than 6 % and by five
//! times what the others do. So a textured card is even: its cells differ, but all alike. Fooled by: a very coarse texture.

use super::cards::{Card, telling};
use super::slope::Slope;
use super::tiles::Tiles;
use crate::frame::quad::Point;
use crate::stats::order::median;
use crate::stats::robust::SD_OVER_MAD;

/// Most a patch may change from one side to the other, and a cell from its neighbours.
const MOST: f64 = 0.06;

/// Deviations of the other cells beyond which one is odd.
const ODD: f64 = 5.0;

/// Standard errors beyond which a change is no noise.
const SURE: f64 = 4.0;

/// Cells of 36 that must be odd.
const ODD_CELLS: usize = 3;

pub(super) fn uneven(cards: &[Card], tiles: &Tiles) -> bool {
    let told = telling(cards);
    let levels: Vec<(Point, f64)> = told.iter().map(|c| (c.centre(), c.level())).collect();
    // Patches close together say nothing of a slope.
    let least_px = told.first().map_or(1.0, |c| c.inner.area().sqrt());
    let honest = [Some(Slope::through(&levels, least_px)), tiles.light];
    cards.iter().any(|card| {
        let cells: Vec<(Point, f64)> = card.cells.iter().map(|c| (c.centre, c.level)).collect();
        let doubt = card.cells.iter().map(|c| c.doubt).fold(0.0, f64::max);
        let slope = Slope::through(&cells, 0.0);
        let change = honest
            .iter()
            .flatten()
            .map(|h| slope.less(h).across(&card.inner))
            .fold(slope.across(&card.inner), f64::min);
        let off: Vec<f64> = cells
            .iter()
            .map(|(at, v)| (v - slope.at(*at)).abs())
            .collect();
        let usual = SD_OVER_MAD * median(&mut off.clone()).unwrap_or(0.0);
        let odd = MOST.max(ODD * usual).max(SURE * doubt);
        change > MOST + SURE * doubt / (cells.len() as f64 / 12.0).sqrt()
            || off.iter().filter(|o| **o > odd).count() >= ODD_CELLS
    })
}

#[cfg(test)]
mod tests {
    use super::super::drawn::{ABOUT, black_tiles, card_of, tiles};
    use super::*;
    use crate::frame::placement::PatchKind;

    fn is(times: impl Fn(usize, usize) -> f64) -> bool {
        let card = card_of(PatchKind::Grey, ABOUT[0], [0.2; 3], times);
        uneven(&[card], &black_tiles(|_| 0.0))
    }

    #[test]
    fn a_patch_is_even_up_to_six_in_a_hundred_from_side_to_side() {
        assert!(!uneven(&[], &black_tiles(|_| 0.0)) && !is(|_, _| 1.0));
        // From the first cell's middle to the last's lie five sixths of the side.
        let slope = |by: f64| is(|c, _| (by * c as f64 / 6.0).exp());
        assert!(!slope(0.059) && slope(0.061) && slope(-0.061));
        let down = |by: f64| is(|_, r| (by * r as f64 / 6.0).exp());
        assert!(!down(0.059) && down(0.061));
    }

    #[test]
    fn three_odd_cells_are_a_mark_and_two_are_none() {
        let mark = |cells: usize, times: f64| {
            is(|c, r| {
                if r == 2 && (2..2 + cells).contains(&c) {
                    times
                } else {
                    1.0
                }
            })
        };
        assert!(!mark(2, 0.8) && mark(3, 0.9) && mark(3, 1.12) && !mark(3, 0.96));
        // A coarse texture differs all over.
        assert!(!is(|c, r| if (c + r) % 2 == 0 { 0.92 } else { 1.08 }));
    }

    #[test]
    fn light_that_the_panel_shares_is_the_lights() {
        let card = || {
            card_of(PatchKind::Grey, ABOUT[0], [0.2; 3], |c, _| {
                (0.1 * c as f64 / 6.0).exp()
            })
        };
        assert!(uneven(&[card()], &tiles(|_, _| [0.4; 3])));
        // A tenth over the patch's 40 pixels.
        assert!(!uneven(
            &[card()],
            &tiles(|x, _| [0.3 * (0.0025 * x).exp(); 3])
        ));
    }
}
