//! The panel in tiles: what is bright in each, and what is black.

use rayon::prelude::*;

use super::slope::Slope;
use crate::frame::photo::Photo;
use crate::frame::quad::{Homography, Point, Quad};
use crate::ops::transfer::{LUMINANCE, luminance};

/// Tiles along each side.
const TILES: usize = 12;

/// Pixels looked at along each side of a tile.
const PLACES: usize = 16;

/// Share of the panel left out along each edge: there it mixes with its surround.
const RIM: f64 = 0.03;

/// The brightest of a tile's places stand for its silver: this share of them.
const BRIGHT: usize = 5;

/// Light no honest photo of a panel has: an 8-bit sRGB code of 8. Bare glass over black paint reads 56 to 80 when well
/// exposed and 30 two stops under.
const BLACK: f64 = 0.0024;

/// Tiles this close to a slope, in the logarithm of their light, follow it: ordinary clouds lie within.
const FOLLOWS: f64 = 0.1;

/// One tile.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tile {
    /// Its middle in the photo.
    pub(super) centre: Point,
    /// Mean light of its brightest fifth, per channel.
    pub(super) bright: [f64; 3],
    /// Share of its places that are black.
    pub(super) black: f64,
}

/// Red over green and blue over green, in logarithms.
pub(super) fn ratios([r, g, b]: [f64; 3]) -> [f64; 2] {
    [r, b].map(|v| (v.max(1e-6) / g.max(1e-6)).ln())
}

/// The tiles of a panel.
#[derive(Debug)]
pub(super) struct Tiles {
    pub(super) tiles: Vec<Tile>,
    /// Logarithm of the light of most tiles, where it is a slope.
    pub(super) light: Option<Slope>,
    /// Every part of the panel shows that slope.
    pub(super) steady: bool,
}

impl Tiles {
    pub(super) fn over(photo: &Photo, corners: &Quad) -> Self {
        let inner = Quad::rectangle(RIM, RIM, 1.0 - 2.0 * RIM, 1.0 - 2.0 * RIM);
        let unit = Quad::rectangle(0.0, 0.0, 1.0, 1.0);
        let tiles: Vec<Tile> = match Homography::between(&unit.0, &corners.0) {
            None => Vec::new(),
            Some(to_photo) => (0..TILES * TILES)
                .into_par_iter()
                .map(|i| {
                    let place = |across: f64, down: f64| {
                        let share = [
                            ((i % TILES) as f64 + across) / TILES as f64,
                            ((i / TILES) as f64 + down) / TILES as f64,
                        ];
                        let span = 1.0 - 2.0 * RIM;
                        to_photo.apply([0, 1].map(|a| inner.0[0][a] + span * share[a]))
                    };
                    tile(photo, place)
                })
                .collect(),
        };
        let levels: Vec<(Point, f64)> = tiles
            .iter()
            .map(|t| (t.centre, luminance(&t.bright).max(1e-4).ln()))
            .collect();
        let light = Slope::of_most(&levels, FOLLOWS);
        Tiles {
            steady: light.is_some_and(|slope| slope.is_steady(&levels, FOLLOWS)),
            light,
            tiles,
        }
    }
}

/// `place` leads from shares of the tile into the photo.
fn tile(photo: &Photo, place: impl Fn(f64, f64) -> Point) -> Tile {
    let step = |i: usize| (i as f64 + 0.5) / PLACES as f64;
    let mut seen: Vec<(f32, [f32; 3])> = (0..PLACES * PLACES)
        .map(|i| {
            let [r, g, b, _] = photo.light_at(place(step(i % PLACES), step(i / PLACES)));
            let [wr, wg, wb] = LUMINANCE.map(|w| w as f32);
            (wr * r + wg * g + wb * b, [r, g, b])
        })
        .collect();
    let black = seen.iter().filter(|(l, _)| f64::from(*l) < BLACK).count();
    let brightest = seen.len() / BRIGHT;
    seen.select_nth_unstable_by(brightest, |a, b| b.0.total_cmp(&a.0));
    let mean = |c: usize| {
        let sum: f64 = seen[..brightest].iter().map(|s| f64::from(s.1[c])).sum();
        sum / brightest as f64
    };
    Tile {
        centre: place(0.5, 0.5),
        bright: [0, 1, 2].map(mean),
        black: black as f64 / seen.len() as f64,
    }
}

