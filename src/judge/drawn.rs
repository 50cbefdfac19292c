//! Patches and tiles made by hand for the tests of single signs.

use super::cards::{Card, Cell};
use super::tiles::{Tile, Tiles};
use crate::frame::drawn;
use crate::frame::photo::Photo;
use crate::frame::placement::PatchKind;
use crate::frame::quad::{Point, Quad};
use crate::ops::transfer::luminance;

/// The panel in a photo of 400 by 400 pixels.
pub(super) fn corners() -> Quad {
    Quad::rectangle(100.0, 100.0, 200.0, 200.0)
}

/// The photo whose light at a place, pixels, is as `light` says.
pub(super) fn photo(light: impl Fn(f64, f64) -> [f64; 3]) -> Photo {
    drawn::photo([400, 400], |x, y| light(x as f64 + 0.5, y as f64 + 0.5))
}

/// The tiles of the panel in it.
pub(super) fn tiles(light: impl Fn(f64, f64) -> [f64; 3]) -> Tiles {
    Tiles::over(&photo(light), &corners())
}

/// The tiles of a panel of which nothing is known but how black each is.
pub(super) fn black_tiles(black: impl Fn(usize) -> f64) -> Tiles {
    let tile = |i| Tile {
        centre: [0.0; 2],
        bright: [0.5; 3],
        black: black(i),
    };
    Tiles {
        tiles: (0..144).map(tile).collect(),
        light: None,
        steady: false,
    }
}

/// An even patch of 40 pixels about a place.
pub(super) fn card(kind: PatchKind, at: Point, light: [f64; 3]) -> Card {
    card_of(kind, at, light, |_, _| 1.0)
}

/// A patch in six by six cells, each so many times as bright as `light`.
pub(super) fn card_of(
    kind: PatchKind,
    [x, y]: Point,
    light: [f64; 3],
    times: impl Fn(usize, usize) -> f64,
) -> Card {
    let inner = Quad::rectangle(x - 20.0, y - 20.0, 40.0, 40.0);
    let share = |i: usize| (i as f64 + 0.5) / 6.0;
    let cell = |i: usize| Cell {
        centre: inner.within(share(i % 6), share(i / 6)),
        level: (luminance(&light) * times(i % 6, i / 6)).ln(),
        doubt: 0.0,
    };
    Card {
        kind,
        inner,
        light,
        colour_doubt: 0.0,
        cells: (0..36).map(cell).collect(),
    }
}

/// Left of the panel, right of it, above it.
pub(super) const ABOUT: [Point; 3] = [[50.0, 200.0], [350.0, 200.0], [200.0, 50.0]];
