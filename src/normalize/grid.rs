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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    fn grid(side_px: f64, finest: f64, edge_px: f64) -> Grid {
        let placement = drawn::placement(Quad::rectangle(50.0, 20.0, side_px, side_px));
        Grid::new(&placement, finest, edge_px).unwrap()
    }

    #[test]
    fn it_has_the_photos_resolution_up_to_the_finest() {
        // 100 mm on 400 px; a blur of 1 px leaves out 3 + 1 px each side.
        let coarse = grid(400.0, 10.0, 1.0);
        assert!((coarse.px_per_mm - 4.0).abs() < 1e-9 && (coarse.rim_mm - 1.0).abs() < 1e-9);
        assert_eq!((coarse.rows, coarse.cols, coarse.samples), (392, 392, 1));
        let fine = grid(400.0, 2.0, 1.0);
        assert!((fine.px_per_mm - 2.0).abs() < 1e-9 && (fine.footprint - 2.0).abs() < 1e-9);
        assert_eq!((fine.rows, fine.cols, fine.samples), (196, 196, 2));
        // A tenth over one pixel is still one sample.
        assert_eq!(
            [grid(436.0, 4.0, 1.0).samples, grid(444.0, 4.0, 1.0).samples],
            [1, 2]
        );
    }

    #[test]
    fn its_middle_is_the_panels_and_its_edges_a_rim_inside() {
        let g = grid(400.0, 10.0, 1.0);
        let near = |on_grid: [f64; 2], photo: [f64; 2]| {
            let found = g.to_photo.apply(on_grid);
            (found[0] - photo[0]).abs() < 1e-6 && (found[1] - photo[1]).abs() < 1e-6
        };
        assert!(near([196.0, 196.0], [250.0, 220.0]));
        assert!(near([0.0, 0.0], [54.0, 24.0]));
        assert!(near([392.0, 0.0], [446.0, 24.0]));
    }

    #[test]
    fn a_speck_of_a_panel_has_the_least_side_and_none_none() {
        let tiny = grid(10.0, 10.0, 1.0);
        assert_eq!((tiny.rows, tiny.cols), (LEAST_SIDE, LEAST_SIDE));
        let flat = Quad([[0.0, 0.0], [10.0, 0.0], [20.0, 0.0], [30.0, 0.0]]);
        let placement = drawn::placement(flat);
        assert!(matches!(
            Grid::new(&placement, 10.0, 1.0),
            Err(Error::CornersImpossible { .. })
        ));
    }

    #[test]
    fn reading_between_pixels_and_spread_samples_add_to_the_blur() {
        let one = grid(400.0, 10.0, 1.0).blur_mm(1.0);
        assert!((one - (7.0_f64 / 6.0).sqrt() / 4.0).abs() < 1e-9, "{one}");
        // Two samples a photo pixel apart: (4 − 1)/12 px² more.
        let two = grid(400.0, 2.0, 1.0).blur_mm(1.0);
        assert!(
            (two - (7.0_f64 / 6.0 + 0.25).sqrt() / 4.0).abs() < 1e-9,
            "{two}"
        );
    }
}
