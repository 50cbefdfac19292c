//! The square grid the inside of a panel is resampled to.

use std::path::PathBuf;

use crate::error::{Error, Result};
use crate::frame::placement::Placement;
use crate::frame::quad::{Homography, Quad};

/// A footprint this little over one photo pixel is still read with one sample.
const FOOTPRINT_SLACK: f64 = 1.1;

/// Fewest rows and columns of a grid: a few windows must fit.
const LEAST_SIDE: usize = 32;

/// Three deviations of blur hold what the surround bleeds in.
const RIM_BLURS: f64 = 3.0;

/// Doubt of a corner's place, photo pixels.
const CORNER_DOUBT_PX: f64 = 1.0;

/// Rows and columns over the inside of a panel, and the way from there into the photo.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    pub(super) rows: usize,
    pub(super) cols: usize,
    /// Grid pixels in a millimetre.
    pub(super) px_per_mm: f64,
    /// Width of the rim left out on every side, mm.
    pub(super) rim_mm: f64,
    /// Grid position (x along columns, y down rows, pixel centres at +0.5) → photo position.
    pub(super) to_photo: Homography,
    /// Photo pixels along one grid pixel.
    pub(super) footprint: f64,
    /// Samples taken along each side of a grid pixel.
    pub(super) samples: usize,
}

impl Grid {
    /// The grid of a placement: `finest` px/mm, or the photo's own resolution where that is lower. A rim is left out
    /// where a blur of `edge_px` photo pixels mixes the panel with its surround.
    pub(super) fn new(placement: &Placement, finest: f64, edge_px: f64) -> Result<Self> {
        let impossible = || Error::CornersImpossible {
            path: PathBuf::new(),
            found: "no flat panel projects to them".to_owned(),
        };
        let size = placement.size;
        let photo_px_per_mm = (placement.corners.area() / (size.width * size.height)).sqrt();
        let px_per_mm = photo_px_per_mm.min(finest);
        let footprint = photo_px_per_mm / px_per_mm;
        let samples = ((footprint / FOOTPRINT_SLACK).ceil() as usize).max(1);
        let rim_mm = (RIM_BLURS * edge_px + CORNER_DOUBT_PX) / photo_px_per_mm;
        let side = |mm: f64| (((mm - 2.0 * rim_mm) * px_per_mm).floor() as usize).max(LEAST_SIDE);
        let (rows, cols) = (side(size.height), side(size.width));
        // The whole panel on the grid's scale, its inside centred on the grid.
        let (width, height) = (size.width * px_per_mm, size.height * px_per_mm);
        let on_grid = Quad::rectangle(
            (cols as f64 - width) / 2.0,
            (rows as f64 - height) / 2.0,
            width,
            height,
        );
        let to_photo =
            Homography::between(&on_grid.0, &placement.corners.0).ok_or_else(impossible)?;
        Ok(Grid {
            rows,
            cols,
            px_per_mm,
            rim_mm,
            to_photo,
            footprint,
            samples,
        })
    }

    /// Blur of the resampled panel, mm, for a blur of `edge_px` in the photo. Reading between pixels adds 1/6 px² on
    /// average over all positions (the variance f(1−f) of two weights), spread samples (n²−1)/12 of their spacing².
    pub(super) fn blur_mm(&self, edge_px: f64) -> f64 {
        let n = self.samples as f64;
        let spacing = self.footprint / n;
        let variance = edge_px * edge_px + 1.0 / 6.0 + (n * n - 1.0) / 12.0 * spacing * spacing;
        variance.sqrt() / (self.footprint * self.px_per_mm)
    }
}
