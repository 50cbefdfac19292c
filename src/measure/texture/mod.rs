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
