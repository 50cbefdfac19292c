//! Loss that grows towards the cut edges.

use super::finish::EdgeLoss;
use crate::units::SizeMm;

impl EdgeLoss {
    /// Loss at a point, mm right of and below the panel's top left corner.
    pub(super) fn at(&self, size: SizeMm, x_mm: f64, y_mm: f64) -> f64 {
        let inwards = x_mm
            .min(y_mm)
            .min(size.width - x_mm)
            .min(size.height - y_mm);
        self.depth * (-inwards.max(0.0) / self.width_mm).exp()
    }
}
