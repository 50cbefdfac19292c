//! The grey card does not look like one.
//!
//! A person sees a card that is nearly black or white in the photo, or a coloured one. Lamps colour everything, so the
//! card's ratios of red and of blue to green are held against those of a mirror patch, or of the panel's bright silver,
//! which tarnish may have made warmer, never colder. Beside a mirror patch a matt card of 0.18 reads 0.18 × 0.8 of it (the
//! card is lit by the light that lights the board, and silver gives back nearly all of the board's); from 0.09 to 0.25
//! passes, for lamps stand nearer to one or the other. Fooled by: a pale card without a mirror patch; blue or green tarnish.

use super::cards::Card;
use super::tiles::{Tiles, ratios};
use crate::frame::placement::{GREY_CARD_REFLECTANCE, PatchKind};
use crate::ops::transfer::luminance;
use crate::stats::order::median;

/// Light in which a card can be read, shares of full scale: sRGB codes 39 (a code is 5 % of its light) and 230 (where
/// phones bend their tones).
const READABLE: [f64; 2] = [0.02, 0.79];

/// What a usual card reads against a mirror patch.
const OVER_MIRROR: [f64; 2] = [0.09, 0.25];

/// Most a grey card's ratios differ from a mirror's; trade samples of plain cards lie within a few per cent.
const OF_MIRROR: f64 = 0.12;

/// Lowest and highest logarithm of the card's red over green and blue over green against those of the panel's silver:
/// full tarnish raises red by a quarter and halves blue.
const OF_SILVER: [[f64; 2]; 2] = [[-0.40, OF_MIRROR], [-OF_MIRROR, 0.80]];

pub(super) fn off(cards: &[Card], tiles: &Tiles, reflectance: f64) -> bool {
    let mirror = cards.iter().find(|c| c.kind == PatchKind::Mirror);
    cards
        .iter()
        .filter(|c| c.kind == PatchKind::Grey)
        .any(|card| {
            let light = luminance(&card.light);
            unreadable(light)
                || match mirror {
                    Some(mirror) => {
                        let over = light / luminance(&mirror.light).max(1e-6);
                        let usual = over * GREY_CARD_REFLECTANCE / reflectance;
                        let bounds = [[-OF_MIRROR, OF_MIRROR]; 2];
                        !(OVER_MIRROR[0]..=OVER_MIRROR[1]).contains(&usual)
                            || coloured(card, mirror.ratios(), mirror.colour_doubt, bounds)
                    }
                    None => silver(tiles).is_some_and(|of| coloured(card, of, 0.0, OF_SILVER)),
                }
        })
}

fn unreadable(light: f64) -> bool {
    !(READABLE[0]..=READABLE[1]).contains(&light)
}

/// One of the card's ratios lies outside its bounds about those of something beside it.
fn coloured(card: &Card, beside: [f64; 2], doubt: f64, bounds: [[f64; 2]; 2]) -> bool {
    let doubt = doubt + card.colour_doubt;
    (0..2).any(|i| {
        let off = card.ratios()[i] - beside[i];
        off < bounds[i][0] - doubt || off > bounds[i][1] + doubt
    })
}

/// The ratios of the panel's bright silver.
fn silver(tiles: &Tiles) -> Option<[f64; 2]> {
    let middle = |i: usize| {
        median(
            &mut tiles
                .tiles
                .iter()
                .map(|t| ratios(t.bright)[i])
                .collect::<Vec<_>>(),
        )
    };
    Some([middle(0)?, middle(1)?])
}

#[cfg(test)]
mod tests {
    use super::super::drawn::{ABOUT, card, tiles};
    use super::*;

    fn is(grey: [f64; 3], mirror: Option<f64>, reflectance: f64) -> bool {
        let mut cards = vec![card(PatchKind::Grey, ABOUT[0], grey)];
        cards.extend(mirror.map(|light| card(PatchKind::Mirror, ABOUT[1], [light; 3])));
        off(&cards, &tiles(|_, _| [0.5; 3]), reflectance)
    }

    #[test]
    fn a_card_nearly_black_or_white_cannot_be_read() {
        for (light, unreadable) in [
            (0.0, true),
            (0.0199, true),
            (0.0201, false),
            (0.789, false),
            (0.791, true),
            (1.0, true),
        ] {
            assert_eq!(is([light; 3], None, 0.18), unreadable, "{light}");
        }
        // Without a card nothing is wrong with it.
        let only_mirror = [card(PatchKind::Mirror, ABOUT[0], [0.001; 3])];
        assert!(!off(&only_mirror, &tiles(|_, _| [0.5; 3]), 0.18));
        assert!(!off(&[], &tiles(|_, _| [0.5; 3]), 0.18));
    }

    #[test]
    fn beside_a_mirror_it_reads_a_seventh_of_it() {
        for (share, wrong) in [
            (0.144, false),
            (0.091, false),
            (0.089, true),
            (0.249, false),
            (0.251, true),
        ] {
            assert_eq!(is([0.6 * share; 3], Some(0.6), 0.18), wrong, "{share}");
            // A card of twice the reflectance reads twice as much.
            assert_eq!(
                is([0.6 * 2.0 * share; 3], Some(0.6), 0.36),
                wrong,
                "{share}"
            );
        }
    }

    #[test]
    fn its_colour_is_the_mirrors_or_that_of_the_silver() {
        let tinted = |red: f64, blue: f64| [0.09 * red.exp(), 0.09, 0.09 * blue.exp()];
        for (red, blue, of_mirror, of_silver) in [
            (0.0, 0.0, false, false),
            (0.11, 0.11, false, false),
            (0.13, 0.0, true, true),
            (-0.13, 0.0, true, false),
            (-0.41, 0.0, true, true),
            (0.0, -0.13, true, true),
            (0.0, 0.13, true, false),
            (0.0, 0.79, true, false),
            (0.0, 0.81, true, true),
        ] {
            assert_eq!(
                is(tinted(red, blue), Some(0.6), 0.18),
                of_mirror,
                "{red} {blue}"
            );
            assert_eq!(is(tinted(red, blue), None, 0.18), of_silver, "{red} {blue}");
        }
    }
}
