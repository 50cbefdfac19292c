//! The lens that bends straight lines: where a photo through it shows what a straight one shows elsewhere.

use super::shot::Shot;
use crate::frame::quad::Point;

/// A lens that draws the corners of the frame in.
#[derive(Debug, Clone, Copy)]
pub(super) struct Barrel {
    middle: Point,
    /// Relative change of the distance from the middle, for its square.
    per_px2: f64,
}

/// Rounds of fixed-point iteration; each wins a digit or more.
const ROUNDS: usize = 20;

impl Barrel {
    pub(super) fn new(shot: &Shot) -> Self {
        let (width, height) = (shot.width_px as f64, shot.height_px as f64);
        Barrel {
            middle: [width / 2.0, height / 2.0],
            per_px2: 4.0 * shot.fault.barrel / (width * width + height * height),
        }
    }

    fn stretch(&self, [x, y]: Point) -> f64 {
        1.0 + self.per_px2 * ((x - self.middle[0]).powi(2) + (y - self.middle[1]).powi(2))
    }

    /// Where a straight lens would show what this one shows at a point.
    pub(super) fn straightened(&self, at: Point) -> Point {
        let stretch = self.stretch(at);
        [0, 1].map(|a| self.middle[a] + (at[a] - self.middle[a]) * stretch)
    }

    /// Where this lens shows what a straight one would at a point.
    pub(super) fn bent(&self, at: Point) -> Point {
        (0..ROUNDS).fold(at, |guess, _| {
            let stretch = self.stretch(guess);
            [0, 1].map(|a| self.middle[a] + (at[a] - self.middle[a]) / stretch)
        })
    }

    /// Whether it bends at all.
    pub(super) fn bends(&self) -> bool {
        self.per_px2.abs() > 0.0
    }

    /// Farthest any point of a frame moves, pixels.
    pub(super) fn farthest_px(&self) -> f64 {
        let corner = self.middle[0].hypot(self.middle[1]);
        self.per_px2.abs() * corner.powi(3)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::synth::fault::Fault;

    #[test]
    fn a_bent_point_is_straightened_to_where_it_was() {
        let shot = Shot {
            fault: Fault {
                barrel: 0.08,
                ..Fault::default()
            },
            ..Shot::default()
        };
        let barrel = Barrel::new(&shot);
        for at in [[10.0, 20.0], [2000.0, 1500.0], [3900.0, 200.0]] {
            let back = barrel.straightened(barrel.bent(at));
            assert!((0..2).all(|a| (back[a] - at[a]).abs() < 1e-6), "{back:?}");
        }
        // The corner of the frame is drawn in.
        assert!(barrel.bent([0.0, 0.0])[0] > 50.0);
    }
}
