//! What a panel looks like, place by place: texture statistics of its silver and of its colour.
//!
//! Means that agree do not make two finishes alike. At each place of about a hand's width (30 mm) stand the statistics that
//! make textures look alike: how strong the structure is at each scale and in each direction (mean amplitude of oriented second
//! derivatives), how sparse and how dark-on-light it is, and how the amplitudes of each scale vary on the coarser ones, along
//! their own direction and across it. They are the moduli and second-order moduli of Bruna & Mallat (IEEE PAMI 35 (2013)
//! 1872–1886), on a steered pyramid as in Portilla & Simoncelli (IJCV 40 (2000) 49–70). Colour has its own, and how it goes
//! with the silver. At standard sharpness, in millimetres, in the panel's own orientation; a half turn changes none of them.
//! Amplitudes enter by their logarithm over what nobody sees, so that a plain mirror has no texture.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths in pixels are small and positive; values are brought into the range of a step"
)]

mod found;
mod grid;
mod means;
mod place;
mod statistic;
mod summary;
mod written;

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::frame::Plane;
use crate::units::PlaceMm;
use grid::{COLOUR_LEVEL, Grid};
use place::Piece;
use statistic::{Kind, each};

pub use place::SIDE_MM;
pub use statistic::COUNT;
pub use summary::SUMMARY;

/// The first statistics are those of the level: its mean, and the shares of clear, of dark and of bare silver.
pub const OF_LEVEL: usize = 4;

/// The statistics of some places of a panel.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "written::Written", into = "written::Written")]
pub struct Texture {
    /// The finest scale that the photo shows: 0 for waves of 1.1 mm, 1 for 2.2 mm, and so on.
    finest: usize,
    /// Colour was seen.
    colour: bool,
    /// A row of statistics for each place, in the steps of their table.
    places: Vec<[i8; COUNT]>,
}

/// A statistic that two panels show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// Its number among all of them.
    pub number: usize,
    /// Standard deviation of what nobody sees of it.
    pub unseen: f64,
    /// The number of those that stand or fall together with it, where there are any.
    pub group: Option<usize>,
}

impl Texture {
    /// The texture of a panel from its silver at standard sharpness and the a* and b* of what is left of it, where they are known.
    #[must_use]
    pub fn measure(
        silver: &Plane,
        colour: Option<[&Plane; 2]>,
        px_per_mm: f64,
        blur_mm: f64,
        standard_mm: f64,
    ) -> Self {
        let grid = Grid::new(px_per_mm, blur_mm, standard_mm);
        let pieces = if grid.finest > COLOUR_LEVEL {
            Vec::new()
        } else {
            place::pieces(silver.dim(), px_per_mm)
        };
        let places: Vec<Vec<[i8; COUNT]>> = pieces
            .par_iter()
            .map(|piece| grid.statistics(silver, colour, piece))
            .collect();
        Texture {
            finest: grid.finest,
            colour: colour.is_some(),
            places: places.into_iter().flatten().collect(),
        }
    }

    /// The finest scale that the photo shows.
    #[must_use]
    pub fn finest(&self) -> usize {
        self.finest
    }

    /// Colour was seen.
    #[must_use]
    pub fn has_colour(&self) -> bool {
        self.colour
    }

    /// Where the places lie on a plane of so many rows and columns that they were read from, in their order.
    #[must_use]
    pub fn lie(dim: (usize, usize), px_per_mm: f64) -> Vec<PlaceMm> {
        let of_piece = |piece: Piece| {
            let at = |from: usize, len: usize, share: f64| {
                (from as f64 + share * len as f64) / px_per_mm
            };
            let mut all = Vec::new();
            for down in &piece.down {
                for across in &piece.across {
                    let top = at(piece.rows.start, piece.rows.len(), down.start);
                    let left = at(piece.cols.start, piece.cols.len(), across.start);
                    let bottom = at(piece.rows.start, piece.rows.len(), down.end);
                    let right = at(piece.cols.start, piece.cols.len(), across.end);
                    let side = (bottom - top).min(right - left);
                    all.push(PlaceMm { left, top, side });
                }
            }
            all
        };
        place::pieces(dim, px_per_mm)
            .into_iter()
            .flat_map(of_piece)
            .collect()
    }

    /// The means over all places, those of the directions drawn together, each in units of how far it usually differs from place
    /// to place: for a quick search. 0 where no places are known.
    #[must_use]
    pub fn summary(&self) -> [f64; SUMMARY] {
        let mut mean = [0.0; COUNT];
        for row in self.places() {
            mean.iter_mut().zip(row).for_each(|(sum, v)| *sum += v);
        }
        let places = self.places.len().max(1) as f64;
        let about = each().map(|(kind, _)| f64::from(kind.middle));
        mean.iter_mut()
            .zip(about)
            .for_each(|(sum, middle)| *sum = *sum / places - middle);
        if self.places.is_empty() {
            mean = [0.0; COUNT];
        }
        summary::summary(&mean)
    }

