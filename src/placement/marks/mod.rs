//! Photo → the printed corner marks around the panel, its size and its corners.
//!
//! `finder` looks through some rows for the squares of codes, `symbol` reads a mark, `solve` lays all four in one
//! plane, `rim` looks for the panel's own edges between them. What the marks cannot tell: that they were printed at
//! another scale. The ruler on the sheet is there for that.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "positions are checked against the photo before they become indices"
)]

mod finder;
mod rim;
mod said;
mod solve;
mod symbol;

use std::path::Path;

use crate::error::{Error, Result};
use crate::frame::mark::Corner;
use crate::frame::photo::Photo;
use crate::frame::quad::{Homography, Quad};
use crate::units::SizeMm;
pub(in crate::placement) use said::by_marks;
use solve::Plane;
use symbol::ReadMark;

/// A photo that seems to show more codes than this shows a pattern.
const MOST_CODES: usize = 200;

/// A mark may be turned by so much against the others, degrees: more was laid at the wrong corner.
const MOST_TURN_DEG: f64 = 20.0;

/// Frames that lie further than this from one plane, pixels, are bent, raised or read wrong.
const MOST_RESIDUAL_PX: f64 = 3.0;

/// Residual at which marks are half as sure, pixels: flat, dry marks stay under 0.1.
const HALF_SURE_PX: f64 = 1.0;

/// Confidence where the panel's own edges do not show and its corners are where the marks were laid.
const BY_HAND: f64 = 0.7;

/// What the marks say.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked {
    /// The panel's size, to a tenth of a millimetre.
    pub size: SizeMm,
    /// Its corners in the photo, by the corners the marks name.
    pub corners: Quad,
    /// About where the paper of each lies in the photo, and no less.
    pub papers: [Quad; 4],
    /// From the photo to millimetres in the plane of the marks.
    pub to_mm: Homography,
    /// How sure this is, 0 to 1: less where the frames do not lie in one plane, or the panel's edges do not show.
    pub confidence: f64,
    /// Root mean square distance of the frames' corners from where one plane puts them, pixels.
    pub residual_px: f64,
}

/// The marks in the photo; `None` where there are none.
///
/// # Errors
/// Some marks are there but do not say where the panel is: one is missing, two are for one corner, they are of different
/// prints, lie in the wrong order or not in one plane.
pub fn find(photo: &Photo, path: &Path) -> Result<Option<Marked>> {
    let seen = all(photo);
    if seen.is_empty() {
        return Ok(None);
    }
    let unclear = |found: String| Error::MarksUnclear {
        path: path.to_owned(),
        found,
    };
    let seen = four(&seen).map_err(unclear)?;
    let plane =
        solve::solve(&seen).ok_or_else(|| unclear("they do not lie in one plane".into()))?;
    sound(&plane).map_err(unclear)?;
    marked(photo, &plane, &seen)
        .map(Some)
        .ok_or_else(|| unclear("they do not lie in one plane".into()))
}

/// Every mark that can be read.
fn all(photo: &Photo) -> Vec<ReadMark> {
    let mut seen: Vec<ReadMark> = Vec::new();
    let finders = finder::finders(photo);
    for triple in symbol::triples(&finders).into_iter().take(MOST_CODES) {
        let again = seen.iter().any(|s| s.frame.contains(triple[0].at));
        if !again {
            seen.extend(symbol::read(photo, triple));
        }
    }
    seen
}

/// The four marks in the order of the corners, or why they are not four.
fn four(seen: &[ReadMark]) -> Result<[ReadMark; 4], String> {
    let of = |corner: Corner| seen.iter().filter(move |s| s.mark.corner == corner);
    let list = |corners: &[Corner]| {
        corners
            .iter()
            .map(|c| c.words())
            .collect::<Vec<_>>()
            .join(", ")
    };
    let twice: Vec<Corner> = Corner::ALL
        .into_iter()
        .filter(|c| of(*c).count() > 1)
        .collect();
    if !twice.is_empty() {
        return Err(format!(
            "there is more than one for the same corner ({})",
            list(&twice)
        ));
    }
    let [a, b, c, d] = Corner::ALL.map(|corner| of(corner).next().copied());
    let (Some(a), Some(b), Some(c), Some(d)) = (a, b, c, d) else {
        let missing: Vec<Corner> = Corner::ALL
            .into_iter()
            .filter(|c| of(*c).count() == 0)
            .collect();
        let read = 4 - missing.len();
        return Err(format!(
            "{read} of 4 can be read; not found: {}",
            list(&missing)
        ));
    };
    let four = [a, b, c, d];
    if let Some(other) = four.iter().find(|s| s.mark.size != a.mark.size) {
        return Err(format!(
            "they are of two prints, {} and {}",
            a.mark.size, other.mark.size
        ));
    }
    Ok(four)
}

/// Why marks that were read cannot be relied upon.
fn sound(plane: &Plane) -> Result<(), String> {
    let around = Quad(plane.notches.0.map(|p| plane.to_photo.apply(p)));
    let turned = plane
        .turned
        .map(|t| t.sin().atan2(t.cos()).abs().to_degrees());
    let askew = Corner::ALL
        .into_iter()
        .zip(turned)
        .find(|(_, t)| *t > MOST_TURN_DEG);
    if let Some((corner, turn)) = askew {
        return Err(format!(
            "the {} one is turned by {turn:.0} degrees against the top left one",
            corner.words()
        ));
    }
    if !around.is_convex() || !around.is_clockwise() {
        return Err("they do not lie at the corners they name".into());
    }
    if plane.residual_px > MOST_RESIDUAL_PX {
        return Err(format!(
            "they do not lie in one plane ({:.1} pixels off it)",
            plane.residual_px
        ));
    }
    Ok(())
}

/// Size and corners from the plane.
fn marked(photo: &Photo, plane: &Plane, seen: &[ReadMark; 4]) -> Option<Marked> {
    let to_mm = plane.to_photo.inverse()?;
    let own = rim::corners(photo, plane, seen[0].mark.size.module_mm());
    let by_hand = if own.is_some() { 1.0 } else { BY_HAND };
    let corners = own.unwrap_or(Quad(plane.notches.0.map(|p| plane.to_photo.apply(p))));
    let mm = corners.0.map(|p| to_mm.apply(p));
    let apart = |a: usize, b: usize| (mm[a][0] - mm[b][0]).hypot(mm[a][1] - mm[b][1]);
    let tenth = |v: f64| (v * 10.0).round() / 10.0;
    Some(Marked {
        size: SizeMm {
            width: tenth(apart(0, 1).midpoint(apart(3, 2))),
            height: tenth(apart(0, 3).midpoint(apart(1, 2))),
        },
        corners,
        papers: std::array::from_fn(|i| about(&seen[i].frame)),
        to_mm,
        confidence: by_hand / (1.0 + (plane.residual_px / HALF_SURE_PX).powi(2)),
        residual_px: plane.residual_px,
    })
}

/// Paper and more of it around a mark's frame.
fn about(frame: &Quad) -> Quad {
    const PAPER_OVER_FRAME: f64 = 1.7;
    let centre = frame.centre();
    Quad((frame.0).map(|p| [0, 1].map(|i| centre[i] + PAPER_OVER_FRAME * (p[i] - centre[i]))))
}
