//! What an offcut tells of the light: its level, and how it changes across it.

use super::Scale;
use super::powers::{Terms, slopes, terms};
use crate::frame::photo::Photo;
use crate::frame::quad::{Point, Quad};
use crate::ops::transfer::luminance;
use crate::stats::normal_equations::NormalEquations;
use crate::stats::order::median;
use crate::stats::robust::SD_OVER_MAD;

/// Deviation of an offcut's level (one sheet of silver from another, a finger's mark), and of its slope, a side of the panel.
const LEVEL: f64 = 0.004;
pub(super) const SLOPE: f64 = 0.02;

/// Cells along each side of an offcut, the share of its width they take, and pixels looked at along a cell.
const CELLS: usize = 6;
const INNER: f64 = 0.75;
const PX: usize = 8;

/// Cells this far off the offcut's middle light are its edge or dirt, as a logarithm.
const ODD: f64 = 0.05;

/// An offcut: where it lies, in sides of the panel, the logarithm of its light, and how that changes.
pub(super) struct Offcut {
    pub(super) at: Point,
    pub(super) level: f64,
    pub(super) slope: [f64; 2],
    pub(super) slope_doubt: [f64; 2],
}

impl Offcut {
    /// The plane through most of its cells.
    pub(super) fn new(photo: &Photo, quad: &Quad, scale: Scale) -> Option<Self> {
        let share = |k: usize, of: usize| 0.5 + INNER * ((k as f64 + 0.5) / of as f64 - 0.5);
        let cells: Vec<(Point, f64)> = (0..CELLS * CELLS)
            .map(|cell| {
                let mut light = 0.0;
                let mut at = [0.0; 2];
                for k in 0..PX * PX {
                    let u = share(cell % CELLS * PX + k % PX, CELLS * PX);
                    let v = share(cell / CELLS * PX + k / PX, CELLS * PX);
                    let here = quad.within(u, v);
                    light += luminance(&photo.light_at(here));
                    let place = scale.of_px(here);
                    (0..2).for_each(|a| at[a] += place[a] / (PX * PX) as f64);
                }
                (at, (light / (PX * PX) as f64).max(1e-6).ln())
            })
            .collect();
        let n = cells.len() as f64;
        let at = [0, 1].map(|a| cells.iter().map(|c| c.0[a]).sum::<f64>() / n);
        let usual = median(&mut cells.iter().map(|c| c.1).collect::<Vec<_>>())?;
        let mut kept: Vec<_> = (cells.iter())
            .filter(|c| (c.1 - usual).abs() < ODD)
            .collect();
        let mut plane = [0.0; 3];
        let mut off = 0.0;
        for _ in 0..3 {
            let mut sums = NormalEquations::default();
            for (place, level) in kept.iter().copied() {
                sums.add([1.0, place[0] - at[0], place[1] - at[1]], *level);
            }
            plane = sums.solve()?;
            let [middle, across, down] = plane;
            let residual = |(place, level): &(Point, f64)| {
                let told = middle + across * (place[0] - at[0]) + down * (place[1] - at[1]);
                (level - told).abs()
            };
            off = SD_OVER_MAD * median(&mut kept.iter().map(|c| residual(c)).collect::<Vec<_>>())?;
            kept.retain(|c| residual(c) <= 3.0 * off.max(1e-3));
        }
        let wide = |a: usize| (kept.iter().map(|c| (c.0[a] - at[a]).powi(2)).sum::<f64>()).sqrt();
        Some(Offcut {
            at,
            level: plane[0],
            slope: [plane[1], plane[2]],
            slope_doubt: [0, 1].map(|a| (off / wide(a).max(1e-9)).hypot(SLOPE)),
        })
    }

    /// What it says of the coefficients: the terms, what they come to, and how surely.
    pub(super) fn rows(&self) -> [(Terms, f64, f64); 3] {
        let [across, down] = slopes(self.at);
        [
            (terms(self.at), self.level, LEVEL),
            (across, self.slope[0], self.slope_doubt[0]),
            (down, self.slope[1], self.slope_doubt[1]),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    fn seen(light: impl Fn(usize, usize) -> f64) -> Option<Offcut> {
        let photo = drawn::photo([200, 200], |x, y| [light(x, y); 3]);
        let panel = Quad::rectangle(80.0, 80.0, 100.0, 100.0);
        let scale = Scale::new(&photo, &panel);
        Offcut::new(&photo, &Quad::rectangle(10.0, 10.0, 48.0, 48.0), scale)
    }

    #[test]
    fn an_even_offcut_has_its_light_and_no_slope() {
        let found = seen(|_, _| 0.5).unwrap();
        assert!((found.level - 0.5_f64.ln()).abs() < 1e-4);
        assert!(
            found.slope.iter().all(|s| s.abs() < 1e-6),
            "{:?}",
            found.slope
        );
        assert!(found.slope_doubt.iter().all(|d| (d - SLOPE).abs() < 1e-9));
    }

    #[test]
    fn dirt_on_it_is_left_aside_and_black_has_a_level() {
        // Two of its six rows of cells.
        let found = seen(|_, y| if (16..24).contains(&y) { 0.3 } else { 0.5 }).unwrap();
        assert!((found.level - 0.5_f64.ln()).abs() < 1e-3, "{}", found.level);
        let black = seen(|_, _| 0.0).unwrap();
        assert!((black.level - 1e-6_f64.ln()).abs() < 1e-9);
    }

    #[test]
    fn light_that_grows_across_has_its_slope_a_side_of_the_panel() {
        // A thousandth more light every pixel of the photo, and a side is as many as the scale says.
        let found = seen(|x, _| 0.4 * (0.001 * (x as f64 + 0.5)).exp()).unwrap();
        let photo = drawn::photo([200, 200], |_, _| [0.0; 3]);
        let scale = Scale::new(&photo, &Quad::rectangle(80.0, 80.0, 100.0, 100.0));
        let [left, right] = [0.0, 100.0].map(|x| scale.of_px([x, 0.0])[0]);
        assert!(
            (found.slope[0] - 0.1 / (right - left)).abs() < 2e-3,
            "{:?}",
            found.slope
        );
        assert!(found.slope[1].abs() < 1e-4);
    }
}
