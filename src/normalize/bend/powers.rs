//! The powers of place whose sum is the logarithm of a light, and how they change from place to place.

use crate::frame::quad::Point;

/// Powers of x and y, both in sides of the panel from its middle; the first three are level and plane.
pub(super) const POWERS: [[i32; 2]; 15] = [
    [0, 0],
    [1, 0],
    [0, 1],
    [2, 0],
    [1, 1],
    [0, 2],
    [3, 0],
    [2, 1],
    [1, 2],
    [0, 3],
    [4, 0],
    [3, 1],
    [2, 2],
    [1, 3],
    [0, 4],
];
pub(super) const OF_PLANE: usize = 3;

/// A value for each of them.
pub(super) type Terms = [f64; POWERS.len()];

/// The powers at a place.
pub(super) fn terms([x, y]: Point) -> Terms {
    POWERS.map(|[i, j]| x.powi(i) * y.powi(j))
}

/// How the terms change along x and along y.
pub(super) fn slopes([x, y]: Point) -> [Terms; 2] {
    let power = |v: f64, k: i32| if k < 0 { 0.0 } else { v.powi(k) };
    [
        POWERS.map(|[i, j]| f64::from(i) * power(x, i - 1) * power(y, j)),
        POWERS.map(|[i, j]| f64::from(j) * power(x, i) * power(y, j - 1)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_are_those_of_the_terms() {
        let at = [0.21, -0.13];
        let step = 1e-6;
        for (axis, slope) in slopes(at).iter().enumerate() {
            let mut further = at;
            further[axis] += step;
            for ((a, b), s) in terms(further).iter().zip(terms(at)).zip(slope) {
                assert!(((a - b) / step - s).abs() < 1e-5);
            }
        }
    }
}