    /// The statistics that both of two show.
    #[must_use]
    pub fn in_common(a: &Texture, b: &Texture) -> Vec<Shown> {
        let finest = a.finest.max(b.finest);
        let colour = a.colour && b.colour;
        let shown =
            |(kind, i): &(&Kind, usize)| (kind.level)(*i) >= finest && (colour || !kind.colour);
        let all = each().enumerate().filter(|(_, of)| shown(of));
        all.map(|(number, (kind, _))| Shown {
            number,
            unseen: f64::from(kind.unseen),
            group: statistic::group(number),
        })
        .collect()
    }

    /// Each place's statistics.
    pub fn places(&self) -> impl ExactSizeIterator<Item = [f64; COUNT]> {
        self.places.iter().map(|row| {
            let mut values = [0.0; COUNT];
            for ((value, kept), (kind, _)) in values.iter_mut().zip(row).zip(each()) {
                *value = f64::from(kind.middle) + f64::from(kind.step) * f64::from(*kept);
            }
            values
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The texture of a panel of 60 mm at 4 px/mm.
    fn texture(silver: impl Fn(usize, usize) -> f32) -> Texture {
        let plane = Plane::from_shape_fn((240, 240), |(r, c)| silver(r, c));
        Texture::measure(&plane, None, 4.0, 0.25, 0.25)
    }

    #[test]
    fn even_silver_has_a_level_and_no_structure() {
        // Mean, clear, dark and bare.
        for (level, wanted) in [
            (1.0, [1.0, 1.0, 0.0, 0.0]),
            (0.7, [0.7, 0.0, 0.0, 0.0]),
            (0.0, [0.0, 0.0, 1.0, 1.0]),
        ] {
            let found = texture(|_, _| level);
            assert_eq!((found.finest(), found.places().len()), (0, 4));
            for place in found.places() {
                let mut off = place.iter().zip(wanted).map(|(v, w)| (v - w).abs());
                assert!(off.all(|v| v < 0.003), "{level} {:?}", &place[..4]);
                // Spread and amplitude are those of what nobody sees, skewness and polarity none.
                for (value, (kind, _)) in place.iter().zip(each()).skip(OF_LEVEL) {
                    let unseen = 0.003_f64.ln();
                    let nothing = [unseen, 0.0, 0.3_f64.ln()];
                    assert!(
                        nothing.iter().any(|v| (v - value).abs() < 0.016),
                        "{value} {kind:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_small_panel_and_a_coarse_photo_have_no_places() {
        let small = Texture::measure(&Plane::ones((1, 240)), None, 4.0, 0.25, 0.25);
        assert_eq!(small.places().len(), 0);
        assert_eq!(small.summary().to_vec(), vec![0.0; SUMMARY]);
        // A blur of 2.3 mm shows waves of 9 mm alone.
        let coarse = Texture::measure(&Plane::ones((240, 240)), None, 4.0, 2.3, 0.25);
        assert_eq!(coarse.places().len(), 0);
    }

    #[test]
    fn the_finest_scale_is_as_wide_as_the_blur_and_a_pixel() {
        for (px_per_mm, blur_mm, finest) in [
            (10.0, 0.1, 0),
            (10.0, 0.27, 0),
            (10.0, 0.28, 1),
            (10.0, 0.5, 1),
            (1.0, 0.25, 2),
            (10.0, 9.0, 4),
        ] {
            let grid = Grid::new(px_per_mm, blur_mm, 0.25);
            assert_eq!(grid.finest, finest, "{px_per_mm} {blur_mm}");
        }
    }

    #[test]
    fn two_show_what_both_show() {
        let of = |finest, colour| Texture {
            finest,
            colour,
            places: Vec::new(),
        };
        let shown = |a: &Texture, b: &Texture| Texture::in_common(a, b).len();
        assert_eq!(shown(&of(0, true), &of(0, true)), COUNT);
        let colour = each().filter(|(kind, _)| kind.colour).count();
        assert_eq!(shown(&of(0, true), &of(0, false)), COUNT - colour);
        let fine = each().filter(|(kind, i)| (kind.level)(*i) < 1).count();
        assert_eq!(shown(&of(1, true), &of(0, true)), COUNT - fine);
        assert_eq!(shown(&of(0, true), &of(1, true)), COUNT - fine);
    }

    #[test]
    fn what_is_written_comes_back_and_what_is_cut_short_does_not() {
        let found = texture(|_, c| (c % 8) as f32 / 8.0);
        let text = serde_json::to_string(&found).unwrap();
        assert_eq!(serde_json::from_str::<Texture>(&text).unwrap(), found);
        let cut = r#"{"finest":0,"colour":false,"places":"AAAA"}"#;
        let refused = serde_json::from_str::<Texture>(cut).unwrap_err();
        assert!(
            refused.to_string().contains("3 bytes are no rows"),
            "{refused}"
        );
        let none = r#"{"finest":1,"colour":true,"places":""}"#;
        let none: Texture = serde_json::from_str(none).unwrap();
        assert_eq!(
            (none.finest(), none.has_colour(), none.places().len()),
            (1, true, 0)
        );
    }
}
