//! The part of the plane that is painted: the glass, and what lies past its edges.

use rand::RngExt;
use rand_pcg::Pcg64;

/// The rectangle to fill: top left corner and extent, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Area {
    pub(super) from_mm: [f64; 2],
    pub(super) extent_mm: [f64; 2],
}

impl Area {
    pub(super) fn mm2(self) -> f64 {
        self.extent_mm[0] * self.extent_mm[1]
    }

    pub(super) fn anywhere(self, rng: &mut Pcg64) -> [f64; 2] {
        [0, 1].map(|i| self.from_mm[i] + rng.random::<f64>() * self.extent_mm[i])
    }

    pub(super) fn grown(self, by_mm: f64) -> Self {
        Area {
            from_mm: self.from_mm.map(|v| v - by_mm),
            extent_mm: self.extent_mm.map(|v| v + 2.0 * by_mm),
        }
    }
}
