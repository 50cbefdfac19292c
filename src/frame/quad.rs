//! Four corners in a photo, and the homography they define.

use nalgebra::{DMatrix, Matrix3};
use serde::{Deserialize, Serialize};

/// A point in a photo: x right, y down, in pixels, pixel centres at +0.5.
pub type Point = [f64; 2];

/// Top left, top right, bottom right, bottom left of a panel as it hangs, seen from the front.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Quad(pub [Point; 4]);

impl Quad {
    /// The upright rectangle with its top left corner at (x, y).
    #[must_use]
    pub fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Self {
        Quad([
            [x, y],
            [x + width, y],
            [x + width, y + height],
            [x, y + height],
        ])
    }

    /// Lengths of the sides: top, right, bottom, left.
    #[must_use]
    pub fn side_lengths(&self) -> [f64; 4] {
        [0, 1, 2, 3].map(|i| {
            let (a, b) = (self.0[i], self.0[(i + 1) % 4]);
            (b[0] - a[0]).hypot(b[1] - a[1])
        })
    }

    /// Width over height: means of the opposite sides.
    #[must_use]
    pub fn proportions(&self) -> f64 {
        let [top, right, bottom, left] = self.side_lengths();
        (top + bottom) / (left + right)
    }

    /// Least and greatest place of its corners along an axis: 0 for x, 1 for y.
    #[must_use]
    pub fn span(&self, axis: usize) -> [f64; 2] {
        let places = self.0.map(|c| c[axis]);
        [
            places.into_iter().fold(f64::MAX, f64::min),
            places.into_iter().fold(f64::MIN, f64::max),
        ]
    }

    /// Cross product of the turn at each corner; all of one sign where the quad is convex and uncrossed.
    fn turns(&self) -> [f64; 4] {
        [0, 1, 2, 3].map(|i| {
            let (a, b, c) = (self.0[i], self.0[(i + 1) % 4], self.0[(i + 2) % 4]);
            (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
        })
    }

    /// No side crosses another and no corner points inwards.
    #[must_use]
    pub fn is_convex(&self) -> bool {
        let turns = self.turns();
        turns.iter().all(|t| *t > 0.0) || turns.iter().all(|t| *t < 0.0)
    }

    /// The corners run clockwise as seen in the photo.
    #[must_use]
    pub fn is_clockwise(&self) -> bool {
        self.turns().iter().sum::<f64>() > 0.0
    }

    /// Area, square pixels.
    #[must_use]
    pub fn area(&self) -> f64 {
        let doubled: f64 = (0..4)
            .map(|i| {
                let (a, b) = (self.0[i], self.0[(i + 1) % 4]);
                a[0] * b[1] - a[1] * b[0]
            })
            .sum();
        doubled.abs() / 2.0
    }

    /// The point lies inside or on the edge of this convex quad.
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        let side = |i: usize| {
            let (a, b) = (self.0[i], self.0[(i + 1) % 4]);
            (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
        };
        let sides = [0, 1, 2, 3].map(side);
        sides.iter().all(|s| *s >= 0.0) || sides.iter().all(|s| *s <= 0.0)
    }

    /// This convex quad and the other share some area (separating axis test).
    #[must_use]
    pub fn overlaps(&self, other: &Quad) -> bool {
        let separates = |a: &Quad, b: &Quad| {
            (0..4).any(|i| {
                let (p, q) = (a.0[i], a.0[(i + 1) % 4]);
                let normal = [q[1] - p[1], p[0] - q[0]];
                let span = |quad: &Quad| {
                    quad.0.iter().fold((f64::MAX, f64::MIN), |(lo, hi), c| {
                        let d = c[0] * normal[0] + c[1] * normal[1];
                        (lo.min(d), hi.max(d))
                    })
                };
                let ((alo, ahi), (blo, bhi)) = (span(a), span(b));
                ahi <= blo || bhi <= alo
            })
        };
        !separates(self, other) && !separates(other, self)
    }

    /// It made so many times as large about its middle.
    #[must_use]
    pub fn scaled(&self, times: f64) -> Self {
        let middle = self.centre();
        Quad(
            self.0
                .map(|p| [0, 1].map(|i| middle[i] + times * (p[i] - middle[i]))),
        )
    }

    /// The point at shares of its width, from the left, and of its height, from above; without perspective.
    #[must_use]
    pub fn within(&self, across: f64, down: f64) -> Point {
        let [a, b, c, d] = self.0;
        [0, 1].map(|i| {
            let (above, below) = (a[i] + across * (b[i] - a[i]), d[i] + across * (c[i] - d[i]));
            above + down * (below - above)
        })
    }

    /// Mean of the corners.
    #[must_use]
    pub fn centre(&self) -> Point {
        let sum = self
            .0
            .iter()
            .fold([0.0, 0.0], |s, c| [s[0] + c[0], s[1] + c[1]]);
        [sum[0] / 4.0, sum[1] / 4.0]
    }
}

/// Least determinant of a map that flattens nothing: rounding leaves about 1e-16.
const FLAT: f64 = 1e-10;

/// A projective map of the plane, row-major, acting on (x, y, 1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Homography(pub [[f64; 3]; 3]);

impl Homography {
    /// The map that carries four points onto four others, by the normalised direct linear transform
    /// (Hartley & Zisserman, Multiple View Geometry, 2nd ed., algorithm 4.2).
    ///
    /// `None` where three of the points lie on a line.
    #[must_use]
    pub fn between(from: &[Point; 4], to: &[Point; 4]) -> Option<Self> {
        let (t_from, t_to) = (normalisation(from)?, normalisation(to)?);
        // The ninth row keeps the matrix square, which the singular value decomposition needs to give all of V.
        let mut a = DMatrix::<f64>::zeros(9, 9);
        for i in 0..4 {
            let [x, y] = apply(&t_from, from[i]);
            let [u, v] = apply(&t_to, to[i]);
            let rows = [
                [0.0, 0.0, 0.0, -x, -y, -1.0, v * x, v * y, v],
                [x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y, -u],
            ];
            for (k, row) in rows.iter().enumerate() {
                for (j, value) in row.iter().enumerate() {
                    a[(2 * i + k, j)] = *value;
                }
            }
        }
        let v_t = a.svd(false, true).v_t?;
        let h = v_t.row(8);
        let normalised = Matrix3::new(h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8]);
        // Of length 1; where three points lie on a line it flattens the plane, to rounding.
        if normalised.determinant().abs() < FLAT {
            return None;
        }
        let m = t_to.try_inverse()? * normalised * t_from;
        let scale = m[(2, 2)];
        if !scale.is_normal() {
            return None;
        }
        let m = m / scale;
        let rows = [0, 1, 2].map(|r| [m[(r, 0)], m[(r, 1)], m[(r, 2)]]);
        rows.iter()
            .flatten()
            .all(|v| v.is_finite())
            .then_some(Homography(rows))
    }