#[cfg(test)]
mod tests {
    use super::super::drawn::{corners, photo, tiles};
    use super::*;

    #[test]
    fn an_even_panel_has_tiles_of_its_light_and_no_slope() {
        let found = tiles(|_, _| [0.4, 0.5, 0.6]);
        assert_eq!(found.tiles.len(), 144);
        for tile in &found.tiles {
            let mut off = tile
                .bright
                .iter()
                .zip([0.4, 0.5, 0.6])
                .map(|(v, w)| (v - w).abs());
            assert!(off.all(|v| v < 1e-4) && tile.black.abs() < 1e-12);
        }
        // The first lies three in a hundred inside the corner.
        let [x, y] = found.tiles[0].centre;
        let wanted = 100.0 + 200.0 * (0.03 + 0.94 / 24.0);
        assert!((x - wanted).abs() < 1e-6 && (y - wanted).abs() < 1e-6);
        let light = found.light.unwrap();
        assert!(light.across(&corners()) < 1e-6);
    }

    #[test]
    fn the_brightest_fifth_stands_for_a_tile() {
        // Every third column is bright.
        let found = tiles(|x, _| {
            if (x as usize).is_multiple_of(3) {
                [0.5; 3]
            } else {
                [0.001; 3]
            }
        });
        assert!(
            found
                .tiles
                .iter()
                .all(|tile| (tile.bright[1] - 0.5).abs() < 1e-4)
        );
        let black = found.tiles.iter().map(|tile| tile.black).sum::<f64>() / 144.0;
        assert!((black - 2.0 / 3.0).abs() < 0.05, "{black}");
        // Black is under 0.0024.
        assert!(
            tiles(|_, _| [0.0025; 3])
                .tiles
                .iter()
                .all(|tile| tile.black.abs() < 1e-12)
        );
        assert!(
            tiles(|_, _| [0.0023; 3])
                .tiles
                .iter()
                .all(|tile| (tile.black - 1.0).abs() < 1e-12)
        );
    }

    #[test]
    fn light_that_falls_off_is_a_slope_and_chance_is_none() {
        let found = tiles(|x, _| [0.8 * (-0.002 * x).exp(); 3]);
        let light = found.light.unwrap();
        assert!(found.steady && (light.across(&corners()) - 0.4).abs() < 0.01);
        let board = tiles(|x, y| {
            [if (x as usize / 40 + y as usize / 40).is_multiple_of(2) {
                0.8
            } else {
                0.2
            }; 3]
        });
        assert!(board.light.is_none() || !board.steady);
    }

    #[test]
    fn what_no_panel_projects_to_has_no_tiles_and_places_off_the_photo_its_last() {
        let photo = photo(|x, _| [x / 400.0; 3]);
        let flat = Quad([[0.0, 0.0], [9.0, 0.0], [18.0, 0.0], [27.0, 0.0]]);
        assert!(Tiles::over(&photo, &flat).tiles.is_empty());
        let at = |x, y| f64::from(photo.light_at([x, y])[0]);
        assert!((at(-9.0, -9.0) - at(0.0, 0.0)).abs() < 1e-9);
        assert!((at(999.0, 999.0) - at(399.0, 399.0)).abs() < 1e-9);
        assert!((luminance(&[1.0; 3]) - 1.0).abs() < 1e-3);
        let [red, blue] = ratios([0.2, 0.1, 0.05]);
        assert!((red - 2.0_f64.ln()).abs() < 1e-9 && (blue + 2.0_f64.ln()).abs() < 1e-9);
        assert!(ratios([0.0; 3]).iter().all(|v| v.abs() < 1e-12));
    }
}
