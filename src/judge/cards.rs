//! The reference patches in cells, as the signs look at them.

use super::session::Colour;
use super::tiles::ratios;
use crate::frame::photo::{Photo, Samples};
use crate::frame::placement::{Patch, PatchKind, Placement};
use crate::frame::quad::{Point, Quad};
use crate::ops::transfer::luminance;
use crate::stats::order::trimmed_mean;

/// Share of a patch's width that is looked at, as when its level is read.
const INNER: f64 = 0.85;

/// Cells along each side of a patch.
const CELLS: usize = 6;

/// Cells along each side of a patch too small for so many of four pixels.
const FEW_CELLS: usize = 3;

/// Most pixels looked at along each side of a cell.
const PLACES: f64 = 10.0;

/// Share of the cells put aside at each end for the patch's level, as when it is read.
const TRIM: f64 = 0.1;

/// How far JPEG's whole codes of chroma move red or blue against green: half a code of it and an eighth of its coarser
/// step in the file, times 1.772 + 0.344 (ITU-T T.871).
const CHROMA_CODES: f64 = 1.5;

/// Noise of neighbouring pixels is alike in a JPEG: a mean is less certain than of independent ones.
const ALIKE: f64 = 2.0;

/// A cell of a patch.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    /// Its middle in the photo.
    pub(super) centre: Point,
    /// Logarithm of its mean light.
    pub(super) level: f64,
    /// Standard error of that.
    pub(super) doubt: f64,
}

/// A patch looked at.
#[derive(Debug, Clone)]
pub(super) struct Card {
    pub(super) kind: PatchKind,
    /// What was looked at.
    pub(super) inner: Quad,
    /// Light per channel.
    pub(super) light: [f64; 3],
    /// How far codes can move its [`ratios`].
    pub(super) colour_doubt: f64,
    pub(super) cells: Vec<Cell>,
}

impl Card {
    pub(super) fn all(photo: &Photo, placement: &Placement) -> Vec<Card> {
        let look = |p: &Patch| Card::new(photo, p);
        placement.patches.iter().map(look).collect()
    }

    fn new(photo: &Photo, patch: &Patch) -> Self {
        let inner = patch.corners.scaled(INNER);
        let side_px = inner.area().sqrt();
        let a_side = if side_px < 4.0 * CELLS as f64 {
            FEW_CELLS
        } else {
            CELLS
        };
        let places = (side_px / a_side as f64).clamp(1.0, PLACES) as usize;
        let mut channels: [Vec<f32>; 3] = Default::default();
        let cells = (0..a_side * a_side)
            .map(|i| {
                let from = [i % a_side, i / a_side].map(|k| k as f64 / a_side as f64);
                let (mut sum, mut square) = ([0.0; 3], 0.0);
                let step = |k: usize| (k as f64 + 0.5) / (places * a_side) as f64;
                for k in 0..places * places {
                    let at = inner.within(from[0] + step(k % places), from[1] + step(k / places));
                    let [r, g, b, _] = photo.light_at(at).map(f64::from);
                    (0..3).for_each(|c| sum[c] += [r, g, b][c]);
                    square += luminance(&[r, g, b]).powi(2);
                }
                let n = (places * places) as f64;
                let light = sum.map(|s| s / n);
                channels
                    .iter_mut()
                    .zip(light)
                    .for_each(|(c, v)| c.push(v as f32));
                let mean = luminance(&light).max(1e-6);
                Cell {
                    centre: inner.within(from[0] + step(places / 2), from[1] + step(places / 2)),
                    level: mean.ln(),
                    doubt: ALIKE * ((square / n - mean * mean).max(0.0) / n).sqrt() / mean,
                }
            })
            .collect();
        let light = channels.map(|mut c| trimmed_mean(&mut c, TRIM).unwrap_or(0.0));
        let in_whole_codes = matches!(photo.samples, Samples::LumaChroma(_));
        Card {
            kind: patch.kind,
            inner,
            light,
            colour_doubt: if in_whole_codes {
                CHROMA_CODES * a_code(luminance(&light))
            } else {
                0.0
            },
            cells,
        }
    }

    pub(super) fn centre(&self) -> Point {
        self.inner.centre()
    }

    /// Logarithm of its light.
    pub(super) fn level(&self) -> f64 {
        luminance(&self.light).max(1e-6).ln()
    }

    pub(super) fn ratios(&self) -> [f64; 2] {
        ratios(self.light)
    }
}

