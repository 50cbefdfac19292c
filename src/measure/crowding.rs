//! Crowding: whether the specks are denser to one side, and to which.
//!
//! Of a density that rises steadily by g across the panel's width, relative to its mean, specks lie g/12 of the width off
//! the middle on average; so 12 times their mean offset is the gradient, along the width and the height alike. *Crowding* is
//! its length: 0 as dense all over, 1 from half to half as much again from one side to the other, 2 from none at one edge to twice
//! the mean at the other. What chance adds to the square of a length is taken off. Chance is told by the windows: how far
//! their counts lie off the plane (White's sandwich, 1980), so that clumps are known to vary more than Poisson's counts.
//! *Direction*: degrees in [0, 360), anticlockwise from the right, seen from the front; none where chance alone would often
//! give as long a gradient.

use super::speckle::{FEWEST_SIZES, Speckle};
use super::windows::Windows;
use crate::frame::panel::Panel;
use crate::units::{Estimate, Measure, Unmeasured, circular};

/// A 95 % interval reaches so many standard deviations to either side.
const Z: f64 = 1.96;

/// A direction is named where chance would give so long a gradient less often than this.
const CHANCE: f64 = 0.01;

/// A gradient this short is what rounding leaves of specks that lie evenly, and points nowhere.
const ROUNDING: f64 = 1e-9;

/// Length and direction of the gradient of the specks' density.
pub(super) fn measure(found: &[Speckle], panel: &Panel, windows: &Windows) -> (Measure, Measure) {
    let (rows, cols) = panel.silver.dim();
    let counted: Vec<&Speckle> = found.iter().filter(|s| s.counted).collect();
    if counted.len() < FEWEST_SIZES {
        return (
            Err(Unmeasured::TooFewSpeckles),
            Err(Unmeasured::TooFewSpeckles),
        );
    }
    let n = counted.len() as f64;
    let mut counts = vec![0.0; windows.count()];
    let mut gradient = [0.0; 2];
    for s in &counted {
        counts[windows.at(s.row, s.col)] += 1.0;
        // To the right, and up.
        gradient[0] += 12.0 * (s.col / cols as f64 - 0.5) / n;
        gradient[1] += 12.0 * (0.5 - s.row / rows as f64) / n;
    }
    let (down, across) = windows.shape();
    let middles = |i: usize| {
        let (r, c) = (i / across, i % across);
        [
            (c as f64 + 0.5) / across as f64 - 0.5,
            0.5 - (r as f64 + 0.5) / down as f64,
        ]
    };
    // A plane has three figures; what is left of the counts is that much too small.
    let free = (counts.len() - 3) as f64 / counts.len() as f64;
    let mean = n / counts.len() as f64;
    let mut variance = [0.0; 2];
    for (i, count) in counts.iter().enumerate() {
        let at = middles(i);
        let off = count - mean * (1.0 + gradient[0] * at[0] + gradient[1] * at[1]);
        for axis in 0..2 {
            variance[axis] += (12.0 * at[axis] * off / n).powi(2) / free;
        }
    }
    let squared = gradient[0].powi(2) + gradient[1].powi(2);
    let by_chance = variance[0] + variance[1];
    let value = (squared - by_chance).max(0.0).sqrt();
    // Along the gradient, and where there is hardly one, along any.
    let along = if squared > 0.0 {
        (variance[0] * gradient[0].powi(2) + variance[1] * gradient[1].powi(2)) / squared
    } else {
        by_chance / 2.0
    };
    let half = Z * along.sqrt();
    let length = Estimate {
        value,
        low: (value - half).max(0.0),
        high: value + half,
    };
    // The square of a length by chance alone is exponential about its mean.
    let chance = (-squared / by_chance.max(f64::MIN_POSITIVE)).exp();
    let degrees = circular(gradient[1].atan2(gradient[0]).to_degrees());
    let turn = (half / squared.sqrt().max(f64::MIN_POSITIVE))
        .atan()
        .to_degrees();
    let direction = if chance < CHANCE && squared.sqrt() > ROUNDING {
        Ok(Estimate {
            value: degrees,
            low: degrees - turn,
            high: degrees + turn,
        })
    } else {
        Err(Unmeasured::NoDirection)
    };
    (Ok(length), direction)
}

