//! Pixel containers and the seam types between the stages.
//!
//! [`photo::Photo`] is what intake makes, [`placement::Placement`] says where the panel lies in it, and
//! [`panel::Panel`] is the narrow waist: after it no camera exists. This is the only place where the row/column order
//! of the image libraries meets that of the array library.

pub mod bilinear;
#[cfg(test)]
pub(crate) mod drawn;
pub mod lens;
pub mod mark;
pub mod panel;
pub mod photo;
pub mod placement;
pub mod quad;
pub mod side;

/// A raster of one quantity, indexed `[row, col]` from the top left.
pub type Plane = ndarray::Array2<f32>;

/// The piece of a raster in some rows and columns.
///
/// # Panics
/// When they reach outside it.
#[must_use]
pub fn piece<T>(
    raster: &ndarray::Array2<T>,
    rows: std::ops::Range<usize>,
    cols: std::ops::Range<usize>,
) -> ndarray::ArrayView2<'_, T> {
    let mut piece = raster.view();
    piece.slice_axis_inplace(ndarray::Axis(0), rows.into());
    piece.slice_axis_inplace(ndarray::Axis(1), cols.into());
    piece
}