    /// Where the point goes.
    #[must_use]
    pub fn apply(&self, p: Point) -> Point {
        let [x, y, w] = self.0.map(|row| row[0] * p[0] + row[1] * p[1] + row[2]);
        [x / w, y / w]
    }

    /// The map back.
    #[must_use]
    pub fn inverse(&self) -> Option<Self> {
        let m = Matrix3::from_fn(|r, c| self.0[r][c]).try_inverse()?;
        Some(Homography([0, 1, 2].map(|r| [0, 1, 2].map(|c| m[(r, c)]))))
    }

    /// Local linear scale at `p`: square root of the area a unit square there is carried to.
    #[must_use]
    pub fn scale_at(&self, p: Point) -> f64 {
        let m = &self.0;
        let w = m[2][0] * p[0] + m[2][1] * p[1] + m[2][2];
        let det = m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
            - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0]);
        (det / (w * w * w)).abs().sqrt()
    }
}

/// Moves points to a centroid of 0 and a mean distance of √2.
fn normalisation(points: &[Point; 4]) -> Option<Matrix3<f64>> {
    let centre = Quad(*points).centre();
    let spread = points
        .iter()
        .map(|p| (p[0] - centre[0]).hypot(p[1] - centre[1]))
        .sum::<f64>()
        / 4.0;
    if !spread.is_normal() {
        return None;
    }
    let s = std::f64::consts::SQRT_2 / spread;
    Some(Matrix3::new(
        s,
        0.0,
        -s * centre[0],
        0.0,
        s,
        -s * centre[1],
        0.0,
        0.0,
        1.0,
    ))
}

fn apply(m: &Matrix3<f64>, p: Point) -> Point {
    let v = m * nalgebra::Vector3::new(p[0], p[1], 1.0);
    [v[0] / v[2], v[1] / v[2]]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_centre_of_a_square_goes_where_perspective_puts_it() {
        // Unit square to the trapezoid (0,0) (4,0) (3,2) (1,2): the centre goes to (2, 4/3), closed form; a bilinear
        // map would give (2, 1).
        let square = Quad::rectangle(0.0, 0.0, 1.0, 1.0);
        let trapezoid = [[0.0, 0.0], [4.0, 0.0], [3.0, 2.0], [1.0, 2.0]];
        let h = Homography::between(&square.0, &trapezoid).unwrap();
        let c = h.apply([0.5, 0.5]);
        assert!((c[0] - 2.0).abs() < 1e-9 && (c[1] - 4.0 / 3.0).abs() < 1e-9);
        let back = h.inverse().unwrap().apply(c);
        assert!((back[0] - 0.5).abs() < 1e-9 && (back[1] - 0.5).abs() < 1e-9);
    }

    #[test]
    fn crossed_and_dented_quads_are_not_convex() {
        assert!(Quad::rectangle(0.0, 0.0, 4.0, 3.0).is_convex());
        assert!(!Quad([[0.0, 0.0], [4.0, 3.0], [4.0, 0.0], [0.0, 3.0]]).is_convex());
        assert!(!Quad([[0.0, 0.0], [4.0, 0.0], [1.0, 1.0], [0.0, 4.0]]).is_convex());
    }

    #[test]
    fn three_corners_on_a_line_have_no_homography() {
        let line = [[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [0.0, 1.0]];
        let square = Quad::rectangle(0.0, 0.0, 1.0, 1.0).0;
        assert!(Homography::between(&square, &line).is_none());
        assert!(Homography::between(&line, &square).is_none());
    }

    #[test]
    fn touching_rectangles_do_not_overlap() {
        let a = Quad::rectangle(0.0, 0.0, 10.0, 10.0);
        assert!(!a.overlaps(&Quad::rectangle(10.0, 0.0, 5.0, 5.0)));
        assert!(a.overlaps(&Quad::rectangle(9.0, 9.0, 5.0, 5.0)));
        assert!(a.overlaps(&Quad::rectangle(2.0, 2.0, 1.0, 1.0)));
    }
}
