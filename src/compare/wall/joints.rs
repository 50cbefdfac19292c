//! Will two panels look alike side by side? What the eye sees across a joint, from where the wall is looked at.
//!
//! What it cannot resolve from there (one minute of arc) is blurred first, in linear light; what is left is turned to lightness
//! L* with full silver as 100 (CIE 15). The panel is cut into squares, `ALONG` along its short side; a square has a lightness
//! and a texture (the standard deviation of L* in it). Across a joint each square meets the one beside it. The step is
//!
//! > √(mean (ΔL*)² + mean (Δtexture)² − what neighbours inside the two panels differ by + (ΔL* of the wholes)² + Δa*² + Δb*²)
//!
//! A finish that varies from square to square hides a step that would show on an even one. The first difference stays 0 until
//! it is over what chance would make of so few squares.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "pixels and squares are few and positive, and planes are f32"
)]

use ndarray::{Axis, Slice};
use serde::Serialize;

use crate::frame::Plane;
use crate::measure::{Measurements, STANDARD_BLUR_MM};
use crate::ops::glass::usual_ratio;
use crate::ops::reduce::block_mean;
use crate::ops::smooth::gaussian;
use crate::ops::transfer::lightness;

/// Squares along the short side of a panel.
const ALONG: usize = 6;

/// Deviation of the Gaussian that stands for the eye, mm for each metre of distance: standard sharpness from one metre.
const EYE_MM_PER_M: f64 = STANDARD_BLUR_MM;

/// Pixels in a deviation of the eye: no more are needed once it is blurred.
const PX_A_DEVIATION: f64 = 2.0;

/// Points along a joint at which two panels of unlike height are set against each other.
const POINTS: usize = 12;

/// A step of this much in L* is just seen across a joint: 3 % of the light of bright silver (from memory, no source).
pub const JUST_SEEN: f64 = 1.1;

/// And from this much on it is the first thing one sees: three times as much (chosen, no source).
pub const CLASH: f64 = 3.3;

/// One-sided 95 % point of the normal distribution.
const SURELY: f64 = 1.645;

/// How two panels look side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Joint {
    /// Nobody sees a step.
    Fine,
    /// It is seen when one looks for it.
    Noticeable,
    /// It is the first thing one sees.
    Clash,
}

impl Joint {
    /// Of a step.
    #[must_use]
    pub fn of(step: f64) -> Self {
        match step {
            s if s < JUST_SEEN => Joint::Fine,
            s if s < CLASH => Joint::Noticeable,
            _ => Joint::Clash,
        }
    }
}

/// A side of a panel as it hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// Left.
    Left,
    /// Right.
    Right,
    /// Top.
    Top,
    /// Bottom.
    Bottom,
}

impl Edge {
    /// The side of the panel that comes to lie there when it is turned by 180°.
    fn turned(self) -> Self {
        match self {
            Edge::Left => Edge::Right,
            Edge::Right => Edge::Left,
            Edge::Top => Edge::Bottom,
            Edge::Bottom => Edge::Top,
        }
    }
}

/// What the eye sees of a panel from its distance.
#[derive(Debug, Clone)]
pub struct PanelView {
    /// Lightness and texture along each side: left and right from the top, top and bottom from the left.
    edges: [Vec<Square>; 4],
    /// Mean square by which neighbouring squares inside differ, lightness and texture together.
    inside: f64,
    /// Mean lightness of the whole.
    pub lightness: f64,
    tone: [f64; 2],
}

/// One square.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Square {
    lightness: f64,
    texture: f64,
}

impl Square {
    fn apart(self, other: Square) -> f64 {
        (self.lightness - other.lightness).powi(2) + (self.texture - other.texture).powi(2)
    }
}

