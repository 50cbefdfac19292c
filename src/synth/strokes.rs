//! Lines drawn as strokes of a round pen.

use crate::frame::Plane;

/// A line through points, with the radius of the pen at each; all mm, right of and below the panel's top left corner.
#[derive(Debug, Clone, Default)]
pub(super) struct Stroke(pub(super) Vec<([f64; 2], f64)>);

/// Pieces of a stroke are no longer than this, mm, or the box about a slanting one would be mostly empty.
const PIECE_MM: f64 = 2.0;

/// Share of a pixel that a strip covers whose middle runs this far from the pixel's, and whose half width is this.
pub(super) fn covered(middle_px: f64, half_px: f64) -> f64 {
    let (from, to) = (middle_px - 0.5, middle_px + 0.5);
    (to.min(half_px) - from.max(-half_px)).clamp(0.0, 1.0)
}

impl Stroke {
    /// Puts into each pixel the share of it that the stroke covers, where that is more than there was.
    pub(super) fn lay(&self, cover: &mut Plane, px_per_mm: f64, margin_px: usize) {
        for ends in self.0.windows(2) {
            let [(from, a), (to, b)] = [ends[0], ends[1]];
            let length = (to[0] - from[0]).hypot(to[1] - from[1]);
            let pieces = (length / PIECE_MM).ceil().max(1.0);
            let at = |share: f64| {
                let mm = [0, 1].map(|i| from[i] + share * (to[i] - from[i]));
                let px = mm.map(|mm| mm * px_per_mm + margin_px as f64);
                (px, (a + share * (b - a)) * px_per_mm)
            };
            for piece in 0..pieces as usize {
                let (first, last) = (piece as f64 / pieces, (piece as f64 + 1.0) / pieces);
                lay_piece(cover, at(first), at(last));
            }
        }
    }
}

fn lay_piece(cover: &mut Plane, (from, a): ([f64; 2], f64), (to, b): ([f64; 2], f64)) {
    let reach = a.max(b) + 1.0;
    let (rows, cols) = cover.dim();
    let span = |i: usize, n: usize| {
        let end = |v: f64| v.clamp(0.0, n as f64) as usize;
        end((from[i].min(to[i]) - reach).floor())..end((from[i].max(to[i]) + reach).ceil())
    };
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let square = (dx * dx + dy * dy).max(1e-12);
    for r in span(1, rows) {
        for c in span(0, cols) {
            let (x, y) = (c as f64 + 0.5 - from[0], r as f64 + 0.5 - from[1]);
            let along = ((x * dx + y * dy) / square).clamp(0.0, 1.0);
            let away = (x - along * dx).hypot(y - along * dy);
            let share = covered(away, a + along * (b - a)) as f32;
            let held = &mut cover[[r, c]];
            *held = held.max(share);
        }
    }
}
