//! What the mirror sees in place of the evenly lit board.

use ndarray::Axis;
use ndarray::parallel::prelude::*;
use serde::{Deserialize, Serialize};

use super::scene::Scene;
use super::shot::Shot;
use crate::frame::Plane;
use crate::frame::quad::Point;

/// Share of what a bare spot shows that its glass reflects; the paint behind gives the rest (0.043 and 0.012 of the
/// board's light, handbook values).
const GLASS_SHARE: f32 = 0.78;

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
    fn outside(&self, [x, y]: Point) -> f64 {
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

/// 1 well inside, 0 well outside, smooth over `soft` between.
fn inside(outside_mm: f64, soft_mm: f64) -> f64 {
    let t = (0.5 - outside_mm / soft_mm.max(1e-3)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

impl Shot {
    /// Red, green and blue light that reaches a point of the panel, against the board's.
    fn reflected_at(&self, mm: Point) -> [f64; 3] {
        let mut light = [1.0; 3];
        let mut put = |over: [f64; 3], share: f64| {
            (0..3).for_each(|c| light[c] += share * (over[c] - light[c]));
        };
        if let Some(end) = &self.board_end {
            let (sin, cos) = end.towards_deg.to_radians().sin_cos();
            let short = end.at_mm - (mm[0] * cos - mm[1] * sin);
            put(end.beyond, inside(short, end.soft_mm));
        }
        for thing in &self.reflections {
            put(thing.light, inside(thing.outside(mm), thing.soft_mm));
        }
        light
    }
}

/// What reaches the panel at each pixel of the photo, against the board's light: one plane a channel. `None` where the
/// panel sees nothing but the board.
pub(super) fn reflected(shot: &Shot, scene: &Scene) -> Option<[Plane; 3]> {
    if shot.reflections.is_empty() && shot.board_end.is_none() {
        return None;
    }
    let panel = scene.panel_seen();
    let channel = |c: usize| {
        let mut plane = Plane::ones((shot.height_px, shot.width_px));
        let rows = plane.axis_iter_mut(Axis(0)).into_par_iter().enumerate();
        rows.for_each(|(r, mut row)| {
            for (col, light) in row.iter_mut().enumerate() {
                let at = [col as f64 + 0.5, r as f64 + 0.5];
                if panel.contains(at) {
                    *light = shot.reflected_at(scene.seen_at(at).0)[c] as f32;
                }
            }
        });
        plane
    };
    Some([channel(0), channel(1), channel(2)])
}

/// What the rest of a pixel's light, the glass and the paint, becomes of it.
pub(super) fn off_the_glass(reflected: f32) -> f32 {
    1.0 + GLASS_SHARE * (reflected - 1.0)
}
