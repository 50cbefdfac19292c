//! The scales of structure that a photo shows, and the statistics of a piece of a panel on them.

use std::ops::Range;

use super::found::{PlaceStatistics, of_colour, of_level};
use super::place::Piece;
use super::statistic::{COLOUR_LEVELS, COUNT, LEVELS};
use crate::frame::Plane;
use crate::ops::resize::{cut, resize};
use crate::ops::smooth::gaussian;
use crate::ops::steer::coarser;

/// The scale of structure in silver on which colour's finest lies: cells of a millimetre.
pub(super) const COLOUR_LEVEL: usize = 2;

/// A blur so little over a scale's own still shows the scale.
const NEARLY: f64 = 0.9;

/// A blur under this is left away: the shrinking adds more.
const LEAST_ADDED_PX2: f64 = 0.15;

/// The grid on which structure is looked for.
pub(super) struct Grid {
    pub(super) finest: usize,
    /// Pixels of the panel's plane in one of the finest scale's.
    shrink: f64,
    /// Blur to be added before, pixels of the panel's plane.
    added_px: f64,
}

impl Grid {
    pub(super) fn new(px_per_mm: f64, blur_mm: f64, standard_mm: f64) -> Self {
        // A scale's pixel is as wide as its blur.
        let width = |level: usize| standard_mm * 2_f64.powi(i32::try_from(level).unwrap_or(0));
        let shows = |level: &usize| width(*level) >= NEARLY * blur_mm.max(1.0 / px_per_mm);
        let finest = (0..LEVELS).find(shows).unwrap_or(LEVELS);
        let missing = (width(finest).powi(2) - blur_mm.powi(2)).max(0.0).sqrt();
        Grid {
            finest,
            shrink: width(finest) * px_per_mm,
            added_px: missing * px_per_mm,
        }
    }

    /// The statistics of a piece's places.
    pub(super) fn statistics(
        &self,
        silver: &Plane,
        colour: Option<[&Plane; 2]>,
        piece: &Piece,
    ) -> Vec<[i8; COUNT]> {
        let mut plane = cut(silver, piece.rows.clone(), piece.cols.clone());
        if self.added_px * self.added_px > LEAST_ADDED_PX2 {
            plane = gaussian(&plane, self.added_px);
        }
        let px = |px: usize| ((px as f64 / self.shrink).round() as usize).max(2);
        let plane = resize(&plane, px(plane.nrows()), px(plane.ncols()));
        let mut found = vec![PlaceStatistics::default(); piece.down.len() * piece.across.len()];
        let mut planes = vec![plane];
        for level in self.finest..LEVELS {
            if level > self.finest {
                planes.push(coarser(&planes[level - self.finest - 1]));
            }
            of_level(&planes[level - self.finest], level, piece, &mut found);
        }
        if let Some(colour) = colour {
            let (rows, cols) = silver.dim();
            let of_piece = |plane: &Plane, to: (usize, usize)| {
                let part = |range: &Range<usize>, whole: usize, n: usize| {
                    let at = |px: usize| (px as f64 / whole as f64 * n as f64).round() as usize;
                    at(range.start)..at(range.end).max(at(range.start) + 1).min(n)
                };
                let down = part(&piece.rows, rows, plane.nrows());
                let across = part(&piece.cols, cols, plane.ncols());
                resize(&cut(plane, down, across), to.0, to.1)
            };
            let first = COLOUR_LEVEL - self.finest;
            let mut ab = colour.map(|p| of_piece(p, planes[first].dim()));
            for level in 0..COLOUR_LEVELS {
                if level > 0 {
                    ab = ab.each_ref().map(coarser);
                }
                of_colour(&ab, &planes[first + level], level, piece, &mut found);
            }
        }
        found.iter().map(PlaceStatistics::row).collect()
    }
}
