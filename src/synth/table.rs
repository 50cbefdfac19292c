//! What the panel lies on.

use serde::{Deserialize, Serialize};

use super::stream::mixed;
use crate::frame::quad::Point;

/// The table under the panel. Each is uneven about the shot's `surround`.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Table {
    /// Matt cloth, uneven from half millimetre to half millimetre.
    #[default]
    Cloth,
    /// A coarse weave of threads 2.5 mm apart.
    Weave,
    /// Boards with long lines of grain, 7° off the panel's own directions.
    Wood,
    /// Grey concrete: large soft blotches, small ones in them.
    Concrete,
}

impl Table {
    /// The light at a point in the plane of the panel, mm, against the mean of the table.
    pub(super) fn at(self, mm: Point) -> f32 {
        match self {
            Table::Cloth => 1.0 + 0.25 * knots(mm, [0.5, 0.5]),
            Table::Weave => {
                let [across, down] = mm.map(|v| (v * std::f64::consts::TAU / 2.5).sin() as f32);
                1.0 + 0.25 * across * down + 0.2 * knots(mm, [2.5, 2.5])
            }
            Table::Wood => {
                let (sin, cos) = 7.0_f64.to_radians().sin_cos();
                let along = [mm[0] * cos + mm[1] * sin, mm[1] * cos - mm[0] * sin];
                1.0 + 0.18 * knots(along, [90.0, 1.6]) + 0.15 * knots(along, [240.0, 11.0])
            }
            Table::Concrete => {
                1.0 + 0.14 * knots(mm, [45.0, 45.0])
                    + 0.1 * knots(mm, [12.0, 12.0])
                    + 0.1 * knots(mm, [2.0, 2.0])
            }
        }
    }
}

/// The whole number at or under one that is no farther from 0 than whole numbers are exact; the library's own is slow where
/// the processor's may not be used.
#[inline]
fn floor(v: f64) -> f64 {
    let whole = v as i64 as f64;
    if whole > v { whole - 1.0 } else { whole }
}

/// A random surface, −1 to 1, drawn straight between knots so many mm apart across and down.
pub(super) fn knots([x, y]: Point, apart_mm: [f64; 2]) -> f32 {
    let (x, y) = (x / apart_mm[0], y / apart_mm[1]);
    let knot = |i: f64, j: f64| {
        let cell = (i as i64 as u64) << 32 ^ (j as i64 as u64 & 0xffff_ffff);
        (mixed(cell) >> 40) as f32 / 8_388_608.0 - 1.0
    };
    let (i, j) = (floor(x), floor(y));
    let (u, v) = ((x - i) as f32, (y - j) as f32);
    let along = |j: f64| knot(i, j) * (1.0 - u) + knot(i + 1.0, j) * u;
    along(j) * (1.0 - v) + along(j + 1.0) * v
}
