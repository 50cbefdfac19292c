//! The light that reaches each point of a panel which sees something else than the board, and what its glass makes of it.

use ndarray::Axis;
use ndarray::parallel::prelude::*;

use super::scene::Scene;
use super::shot::Shot;
use crate::frame::Plane;
use crate::frame::quad::Point;

/// Share of what a bare spot shows that its glass reflects; the paint behind gives the rest (0.043 and 0.012 of the
/// board's light, handbook values).
const GLASS_SHARE: f32 = 0.78;

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
