//! A panel and a sample cut into squares of one size: where the panel holds more, or less, silver than any place on the sample.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "squares along a panel are few and positive"
)]

use crate::frame::Plane;
use crate::ops::resize::resize;

/// Squares along the panel's long side: as many as are told apart on a page, and as few as still show a place.
const ALONG: (f64, f64) = (22.0, 36.0);

/// Squares along the sample's short side that are wanted, so that it has some to set the panel's against.
const ON_SAMPLE: f64 = 4.0;

/// How a square lies against those of the sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Against {
    /// As some on the sample, or nearly.
    Like,
    /// Less silver than on any.
    Darker,
    /// More silver than on any.
    Lighter,
}

/// A silver level and its pixels in a millimetre.
pub type Level<'a> = (&'a Plane, f64);

/// Two panels in squares of one size.
#[derive(Debug, Clone)]
pub struct Squares {
    /// Share of the sample's silver that is gone in each of its squares.
    pub sample: Plane,
    /// The same of the panel.
    pub panel: Plane,
    /// How each of the panel's squares lies against the sample's, row by row.
    pub against: Vec<Against>,
}

impl Squares {
    /// Cuts both. A square is beyond the sample's where it is so by more than `allowance`, silver level.
    #[must_use]
    pub fn of(sample: Level<'_>, panel: Level<'_>, allowance: f64) -> Self {
        let sides = |(plane, px_per_mm): Level<'_>| {
            let (rows, cols) = plane.dim();
            [rows, cols].map(|px| px as f64 / px_per_mm)
        };
        let [panel_high, panel_wide] = sides(panel);
        let [sample_high, sample_wide] = sides(sample);
        let long = panel_high.max(panel_wide);
        let side_mm =
            (sample_high.min(sample_wide) / ON_SAMPLE).clamp(long / ALONG.1, long / ALONG.0);
        let (sample, panel) = (gone(sample, side_mm), gone(panel, side_mm));
        let ends = |init: f32, pick: fn(f32, f32) -> f32| {
            f64::from(sample.iter().copied().fold(init, pick))
        };
        let (least, most) = (ends(1.0, f32::min), ends(0.0, f32::max));
        let against = |gone: &f32| match f64::from(*gone) {
            gone if gone > most + allowance => Against::Darker,
            gone if gone < least - allowance => Against::Lighter,
            _ => Against::Like,
        };
        Squares {
            against: panel.iter().map(against).collect(),
            sample,
            panel,
        }
    }

    /// Squares that lie so.
    #[must_use]
    pub fn count(&self, wanted: Against) -> usize {
        self.against.iter().filter(|a| **a == wanted).count()
    }
}

/// The share of the silver that is gone in each square of about that side, mm.
#[must_use]
pub fn gone((plane, px_per_mm): Level<'_>, side_mm: f64) -> Plane {
    let (rows, cols) = plane.dim();
    let squares =
        |px: usize| ((px as f64 / px_per_mm / side_mm).round() as usize).clamp(1, px.max(1));
    resize(plane, squares(rows), squares(cols)).mapv(|s| 1.0 - s.clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bare_corner_is_darker_than_anything_on_the_sample() {
        let sample = Plane::from_elem((100, 100), 0.9);
        let mut panel = Plane::from_elem((200, 400), 0.9);
        panel
            .indexed_iter_mut()
            .filter(|((r, c), _)| *r < 60 && *c < 60)
            .for_each(|(_, s)| *s = 0.2);
        let found = Squares::of((&sample, 1.0), (&panel, 1.0), 0.06);
        // 400 mm in 22 squares of 18.2 mm, and the bare 60 mm spans three of them and a bit.
        assert_eq!(found.panel.dim(), (11, 22));
        let darker = found.count(Against::Darker);
        assert!((9..=16).contains(&darker), "{darker}");
        assert_eq!(found.count(Against::Lighter), 0);
        assert_eq!(found.against[0], Against::Darker);
    }

    #[test]
    fn what_the_sample_shows_itself_is_like_it() {
        let sample = Plane::from_shape_fn((80, 80), |(r, _)| if r < 40 { 0.5 } else { 0.95 });
        let panel = Plane::from_elem((300, 300), 0.7);
        let found = Squares::of((&sample, 1.0), (&panel, 1.0), 0.06);
        assert_eq!(found.count(Against::Like), found.against.len());
    }
}
