//! What the mirror can see in place of the evenly lit board.

use serde::{Deserialize, Serialize};

use crate::frame::quad::Point;

/// Something of the room that stands before the board.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Reflection {
    /// Its outline.
    pub outline: Outline,
    /// Its middle right of and below the panel's centre as the camera sees it, mm.
    pub centre_mm: [f64; 2],
    /// Width and height of its image in the plane of the panel, mm.
    pub size_mm: [f64; 2],
    /// Turn, degrees anticlockwise.
    pub turn_deg: f64,
    /// Its red, green and blue light against the board's: 0.3 all over a grey coat, 2 a window.
    pub light: [f64; 3],
    /// Width over which its outline fades, mm; the camera is focused on the glass.
    pub soft_mm: f64,
}

/// The outline of something reflected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outline {
    /// A phone, a window, a shelf.
    Box,
    /// A lamp, a face.
    Oval,
    /// Head and shoulders, cut off straight below.
    Person,
}

/// Where the board ends.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BoardEnd {
    /// The way to its end, degrees anticlockwise from the panel's right as the camera sees it: 0 it ends at the right, 90
    /// at the top, 45 it leaves the upper right corner without.
    pub towards_deg: f64,
    /// From the panel's centre to its end, mm.
    pub at_mm: f64,
    /// Red, green and blue light of what lies beyond, against the board's.
    pub beyond: [f64; 3],
    /// Width over which its end fades, mm.
    pub soft_mm: f64,
}

impl Reflection {
    /// How far outside the outline a point lies, mm; under 0 inside. Near the outline it is the distance.
    pub(super) fn outside(&self, [x, y]: Point) -> f64 {
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        let (x, y) = (x - self.centre_mm[0], y - self.centre_mm[1]);
        let at = [x * cos - y * sin, x * sin + y * cos];
        let [w, h] = self.size_mm.map(|side| side / 2.0);
        match self.outline {
            Outline::Box => outside_box(at, [0.0, 0.0], [w, h], 0.0),
            Outline::Oval => outside_oval(at, [0.0, 0.0], [w, h]),
            Outline::Person => {
                let head = outside_oval(at, [0.0, -0.62 * h], [0.42 * w, 0.38 * h]);
                let body = outside_box(at, [0.0, 0.75 * h], [w, 1.05 * h], 0.6 * w);
                head.min(body).max(at[1] - h)
            }
        }
    }
}

/// Distance outside an upright box with rounded corners.
fn outside_box(at: Point, centre: Point, half: [f64; 2], round: f64) -> f64 {
    let round = round.min(half[0]).min(half[1]);
    let [x, y] = [0, 1].map(|a| (at[a] - centre[a]).abs() - half[a] + round);
    x.max(0.0).hypot(y.max(0.0)) + x.max(y).min(0.0) - round
}

/// Distance outside an upright oval, right at its outline.
fn outside_oval(at: Point, centre: Point, half: [f64; 2]) -> f64 {
    let scaled = |power: i32| {
        let [x, y] = [0, 1].map(|a| (at[a] - centre[a]) / half[a].powi(power));
        x.hypot(y)
    };
    let (share, steep) = (scaled(1), scaled(2));
    if steep > 0.0 {
        share * (share - 1.0) / steep
    } else {
        -half[0].min(half[1])
    }
}
