//! Dark places that are darker than bare glass.
//!
//! Where the silver is gone the front of the glass still shows the board, a sixteenth as bright as full silver. Nothing on the panel is
//! darker in the same light, so where much is, full silver was taken for brighter than it is: a lamp shines on the card and not on
//! the board, or the phone deepened the dark places.
//!
//! Sign: within bare places (cells of half a millimetre with nothing but bare ones about them, a thousandth of the panel and in more
//! than four tiles of 144) half lie more than 0.027 of full silver under bare glass over paint; glass over black that sends nothing
//! back lies 0.019 under it. Fooled by: black things mirrored here and there in the panel.

use super::small::Small;
use crate::ops::reduce::block_mean;
use crate::stats::order::median;

/// Side of a cell, mm.
const CELL_MM: f64 = 0.5;

/// Silver level of a bare place, and how far under bare glass half of those must lie.
const BARE_BELOW: f32 = 0.1;
const UNDER: f64 = -0.027;

/// Least share of the panel that must be bare.
const SHARE: f64 = 0.001;

/// Tiles along each side, and how many the dark dot of a lens can touch.
const TILES: usize = 12;
const OF_A_DOT: usize = 4;

/// How strongly a panel shows the sign: from 1 up it does.
pub(super) fn strength(small: &Small) -> f64 {
    let cells = block_mean(
        &small.fine,
        (CELL_MM / small.fine_mm).round().max(1.0) as usize,
    );
    let (rows, cols) = cells.dim();
    let mut tiles = [false; TILES * TILES];
    let mut within = Vec::new();
    for r in 1..rows.max(2) - 1 {
        for c in 1..cols.max(2) - 1 {
            let about = (r - 1..=r + 1).flat_map(|r| (c - 1..=c + 1).map(move |c| [r, c]));
            if about.into_iter().all(|at| cells[at] < BARE_BELOW) {
                within.push(f64::from(cells[[r, c]]));
                tiles[r * TILES / rows * TILES + c * TILES / cols] = true;
            }
        }
    }
    let enough = within.len() as f64 / cells.len().max(1) as f64 / SHARE;
    if tiles.iter().filter(|t| **t).count() <= OF_A_DOT {
        return 0.0;
    }
    median(&mut within).map_or(0.0, |level| enough.min(level / UNDER))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::{Plane, drawn};
    use crate::ops::glass::shown_by;

    /// Full silver with a square of this level, so many pixels wide, at 2 px/mm.
    fn of(level: f32, side: usize) -> f64 {
        let silver = Plane::from_shape_fn(
            (240, 240),
            |(r, c)| if r.max(c) < side { level } else { 1.0 },
        );
        strength(&Small::new(&drawn::panel(silver, 2.0)))
    }

    #[test]
    fn silver_and_bare_glass_are_not_below_it() {
        for level in [1.0, 0.5, 0.0] {
            assert!(of(level, 240).abs() < 1e-9, "{level}");
        }
        assert!(strength(&Small::new(&drawn::panel(Plane::zeros((1, 1)), 2.0))).abs() < 1e-12);
    }

    #[test]
    fn what_lies_under_bare_glass_shows_by_how_far() {
        for level in [-0.02, -0.06, -0.1] {
            let wanted = f64::from(shown_by(level)) / -0.027;
            assert!((of(level, 240) - wanted).abs() < 1e-5, "{level}");
        }
    }

    #[test]
    fn as_much_as_a_lens_dot_is_not_seen() {
        // Tiles are 20 px wide: a square of 40 touches four, of 62 nine.
        assert!(of(-0.1, 40).abs() < 1e-12 && of(-0.1, 62) > 1.0);
        assert!(of(-0.1, 1).abs() < 1e-12);
    }
}