#[cfg(test)]
mod tests {
    use super::super::painted;
    use super::super::tests::speckle_at;
    use super::super::windows::Windows;
    use super::*;

    fn crowding(points: Vec<[f64; 2]>) -> (Measure, Measure) {
        let found: Vec<Speckle> = points.into_iter().map(speckle_at).collect();
        let panel = painted::panel(100.0, 0.1, |_, _| 1.0);
        let windows = Windows::over(&panel, &panel.silver, 3.0);
        measure(&found, &panel, &windows)
    }

    #[test]
    fn points_anywhere_are_crowded_to_no_side() {
        let runs: Vec<_> = (0..60)
            .map(|seed| crowding(painted::scattered(400, 100.0, seed)))
            .collect();
        let held = runs.iter().filter(|(c, _)| c.unwrap().low <= 0.0).count();
        assert!(held >= 52, "{held}");
        let named = runs.iter().filter(|(_, d)| d.is_ok()).count();
        assert!(named <= 4, "{named}");
    }

    #[test]
    fn a_density_that_rises_downwards_is_told_with_its_direction() {
        // Kept with a chance of (1 + g (y − ½))/(1 + g/2): the density's gradient is g.
        let g = 1.2;
        let (mut held, mut pointed) = (0, 0);
        for seed in 0..60 {
            let kept: Vec<[f64; 2]> = painted::scattered(800, 100.0, seed)
                .into_iter()
                .zip(painted::scattered(800, 1.0, 1000 + seed))
                .filter(|([_, y], [u, _])| *u < (1.0 + g * (y / 100.0 - 0.5)) / (1.0 + g / 2.0))
                .map(|(p, _)| p)
                .collect();
            let (length, direction) = crowding(kept);
            let (length, direction) = (length.unwrap(), direction.unwrap());
            held += usize::from(length.low <= g && g <= length.high);
            assert!((length.value - g).abs() < 0.7, "{length:?}");
            pointed += usize::from(direction.low <= 270.0 && 270.0 <= direction.high);
        }
        assert!((52..=60).contains(&pointed), "{pointed}");
        assert!((52..=60).contains(&held), "{held}");
    }

    #[test]
    fn specks_in_one_half_point_to_it() {
        // Twenty by twenty over the right half: 12 times a quarter of the width.
        let right: Vec<[f64; 2]> = (0..400)
            .map(|i| {
                [
                    51.25 + 2.5 * f64::from(i % 20),
                    2.5 + 5.0 * f64::from(i / 20),
                ]
            })
            .collect();
        let turned =
            |turn: fn([f64; 2]) -> [f64; 2]| crowding(right.iter().map(|p| turn(*p)).collect());
        for (degrees, (length, direction)) in [
            (0.0, turned(|p| p)),
            (90.0, turned(|[x, y]| [y, 100.0 - x])),
            (180.0, turned(|[x, y]| [100.0 - x, y])),
            (270.0, turned(|[x, y]| [y, x])),
        ] {
            let (length, direction) = (length.unwrap(), direction.unwrap());
            assert!(length.value > 2.9 && length.value < 3.0, "{length:?}");
            assert!(length.low <= length.value && length.value <= length.high);
            assert!((direction.value - degrees).abs() < 1e-6, "{direction:?}");
        }
    }

    #[test]
    fn specks_spread_evenly_are_not_crowded_and_nine_say_nothing() {
        let grid = |n: u32| -> Vec<[f64; 2]> {
            let at = |i: u32| (f64::from(i) + 0.5) * 100.0 / f64::from(n);
            (0..n * n).map(|i| [at(i % n), at(i / n)]).collect()
        };
        let (length, direction) = crowding(grid(12));
        let length = length.unwrap();
        assert!(
            length.value.abs() < 1e-9 && length.low.abs() < 1e-9,
            "{length:?}"
        );
        assert_eq!(direction, Err(Unmeasured::NoDirection));
        let too_few = Err(Unmeasured::TooFewSpeckles);
        assert_eq!(crowding(grid(3)), (too_few, too_few));
        assert_eq!(crowding(Vec::new()), (too_few, too_few));
    }
}
