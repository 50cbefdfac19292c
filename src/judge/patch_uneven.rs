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
