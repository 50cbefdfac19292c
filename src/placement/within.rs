//! What is said to lie in a photo, held against its frame.

use std::path::Path;

use crate::error::{Error, Result};
use crate::frame::photo::Photo;
use crate::frame::placement::{Patch, PatchKind};
use crate::frame::quad::Quad;

/// A patch smaller than this on a side has no inside once its edges are left out, pixels.
const LEAST_PATCH_PX: f64 = 8.0;

/// A corner may lie this far outside the frame, pixels: a click at the very edge is meant as the edge.
const CORNER_SLACK_PX: f64 = 1.0;

/// Farther away than any photo is large, pixels: what lies there is said to lie here, for 300 digits tell nobody more.
const FARTHEST_PX: f64 = 1e9;

/// The photo everything must lie in.
pub(super) struct Frame<'a> {
    pub(super) photo: &'a Photo,
    pub(super) path: &'a Path,
}

impl Frame<'_> {
    pub(super) fn inside(&self, [x, y]: [f64; 2], what: impl Fn() -> String) -> Result<()> {
        let (width, height) = (self.photo.width, self.photo.height);
        let within =
            |v: f64, end: usize| (-CORNER_SLACK_PX..=end as f64 + CORNER_SLACK_PX).contains(&v);
        if within(x, width) && within(y, height) {
            return Ok(());
        }
        Err(Error::OutsidePhoto {
            path: self.path.to_owned(),
            what: what(),
            x: x.clamp(-FARTHEST_PX, FARTHEST_PX),
            y: y.clamp(-FARTHEST_PX, FARTHEST_PX),
            width,
            height,
        })
    }

    pub(super) fn patch(&self, patch: &Patch, number: usize, panel: &Quad) -> Result<()> {
        let kind = match patch.kind {
            PatchKind::Grey => "grey",
            PatchKind::Mirror => "mirror",
            PatchKind::Bare => "bare",
        };
        self.piece(&patch.corners, Some(panel), || {
            format!("the {kind} patch (number {number})")
        })
    }

    /// Something beside the panel.
    pub(super) fn piece(
        &self,
        corners: &Quad,
        panel: Option<&Quad>,
        what: impl Fn() -> String,
    ) -> Result<()> {
        let span = |axis: usize| {
            let [low, high] = corners.span(axis);
            high - low
        };
        // A negative width turns the rectangle inside out, so it is no longer clockwise.
        let (width, height) = (span(0).min(FARTHEST_PX), span(1).min(FARTHEST_PX));
        if width < LEAST_PATCH_PX
            || height < LEAST_PATCH_PX
            || !corners.is_convex()
            || !corners.is_clockwise()
        {
            return Err(Error::PatchTooSmall {
                path: self.path.to_owned(),
                what: what(),
                found: format!("{width:.0} x {height:.0} pixels"),
                least: LEAST_PATCH_PX,
            });
        }
        for corner in corners.0 {
            self.inside(corner, &what)?;
        }
        if panel.is_some_and(|panel| corners.overlaps(panel)) {
            return Err(Error::PatchOnPanel {
                path: self.path.to_owned(),
                what: what(),
            });
        }
        Ok(())
    }
}