/// The patches that tell of the light: mirrors where there are any, or else the grey ones.
pub(super) fn telling(cards: &[Card]) -> Vec<&Card> {
    let of = |kind| cards.iter().filter(|c| c.kind == kind).collect::<Vec<_>>();
    let mirrors = of(PatchKind::Mirror);
    if mirrors.is_empty() {
        of(PatchKind::Grey)
    } else {
        mirrors
    }
}

/// The mean colour of the patches that tell of the light.
pub(super) fn colour(cards: &[Card]) -> Option<Colour> {
    let cards = telling(cards);
    let mean = |of: &dyn Fn(&Card) -> f64| {
        cards.iter().map(|card| of(card)).sum::<f64>() / cards.len() as f64
    };
    (!cards.is_empty()).then(|| Colour {
        red: mean(&|c| c.ratios()[0]).exp(),
        blue: mean(&|c| c.ratios()[1]).exp(),
        doubt: mean(&|c| c.colour_doubt),
    })
}

/// Relative change of light over one of 255 sRGB codes at a level.
fn a_code(light: f64) -> f64 {
    2.4 / (255.0 * 1.055 * light.max(1e-4).powf(1.0 / 2.4))
}

#[cfg(test)]
mod tests {
    use super::super::drawn::{card, photo};
    use super::*;
    use crate::frame::drawn;

    fn near(found: f64, wanted: f64) -> bool {
        (found - wanted).abs() < 1e-3
    }

    #[test]
    fn a_patch_is_looked_at_in_cells_of_its_own_light() {
        let photo = photo(|x, _| if x < 200.0 { [0.2, 0.4, 0.1] } else { [0.8; 3] });
        let mut placement = drawn::placement(super::super::drawn::corners());
        let at =
            |x: f64, side: f64| drawn::patch(PatchKind::Grey, Quad::rectangle(x, 20.0, side, side));
        placement.patches = vec![at(20.0, 60.0), at(300.0, 20.0)];
        let cards = Card::all(&photo, &placement);
        // Seventeen pixels are too few for six cells of four.
        assert_eq!([cards[0].cells.len(), cards[1].cells.len()], [36, 9]);
        assert!(
            cards[0]
                .light
                .iter()
                .zip([0.2, 0.4, 0.1])
                .all(|(v, w)| near(*v, w))
        );
        let [red, blue] = cards[0].ratios();
        assert!(near(red, -(2.0_f64.ln())) && near(blue, -(4.0_f64.ln())));
        let level = cards[0].level();
        assert!(
            cards[0]
                .cells
                .iter()
                .all(|cell| near(cell.level, level) && near(cell.doubt, 0.0))
        );
        assert!(near(cards[1].level(), 0.8_f64.ln()) && near(cards[0].colour_doubt, 0.0));
    }

    #[test]
    fn mirrors_tell_where_there_are_any_and_bare_patches_never() {
        let of = |kinds: &[PatchKind]| {
            kinds
                .iter()
                .map(|kind| card(*kind, [0.0; 2], [0.5; 3]))
                .collect::<Vec<_>>()
        };
        use PatchKind::{Bare, Grey, Mirror};
        for (kinds, told) in [
            (&[][..], 0),
            (&[Bare], 0),
            (&[Grey, Grey, Bare], 2),
            (&[Grey, Mirror, Grey, Bare], 1),
        ] {
            let cards = of(kinds);
            assert_eq!(telling(&cards).len(), told);
            assert_eq!(colour(&cards).is_some(), told > 0);
        }
        let two = [
            card(Grey, [0.0; 2], [0.4, 0.2, 0.1]),
            card(Grey, [0.0; 2], [0.1, 0.2, 0.1]),
        ];
        let found = colour(&two).unwrap();
        // The mean of logarithms: 2 and a half are 1.
        assert!(near(found.red, 1.0) && near(found.blue, 0.5) && near(found.doubt, 0.0));
    }

    #[test]
    fn a_code_is_a_larger_share_of_dimmer_light() {
        // 2.4 / (255 · 1.055) at full scale, and twenty times the root 2.4 of a hundredth of it.
        assert!((a_code(1.0) - 0.008_921).abs() < 1e-6);
        assert!((a_code(0.01) / a_code(1.0) - 100.0_f64.powf(1.0 / 2.4)).abs() < 1e-9);
        assert!((a_code(0.0) - a_code(1e-4)).abs() < 1e-12);
    }
}
