//! Dark places that are pure black.
//!
//! A person sees holes of ink where the black paint behind bare glass should show grey: the glass itself returns 4 % of
//! the board's light, so bare glass reads 56 to 80 of 255 in a well exposed photo, and never 0.
//!
//! Sign: the share of the panel darker than code 8 is over 0.1 % and lies in more than four tiles of 144. Fooled by: a
//! panel that mirrors black things here and there; the one dark dot of a lens behind a hole in the board touches no more
//! than four tiles.

use super::tiles::Tiles;

/// Share of the panel that may be black: noise leaves none, and a tenth of a per cent is few specks.
const MOST_BLACK: f64 = 0.001;

/// Tiles the dark dot of a lens can touch.
const OF_A_DOT: usize = 4;

pub(super) fn crushed(tiles: &Tiles) -> bool {
    let black = || tiles.tiles.iter().map(|t| t.black);
    let share = black().sum::<f64>() / tiles.tiles.len().max(1) as f64;
    share > MOST_BLACK && black().filter(|b| *b > 0.0).count() > OF_A_DOT
}

#[cfg(test)]
mod tests {
    use super::super::drawn::{black_tiles, tiles};
    use super::*;

    #[test]
    fn a_thousandth_in_more_than_four_tiles_is_black() {
        for (tiles_black, share, is) in [
            (0, 0.0, false),
            (144, 1.0, true),
            // The dark dot of a lens.
            (4, 1.0, false),
            // 5 · 0.02 and 5 · 0.03 of 144 tiles lie on either side of a thousandth.
            (5, 0.02, false),
            (5, 0.03, true),
        ] {
            let tiles = black_tiles(|i| if i < tiles_black { share } else { 0.0 });
            assert_eq!(crushed(&tiles), is, "{tiles_black} {share}");
        }
        let mut none = black_tiles(|_| 1.0);
        none.tiles.clear();
        assert!(!crushed(&none));
    }

    #[test]
    fn bare_glass_is_not_black_and_no_light_is() {
        assert!(!crushed(&tiles(|_, _| [0.03; 3])));
        assert!(crushed(&tiles(|_, _| [0.0; 3])));
    }
}
