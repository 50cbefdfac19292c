//! Finding the panel and the patches in a photo, told no more than the panel's proportions.
//!
//! The photo is made small and its surround learnt from the frame's edge; long straight borders of the surround are made
//! into quads, and the quad of the right proportions that stands out all round is the panel. Its sides are then laid
//! through many edge points of the photo itself, so that blots and worn edges do not pull at them. Last, flat compact
//! zones beside it are told apart by their light. Where nothing, two things or half a panel is seen, that is said.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    reason = "positions in a picture are rounded to its pixels and checked against its sides"
)]

mod borders;
mod edges;
mod glass;
mod lines;
mod patches;
mod quads;
mod refine;
mod thumbnail;
mod worn;
mod zones;

use std::path::Path;

use quads::Candidate;
use thumbnail::Thumbnail;

use crate::error::{Error, Result};
use crate::frame::photo::Photo;
use crate::frame::placement::{Patch, SURE};
use crate::frame::quad::{Point, Quad};

/// What was found in a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundPanel {
    /// The panel's corners as seen in the photo, from the top left, clockwise.
    pub corners: Quad,
    /// The patches beside it.
    pub patches: Vec<Patch>,
    /// How sure all of it is, 0 to 1; from [`SURE`](crate::frame::placement::SURE) on it is acted on.
    pub confidence: f64,
}

/// A panel stands out at least so much.
const LEAST_SCORE: f64 = 0.42;

/// A second panel stands out this much, and covers this share of the first.
const RIVAL: (f64, f64) = (0.6, 0.3);

/// A panel that the frame cuts off stands out at least so much.
const LEAST_CUT: f64 = 0.7;

/// Corners nearer than this share of the thumbnail's long side are the same corners.
const ALIKE: f64 = 0.03;

/// A side whose cut may lie this far off leaves nothing sure, and this far takes nothing: 1.75 px each way, at a corner
/// of two such sides 2.5 px, is no longer acted on.
const DOUBT_PX: (f64, f64) = (2.4, 1.0);

/// The same for each of two panels: the pattern of the one that is kept shows afterwards whether it was placed rightly.
const DOUBT_OF_TWO_PX: (f64, f64) = (6.0, 2.0);

/// A side with which this share of the profiles agrees says nothing, and this share says all.
const LEAST_AGREED: (f64, f64) = (0.2, 0.6);

/// Finds the panel of these proportions (width over height as shown in the photo) and the patches, but for what is known.
///
/// # Errors
/// No panel is seen, or more than one that could be meant, or one that the frame cuts off.
pub fn find(photo: &Photo, path: &Path, proportions: f64, known: &[Quad]) -> Result<FoundPanel> {
    let none = || Error::NoPanelFound {
        path: path.to_owned(),
    };
    let thumbnail = Thumbnail::new(photo).ok_or_else(none)?;
    let candidates = quads::candidates(&thumbnail, &lines::lines(&thumbnail, 1), Some(proportions));
    let reach = ALIKE * thumbnail.dim().0.max(thumbnail.dim().1) as f64;
    let (cut, whole): (Vec<Candidate>, Vec<Candidate>) =
        candidates.into_iter().partition(Candidate::is_cut);
    let best = whole.first().filter(|c| c.score() >= LEAST_SCORE);
    let Some(best) = best else {
        return Err(match cut.first().filter(|c| c.score() >= LEAST_CUT) {
            Some(cut) => Error::PanelCutOff {
                path: path.to_owned(),
                side: side_cut(cut),
            },
            None => none(),
        });
    };
    let apart = |c: &&Candidate| !c.quad.overlaps(&best.quad);
    let rival = |c: &Candidate| {
        c.score() >= RIVAL.0.min(best.score()) && c.quad.area() >= RIVAL.1 * best.quad.area()
    };
    if whole.iter().filter(apart).any(rival) {
        return Err(Error::PanelsFound {
            path: path.to_owned(),
        });
    }
    let (refined, doubt_px) = laid(photo, &thumbnail, &best.quad).ok_or_else(none)?;
    let side = (refined.quad.0.iter()).find_map(|corner| beyond(photo, *corner));
    if let Some(side) = side {
        return Err(Error::PanelCutOff {
            path: path.to_owned(),
            side,
        });
    }
    let second = (whole.iter())
        .find(|c| !quads::alike(&c.quad, &best.quad, reach))
        .map_or(0.0, Candidate::score);
    let patches = patches::patches(photo, &thumbnail, &refined.quad, known);
    let sure =
        surety(best, &refined, second, proportions) * between(doubt_px, DOUBT_PX.0, DOUBT_PX.1);
    Ok(FoundPanel {
        corners: refined.quad,
        patches: patches.patches,
        confidence: sure.min(patches.certainty),
    })
}

