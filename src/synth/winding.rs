//! What bends the ridges.

use serde::{Deserialize, Serialize};

use super::area::Area;
use super::smooth::Noise;
use super::stream::{Part, stream};

/// Ridges that wind: their fronts are pushed to and fro along their way.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Winding {
    /// Distance along the ridges at which the push has mostly changed (its autocorrelation falls to 1/e), mm.
    pub scale_mm: f64,
    /// Standard deviation of the local direction, degrees; up to about 60. Where ridges turn far they also lie nearer to
    /// each other.
    pub turn_deg: f64,
}

/// How much more slowly the push changes across the ridges than along them, so that neighbours wind together.
const TOGETHER: f64 = 3.0;

/// The winding as painted.
#[derive(Debug, Clone)]
pub(super) struct Bends {
    /// Over mm along the ridges, and mm across them by [`TOGETHER`].
    push: Noise,
    push_mm: f64,
    /// Unit vector along the ridges, x right and y down.
    along: [f64; 2],
}

impl Bends {
    /// Of ridges in this direction, axial degrees anticlockwise from the bottom edge.
    pub(super) fn new(winding: &Winding, angle_deg: f64, seed: u64, area: Area) -> Self {
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        let along = [cos, -sin];
        let corners = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0]].map(|share: [f64; 2]| {
            own(
                along,
                [0, 1].map(|i| area.from_mm[i] + share[i] * area.extent_mm[i]),
            )
        });
        let least = |i: usize| corners.iter().map(|c| c[i]).fold(f64::MAX, f64::min);
        let most = |i: usize| corners.iter().map(|c| c[i]).fold(f64::MIN, f64::max);
        let sigma_mm = winding.scale_mm / 2.0;
        Bends {
            push: Noise::new(
                &mut stream(seed, Part::Winding, 0),
                sigma_mm,
                [least(0), least(1)],
                [most(0) - least(0), most(1) - least(1)],
            ),
            // The slope of Gaussian-filtered noise has a standard deviation of 1 / (√2 sigma).
            push_mm: std::f64::consts::SQRT_2 * sigma_mm * winding.turn_deg.to_radians().tan(),
            along,
        }
    }

    /// How far the front at a point is pushed, mm.
    pub(super) fn at(&self, x_mm: f64, y_mm: f64) -> f64 {
        let [u, v] = own(self.along, [x_mm, y_mm]);
        self.push.at(u, v) * self.push_mm
    }
}

fn own(along: [f64; 2], [x, y]: [f64; 2]) -> [f64; 2] {
    [
        x * along[0] + y * along[1],
        (y * along[0] - x * along[1]) / TOGETHER,
    ]
}
