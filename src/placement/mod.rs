//! Photo → [`Placement`]: where the panel and the patches lie, said by the maker or found, and checked against the photo.

mod bow;
mod find;
mod given;
mod lens;
pub mod marks;
mod profile;
mod sidecar;
mod typed;
mod within;

use std::path::Path;

use crate::error::Result;
use crate::frame::lens::Lens;
use crate::frame::photo::Photo;
use crate::frame::placement::{Finding, FoundBy, Placement, SURE, Side, Sighting};
use crate::frame::quad::Quad;
use crate::quality::{Flag, FlagSet};
use crate::units::Proportions;

pub use find::{FoundPanel, find};
pub use given::{Given, card};
pub use sidecar::{SIDECAR_ENDING, Sidecar, sidecar_path};
pub use typed::FormError;

/// Makes what was given whole, or refuses the impossible. Where no corners are given the panel is looked for, and where
/// no patches are given either, they are too; the flags say how sure that is and how corners were read.
///
/// # Errors
/// Missing size; corners crossed, outside the photo or unlike the size; patches empty, outside the photo or on the panel;
/// a reflectance outside 0.01 to 1; a panel that is not found, not alone or cut off.
pub fn place(photo: &Photo, path: &Path, mut given: Given) -> Result<(Placement, FlagSet)> {
    let finding = look(photo, path, &mut given)?;
    let (mut placement, mut flags) = given::place(photo, path, given)?;
    placement.found = finding;
    flags.raise_if(is_unsure(finding), Flag::PlaceUnsure);
    Ok((placement, flags))
}

/// A photo in which all is placed, as a lens that bends nothing would have taken it.
pub struct Placed {
    /// The photo.
    pub photo: Photo,
    /// Where the panel and the patches lie in it.
    pub placement: Placement,
    /// What is weak about that.
    pub flags: FlagSet,
    /// The lens that was taken out; `None` where it bends too little to matter.
    pub lens: Option<Lens>,
}

/// The same with what the lens bends taken out of the photo, told by the panel's own sides.
///
/// # Errors
/// As for [`place`].
pub fn place_straight(photo: Photo, path: &Path, given: Given) -> Result<Placed> {
    let (placement, flags) = place(&photo, path, given.clone())?;
    let told = lens::told(&photo, &[placement.corners]);
    let lens = told.lens.filter(|lens| placement.stays_within(lens));
    let (photo, (placement, mut flags)) = match lens {
        None => (photo, (placement, flags)),
        Some(lens) => {
            let photo = lens.straighten(photo);
            let placed = place(&photo, path, given.straight(&lens))?;
            (photo, placed)
        }
    };
    flags.raise_if(told.bowed, Flag::BowedEdges);
    Ok(Placed {
        photo,
        placement,
        flags,
        lens,
    })
}

/// Two panels beside each other, the left one first, in the photo with what the lens bends taken out.
///
/// # Errors
/// There are no two that stand out.
pub fn two_straight(photo: Photo, path: &Path) -> Result<(Photo, [Quad; 2], Option<Lens>)> {
    let two = find::find_two(&photo, path)?;
    let Some(lens) = lens::told(&photo, &two).lens else {
        return Ok((photo, two, None));
    };
    let photo = lens.straighten(photo);
    let two = find::find_two(&photo, path)?;
    Ok((photo, two, Some(lens)))
}

/// Where the panel and the patches lie, its size not being known: its proportions are enough to find it.
///
/// # Errors
/// As for [`place`], and where neither corners nor proportions are given.
pub fn sight(photo: &Photo, path: &Path, mut given: Given) -> Result<(Sighting, FlagSet)> {
    let finding = look(photo, path, &mut given)?;
    let (mut seen, mut flags) = given::sight(photo, path, given)?;
    seen.found = finding;
    flags.raise_if(is_unsure(finding), Flag::PlaceUnsure);
    Ok((seen, flags))
}

fn is_unsure(finding: Option<Finding>) -> bool {
    finding.is_some_and(|f| f.confidence < SURE)
}

/// Fills in what can be found: by the printed marks, else by the panel's edges.
fn look(photo: &Photo, path: &Path, given: &mut Given) -> Result<Option<Finding>> {
    if given.corners.is_some() {
        return Ok(None);
    }
    match marks::by_marks(photo, path, given)? {
        Some((finding, papers)) => Ok(Some(patches_too(photo, given, finding, &papers))),
        None => by_edges(photo, path, given),
    }
}

/// Looks for the patches beside a panel that its marks showed, off the paper of the marks.
fn patches_too(photo: &Photo, given: &mut Given, finding: Finding, papers: &[Quad]) -> Finding {
    let Some(panel) = given.corners.filter(|_| given.patches.is_empty()) else {
        return finding;
    };
    let (patches, certainty) = find::patches_beside(photo, &panel, papers);
    given.patches = patches;
    Finding {
        confidence: finding.confidence.min(certainty),
        ..finding
    }
}

/// Nothing is looked for where neither a size nor proportions are given.
fn by_edges(photo: &Photo, path: &Path, given: &mut Given) -> Result<Option<Finding>> {
    let of_size = given.size.map(Proportions::from);
    let Some(Proportions(times)) = of_size.or(given.proportions) else {
        return Ok(None);
    };
    // Patches that are said and the steps of a card are no others.
    let known: Vec<Quad> = (given.patches.iter().map(|p| p.corners))
        .chain(given.steps.iter().map(|s| s.corners))
        .collect();
    let found = find(photo, path, times, &known)?;
    let [a, b, c, d] = found.corners.0;
    given.corners = Some(match given.side.unwrap_or_default() {
        Side::Front => Quad([a, b, c, d]),
        // Seen from behind, what hangs at the left lies at the right.
        Side::Back => Quad([b, a, d, c]),
    });
    if given.patches.is_empty() {
        given.patches = found.patches;
    }
    Ok(Some(Finding {
        by: FoundBy::Edges,
        confidence: found.confidence,
    }))
}
