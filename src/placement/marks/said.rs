//! What the marks add to what was said.

use std::path::Path;

use super::{Marked, find};
use crate::error::{Error, Result};
use crate::frame::photo::Photo;
use crate::frame::placement::{Finding, FoundBy, Side};
use crate::frame::quad::Quad;
use crate::placement::Given;
use crate::units::SizeMm;

/// A size given may differ from what the marks show by this share: more is a wrong size or a print not to scale.
const MOST_OFF: f64 = 0.02;

/// Fills in the corners that the marks show, and the size unless one was said, and tells where their paper lies; `None`
/// where there are no marks.
///
/// # Errors
/// The marks are unclear, or show another size than the one given.
pub(in crate::placement) fn by_marks(
    photo: &Photo,
    path: &Path,
    given: &mut Given,
) -> Result<Option<(Finding, [Quad; 4])>> {
    let Some(marked) = find(photo, path)? else {
        return Ok(None);
    };
    let size = *given.size.get_or_insert(marked.size);
    if !alike(size, marked.size) {
        return Err(Error::SizeUnlikeMarks {
            path: path.to_owned(),
            given: words(size),
            found: words(marked.size),
        });
    }
    given.corners = Some(as_it_hangs(&marked, given.side.unwrap_or_default()));
    let finding = Finding {
        by: FoundBy::Marks,
        confidence: marked.confidence,
    };
    Ok(Some((finding, marked.papers)))
}

/// From behind, the mark laid at the left lies at what hangs at the right.
fn as_it_hangs(marked: &Marked, side: Side) -> Quad {
    let [a, b, c, d] = marked.corners.0;
    match side {
        Side::Front => marked.corners,
        Side::Back => Quad([b, a, d, c]),
    }
}

fn alike(given: SizeMm, found: SizeMm) -> bool {
    let off = |given: f64, found: f64| (given / found - 1.0).abs() > MOST_OFF;
    !off(given.width, found.width) && !off(given.height, found.height)
}

fn words(size: SizeMm) -> String {
    format!("{:.1} x {:.1} mm", size.width, size.height)
}