impl PanelView {
    /// Of a silver level at standard sharpness, from so many metres.
    #[must_use]
    pub fn of(silver: &Plane, px_per_mm: f64, numbers: &Measurements, distance_m: f64) -> Self {
        let eye_mm = (EYE_MM_PER_M * distance_m).max(STANDARD_BLUR_MM);
        let more_mm = (eye_mm * eye_mm - STANDARD_BLUR_MM * STANDARD_BLUR_MM)
            .max(0.0)
            .sqrt();
        // Halving before the blur folds nothing over that the blur would have kept.
        let most = silver.nrows().min(silver.ncols()) / ALONG;
        let cell = ((eye_mm * px_per_mm / PX_A_DEVIATION) as usize)
            .min(most)
            .max(1);
        let small = block_mean(silver, cell);
        let blurred = gaussian(&small, more_mm * px_per_mm / cell as f64);
        // A bare spot shows black paint under glass.
        let bare = usual_ratio();
        let seen =
            blurred.mapv(|s| lightness(bare + (1.0 - bare) * f64::from(s.clamp(0.0, 1.0))) as f32);
        let (rows, cols) = seen.dim();
        let side = rows.min(cols) as f64 / ALONG as f64;
        let along = |px: usize| ((px as f64 / side).round() as usize).clamp(1, px.max(1));
        let (down, across) = (along(rows), along(cols));
        let square = |r: usize, c: usize| {
            let span = |k: usize, n: usize, px: usize| Slice::from(k * px / n..(k + 1) * px / n);
            let band = seen.slice_axis(Axis(0), span(r, down, rows));
            let part = band.slice_axis(Axis(1), span(c, across, cols));
            let n = part.len().max(1) as f64;
            let mean = part.iter().map(|l| f64::from(*l)).sum::<f64>() / n;
            let squares = part
                .iter()
                .map(|l| (f64::from(*l) - mean).powi(2))
                .sum::<f64>();
            Square {
                lightness: mean,
                texture: (squares / n).sqrt(),
            }
        };
        let all: Vec<Vec<Square>> = (0..down)
            .map(|r| (0..across).map(|c| square(r, c)).collect())
            .collect();
        let column = |c: usize| all.iter().map(|row| row[c]).collect::<Vec<_>>();
        let value = |m: crate::units::Measure| m.map_or(0.0, |e| e.value);
        let squares = all.iter().flatten();
        PanelView {
            lightness: squares.map(|s| s.lightness).sum::<f64>() / (down * across) as f64,
            inside: inside(&all),
            edges: [
                column(0),
                column(across - 1),
                all[0].clone(),
                all[down - 1].clone(),
            ],
            tone: [value(numbers.tone_a), value(numbers.tone_b)],
        }
    }

    /// The squares along a side, as the panel hangs, at [`POINTS`] points.
    fn along(&self, edge: Edge, turned: bool) -> Vec<Square> {
        let side = if turned { edge.turned() } else { edge };
        let squares = &self.edges[side as usize];
        let at = |k: usize| {
            let place = (k as f64 + 0.5) / POINTS as f64 * squares.len() as f64;
            squares[(place as usize).min(squares.len() - 1)]
        };
        let mut points: Vec<Square> = (0..POINTS).map(at).collect();
        if turned {
            points.reverse();
        }
        points
    }
}

/// Mean square by which neighbouring squares differ.
fn inside(all: &[Vec<Square>]) -> f64 {
    let beside = all
        .iter()
        .flat_map(|row| row.windows(2).map(|w| w[0].apart(w[1])));
    let below = all
        .windows(2)
        .flat_map(|rows| rows[0].iter().zip(&rows[1]).map(|(a, b)| a.apart(*b)));
    let apart: Vec<f64> = beside.chain(below).collect();
    apart.iter().sum::<f64>() / apart.len().max(1) as f64
}

/// The step across a joint, L*: `edge` of one panel meets the opposite edge of the other; either may hang turned.
#[must_use]
pub fn step(
    (one, one_turned): (&PanelView, bool),
    edge: Edge,
    (other, other_turned): (&PanelView, bool),
) -> f64 {
    let (a, b) = (
        one.along(edge, one_turned),
        other.along(edge.turned(), other_turned),
    );
    let across = a.iter().zip(&b).map(|(a, b)| a.apart(*b)).sum::<f64>() / POINTS as f64;
    let squares = one.edges[edge as usize]
        .len()
        .max(other.edges[edge as usize].len()) as f64;
    // A mean square of n normal differences is off by √(2/n) of itself.
    let own = (one.inside + other.inside) / 2.0 * (1.0 + SURELY * (2.0 / squares).sqrt());
    let wholes = (one.lightness - other.lightness).powi(2);
    let tone: f64 = one
        .tone
        .iter()
        .zip(other.tone)
        .map(|(a, b)| (a - b).powi(2))
        .sum();
    ((across - own).max(0.0) + wholes + tone).sqrt()
}
