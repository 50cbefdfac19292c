//! A side of a quad, and places along it and across it.

use super::quad::{Point, Quad};

/// A straight way from one corner of a quad to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Side {
    /// The corner it begins at.
    pub from: Point,
    /// The way from there to the next corner.
    pub to_next: Point,
    /// Its length.
    pub length: f64,
    /// Its direction, of length 1.
    pub along: Point,
    /// The direction across it into the quad, of length 1.
    pub inwards: Point,
}

impl Side {
    /// The side from corner `number` (0 to 3) to the next one.
    #[must_use]
    pub fn new(quad: &Quad, number: usize) -> Self {
        let (from, to) = (quad.0[number], quad.0[(number + 1) % 4]);
        let to_next = [to[0] - from[0], to[1] - from[1]];
        let length = to_next[0].hypot(to_next[1]);
        let along = to_next.map(|v| v / length);
        let mut inwards = [-along[1], along[0]];
        // Seen from behind, the corners run the other way round.
        let centre = quad.centre();
        if (centre[0] - from[0]) * inwards[0] + (centre[1] - from[1]) * inwards[1] < 0.0 {
            inwards = inwards.map(|v| -v);
        }
        Side {
            from,
            to_next,
            length,
            along,
            inwards,
        }
    }

    /// The four sides: top, right, bottom, left.
    #[must_use]
    pub fn all(quad: &Quad) -> [Self; 4] {
        [0, 1, 2, 3].map(|number| Side::new(quad, number))
    }

    /// The point a share of the way to the next corner, and so far inside the quad.
    #[must_use]
    pub fn at(&self, share: f64, inside: f64) -> Point {
        [0, 1].map(|k| self.from[k] + share * self.to_next[k] + inside * self.inwards[k])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inwards_is_into_the_quad_whichever_way_its_corners_run() {
        let Quad([a, b, c, d]) = Quad::rectangle(1.0, 2.0, 4.0, 3.0);
        for quad in [Quad([a, b, c, d]), Quad([b, a, d, c])] {
            for side in Side::all(&quad) {
                assert!(quad.contains(side.at(0.5, 1.0)) && !quad.contains(side.at(0.5, -1.0)));
            }
        }
        let [x, y] = Side::new(&Quad([a, b, c, d]), 0).at(0.25, 1.0);
        assert!((x - 2.0).abs() < 1e-12 && (y - 3.0).abs() < 1e-12);
    }
}