/// Finds two panels beside each other, of any proportions, the left one first.
///
/// # Errors
/// There are no two that stand out.
pub(super) fn find_two(photo: &Photo, path: &Path) -> Result<[Quad; 2]> {
    let none = || Error::NoTwoPanels {
        path: path.to_owned(),
    };
    let thumbnail = Thumbnail::new(photo).ok_or_else(none)?;
    let mut stand_out = quads::candidates(&thumbnail, &lines::lines(&thumbnail, 2), None);
    stand_out.retain(|c| !c.is_cut() && c.score() >= RIVAL.0);
    let first = stand_out.first().ok_or_else(none)?;
    let apart = |c: &&Candidate| !c.quad.overlaps(&first.quad);
    let second = stand_out.iter().find(apart).ok_or_else(none)?;
    let mut two = Vec::with_capacity(2);
    for candidate in [first, second] {
        let (refined, doubt_px) = laid(photo, &thumbnail, &candidate.quad).ok_or_else(none)?;
        let agreed = refined.agreed.into_iter().fold(1.0, f64::min);
        if between(agreed, LEAST_AGREED.0, LEAST_AGREED.1)
            * between(doubt_px, DOUBT_OF_TWO_PX.0, DOUBT_OF_TWO_PX.1)
            < SURE
        {
            return Err(none());
        }
        two.push(refined.quad);
    }
    two.sort_by(|a, b| a.centre()[0].total_cmp(&b.centre()[0]));
    Ok([two[0], two[1]])
}

/// A quad of the thumbnail laid through the edges of the photo, and how far off its least sure side may lie, pixels.
fn laid(photo: &Photo, thumbnail: &Thumbnail, quad: &Quad) -> Option<(refine::Refined, f64)> {
    let cell = thumbnail.cell as f64;
    let scaled = Quad(quad.0.map(|p| p.map(|v| v * cell)));
    let mut refined = refine::refine(photo, &scaled, cell + 2.0)?;
    let mut behind = [false; 4];
    if let Some((silver, shown)) = glass::behind(photo, &refined) {
        (refined, behind) = (silver, shown);
    }
    let (cut, doubt_px) = worn::settled(photo, &refined, behind)?;
    refined.quad = cut;
    Some((refined, doubt_px))
}

/// The patches beside a panel whose corners are found, but for what is known, and how sure their kinds are, 0 to 1.
#[must_use]
pub(super) fn patches_beside(photo: &Photo, panel: &Quad, known: &[Quad]) -> (Vec<Patch>, f64) {
    Thumbnail::new(photo).map_or((Vec::new(), 1.0), |thumbnail| {
        let found = patches::patches(photo, &thumbnail, panel, known);
        (found.patches, found.certainty)
    })
}

/// 0 at `none`, 1 at `all`.
fn between(v: f64, none: f64, all: f64) -> f64 {
    ((v - none) / (all - none)).clamp(0.0, 1.0)
}

/// How sure a panel is: the product of what its weakest side, its proportions and the next best quad leave.
fn surety(best: &Candidate, refined: &refine::Refined, second: f64, expected: f64) -> f64 {
    let least = |of: [f64; 4]| of.into_iter().fold(1.0, f64::min);
    let found = refined.quad.proportions();
    let off = (found / expected).max(expected / found);
    between(least(best.support), 0.2, 0.6)
        * between(least(refined.agreed), LEAST_AGREED.0, LEAST_AGREED.1)
        * between(off, quads::MOST_OFF, 1.06)
        * between(second / best.score(), 1.05, 0.85)
}

/// Sides of the frame, as a candidate counts them.
const SIDES: [&str; 4] = ["top", "right", "bottom", "left"];

/// The side at which the frame cuts something off.
fn side_cut(cut: &Candidate) -> &'static str {
    let mut sides = SIDES.iter().zip(cut.cut);
    sides
        .find_map(|(side, cut)| cut.then_some(*side))
        .unwrap_or("edge")
}

/// The side of the frame beyond which a corner lies, by more than half a pixel.
fn beyond(photo: &Photo, [x, y]: Point) -> Option<&'static str> {
    let (width, height) = (photo.width as f64, photo.height as f64);
    let out = [y < -0.5, x > width + 0.5, y > height + 0.5, x < -0.5];
    let mut sides = SIDES.iter().zip(out);
    sides.find_map(|(side, out)| out.then_some(*side))
}
