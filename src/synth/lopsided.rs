//! Loss that grows towards one side.

use serde::{Deserialize, Serialize};

use crate::units::SizeMm;

/// Loss that grows evenly from none at one side of the panel to its depth at the other.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lopsided {
    /// The way the loss grows, degrees anticlockwise from the panel's right: 0 to the right, 90 to the top.
    pub towards_deg: f64,
    /// Loss at the farthest corner or side that way, 0 to 1. The mean is half of this.
    pub depth: f64,
}

impl Lopsided {
    /// Loss at a point, mm right of and below the panel's top left corner.
    pub(super) fn at(&self, size: SizeMm, x_mm: f64, y_mm: f64) -> f64 {
        self.depth * 0.5 * (1.0 + towards(size, self.towards_deg, [x_mm, y_mm]))
    }
}

/// How far a point lies from the panel's middle towards a side: 1 at the farthest corner or side that way, −1 opposite,
/// and no more beyond the cut.
pub(super) fn towards(size: SizeMm, towards_deg: f64, [x_mm, y_mm]: [f64; 2]) -> f64 {
    let (sin, cos) = towards_deg.to_radians().sin_cos();
    let reach = (size.width * cos.abs() + size.height * sin.abs()) / 2.0;
    let gone = (x_mm - size.width / 2.0) * cos - (y_mm - size.height / 2.0) * sin;
    (gone / reach).clamp(-1.0, 1.0)
}
