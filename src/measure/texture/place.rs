//! Where on a panel its texture is looked at: places of about a hand's width, side by side.
//!
//! A sample is looked at all over. Of a large panel some pieces of two by two places are, laid out evenly, each with what
//! lies around it, so that the filters end on silver and not on a cut.

use std::ops::Range;

/// Side of a place, mm: the longest wave that is looked for spans a third of it.
pub const SIDE_MM: f64 = 30.0;

/// Most places of a panel; what is kept of it stays under 4 kB.
pub(super) const MOST: usize = 25;

/// Places along the side of a piece of a large panel.
const OF_A_PIECE: usize = 2;

/// What is looked at around a piece, mm: the reach of the widest filter.
const AROUND_MM: f64 = 8.0;

/// A part of a panel with the places in it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    /// Rows and columns of the panel's plane.
    pub(super) rows: Range<usize>,
    pub(super) cols: Range<usize>,
    /// The places' bounds down and across, shares of the piece's height and width.
    pub(super) down: Vec<Range<f64>>,
    pub(super) across: Vec<Range<f64>>,
}

impl Piece {
    /// The bounds as rows or columns of a plane of so many.
    pub(super) fn pixels(bounds: &[Range<f64>], px: usize) -> Vec<Range<usize>> {
        let at = |share: f64| ((share * px as f64).round() as usize).min(px);
        bounds.iter().map(|b| at(b.start)..at(b.end)).collect()
    }
}

/// The pieces of a plane of so many rows and columns; none where it is too small to hold two places each way.
pub(super) fn pieces((rows, cols): (usize, usize), px_per_mm: f64) -> Vec<Piece> {
    let along = |px: usize| (px as f64 / px_per_mm / SIDE_MM).round() as usize;
    let (down, across) = (along(rows), along(cols));
    if down < 2 || across < 2 {
        return Vec::new();
    }
    if down * across <= MOST {
        return vec![Piece {
            rows: 0..rows,
            cols: 0..cols,
            down: even(down),
            across: even(across),
        }];
    }
    let (pieces_down, pieces_across) = spread(down / OF_A_PIECE, across / OF_A_PIECE);
    let tops = laid(rows, pieces_down, px_per_mm);
    let lefts = laid(cols, pieces_across, px_per_mm);
    tops.iter()
        .flat_map(|(rows, down)| {
            lefts.iter().map(|(cols, across)| Piece {
                rows: rows.clone(),
                cols: cols.clone(),
                down: down.clone(),
                across: across.clone(),
            })
        })
        .collect()
}

/// So many equal parts of a whole.
fn even(parts: usize) -> Vec<Range<f64>> {
    let cut = |i: usize| i as f64 / parts as f64;
    (0..parts).map(|i| cut(i)..cut(i + 1)).collect()
}

/// How many pieces down and across: as many as [`MOST`] places make, as square to the panel as they go.
fn spread(down: usize, across: usize) -> (usize, usize) {
    let most = MOST / (OF_A_PIECE * OF_A_PIECE);
    let wanted = across as f64 / down as f64;
    let fits = (1..=most.min(down)).map(|d| (d, (most / d).min(across)));
    let off = |(d, a): (usize, usize)| (a as f64 / d as f64 / wanted).ln().abs();
    // The most pieces first, then the shape of the panel.
    fits.max_by(|a, b| {
        (a.0 * a.1)
            .cmp(&(b.0 * b.1))
            .then(off(*b).total_cmp(&off(*a)))
    })
    .unwrap_or((1, 1))
}

/// Pieces laid evenly along so many pixels: the pixels each is cut from, and the bounds of its places there.
fn laid(px: usize, pieces: usize, px_per_mm: f64) -> Vec<(Range<usize>, Vec<Range<f64>>)> {
    let (side, around) = (
        (OF_A_PIECE as f64 * SIDE_MM * px_per_mm) as usize,
        (AROUND_MM * px_per_mm) as usize,
    );
    (0..pieces)
        .map(|i| {
            let middle = (2 * i + 1) * px / (2 * pieces);
            let start = middle.saturating_sub(side / 2).min(px - side);
            let cut = start.saturating_sub(around)..(start + side + around).min(px);
            let share = |at: usize| (at - cut.start) as f64 / cut.len() as f64;
            let bounds = (0..OF_A_PIECE)
                .map(|k| {
                    share(start + k * side / OF_A_PIECE)..share(start + (k + 1) * side / OF_A_PIECE)
                })
                .collect();
            (cut, bounds)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places(width_mm: f64, height_mm: f64) -> usize {
        let px = |mm: f64| (mm * 4.0) as usize;
        let pieces = pieces((px(height_mm), px(width_mm)), 4.0);
        pieces.iter().map(|p| p.down.len() * p.across.len()).sum()
    }

    #[test]
    fn a_sample_is_looked_at_all_over_and_a_large_panel_at_as_many_places() {
        assert_eq!(places(148.0, 148.0), 25);
        assert_eq!(places(98.0, 98.0), 9);
        assert_eq!(places(900.0, 600.0), 24);
        assert_eq!(places(2000.0, 300.0), 24);
        assert_eq!(places(60.0, 60.0), 4);
        assert_eq!(places(40.0, 300.0), 0);
    }

    #[test]
    fn pieces_of_a_large_panel_lie_on_it_apart_and_with_silver_around() {
        let found = pieces((2400, 3600), 4.0);
        assert_eq!(found.len(), 6);
        for piece in &found {
            assert!(piece.rows.end <= 2400 && piece.cols.end <= 3600);
            let wide = Piece::pixels(&piece.across, piece.cols.len());
            assert_eq!(wide, [32..152, 152..272]);
        }
        assert!(found[0].cols.end < found[1].cols.start);
    }
}
