//! Rings: the share of the specks that have a light middle.
//!
//! A speckle is a ring where its dark area encloses a hole in which the silver comes back to at least 0.65 of the level
//! around the speck; at half of it a pixel would already be no part of the speck. 0 where all are full, 1 where each is a
//! ring. Blur closes holes hardly wider than four of its deviations. A drop that dried leaves a ring; so may a speck that
//! grew into its neighbours all around.

use super::dark::Dark;
use super::quiet::Quiet;
use super::speckle::FEWEST_SIZES;
use super::surroundings::Surroundings;
use super::windows::Windows;
use crate::frame::panel::Panel;
use crate::ops::label::{Area, Run};
use crate::stats::bootstrap::Resamples;
use crate::stats::count::poisson_limits;
use crate::units::{Estimate, Measure, Unmeasured};

/// Share of the level around that the middle of a ring comes back to.
const LIGHT: f32 = 0.65;

/// Share of the counted speckles that are rings, with its interval by resampled windows.
pub(super) fn measure(
    dark: &Dark,
    panel: &Panel,
    quiet: &Quiet,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Measure {
    let (mut rings, mut counts) = (vec![0.0; windows.count()], vec![0.0; windows.count()]);
    let level = quiet.surroundings();
    let hollow = hollow(dark);
    for (speckle, area) in dark.speckles.iter().zip(&dark.area_of) {
        if !speckle.counted {
            continue;
        }
        let window = windows.at(speckle.row, speckle.col);
        counts[window] += 1.0;
        let runs = hollow.iter().find(|(number, _)| number == area);
        if runs
            .is_some_and(|(_, runs)| has_light_hole(&dark.labels.areas[*area], runs, panel, &level))
        {
            rings[window] += 1.0;
        }
    }
    let count: f64 = counts.iter().sum();
    if count < FEWEST_SIZES as f64 {
        return Err(Unmeasured::TooFewSpeckles);
    }
    let share = resamples
        .and_then(|r| r.ratio(&rings, &counts))
        .ok_or(Unmeasured::PanelTooSmall)?;
    // None among so many still leaves room for a few, and all of them for a few that are not.
    let room = (poisson_limits(0, 0.95).1 / count).min(1.0);
    Ok(Estimate {
        value: share.value,
        low: if share.value >= 1.0 {
            1.0 - room
        } else {
            share.low.max(0.0)
        },
        high: if share.value <= 0.0 {
            room
        } else {
            share.high.min(1.0)
        },
    })
}

/// The speckles' areas that have a hole, by number, with their runs.
fn hollow(dark: &Dark) -> Vec<(usize, Vec<Run>)> {
    let areas = &dark.labels.areas;
    let mut found: Vec<(usize, Vec<Run>)> = dark
        .area_of
        .iter()
        .filter(|number| areas[**number].holes > 0)
        .map(|number| (*number, Vec::new()))
        .collect();
    if found.is_empty() {
        return found;
    }
    let mut place = vec![usize::MAX; areas.len()];
    for (i, (number, _)) in found.iter().enumerate() {
        place[*number] = i;
    }
    for run in &dark.labels.runs {
        if let Some((_, runs)) = found.get_mut(place[run.area as usize]) {
            runs.push(*run);
        }
    }
    found
}

/// A pixel that the area encloses is light.
fn has_light_hole(area: &Area, runs: &[Run], panel: &Panel, level: &Surroundings) -> bool {
    let size = |(first, last): (u32, u32)| (last - first + 3) as usize;
    let (rows, cols) = (size(area.rows), size(area.cols));
    // A frame of one pixel about the area is outside.
    let mut taken = vec![false; rows * cols];
    for run in runs {
        let line = (run.row - area.rows.0 + 1) as usize * cols;
        let [first, last] = [run.first, run.last].map(|c| (c - area.cols.0 + 1) as usize);
        taken[line + first..=line + last].fill(true);
    }
    let mut todo = vec![0];
    taken[0] = true;
    while let Some(at) = todo.pop() {
        let (r, c) = (at / cols, at % cols);
        let beside = [
            (r > 0).then(|| at - cols),
            (r + 1 < rows).then(|| at + cols),
            (c > 0).then(|| at - 1),
            (c + 1 < cols).then(|| at + 1),
        ];
        for next in beside.into_iter().flatten() {
            if !taken[next] {
                taken[next] = true;
                todo.push(next);
            }
        }
    }
    let mut around = [0.0];
    level.fill_row(area.row as usize, area.col as usize, &mut around);
    let limit = LIGHT * around[0];
    let left = (0..rows * cols).filter(|i| !taken[*i]);
    let place = |i: usize| {
        let (r, c) = (i / cols - 1, i % cols - 1);
        [r + area.rows.0 as usize, c + area.cols.0 as usize]
    };
    left.map(place).any(|at| panel.silver[at] >= limit)
}

#[cfg(test)]
mod tests {
    use super::super::{Settings, painted};

    #[test]
    fn rings_are_told_from_full_specks_and_from_broken_ones() {
        // Discs of 0.7 mm on a grid of 4 mm: in every third one a hole of 0.35 mm, in every fifth of the others the same hole
        // with a way out.
        let panel = painted::panel(80.0, 0.1, |x, y| {
            let number = 20 * (y / 4.0) as usize + (x / 4.0) as usize;
            let (x, y) = (x % 4.0 - 2.0, y % 4.0 - 2.0);
            let r = x.hypot(y);
            let open = x > 0.0 && y.abs() < 0.3;
            let light = match (number % 3, number % 5) {
                (0, _) => r < 0.35,
                (_, 0) => r < 0.35 || open,
                _ => false,
            };
            f64::from(u8::from(r > 0.7 || light))
        });
        let m = super::super::measure(&panel, &Settings::default()).numbers;
        let got = m.ring_fraction.unwrap();
        assert!((got.value - 134.0 / 400.0).abs() < 1e-9, "{got:?}");
        assert!(got.low < got.value && got.high > got.value);
    }

    #[test]
    fn no_ring_among_many_specks_leaves_room_for_a_few() {
        let panel = painted::panel(80.0, 0.1, |x, y| {
            f64::from(u8::from((x % 4.0 - 2.0).hypot(y % 4.0 - 2.0) > 0.5))
        });
        let got = super::super::measure(&panel, &Settings::default())
            .numbers
            .ring_fraction
            .unwrap();
        assert!(
            got.value.abs() < 1e-12 && (got.high - 3.689 / 400.0).abs() < 1e-4,
            "{got:?}"
        );
    }

    #[test]
    fn all_rings_none_and_too_few_specks() {
        use super::super::painted::{exact, squares_all_over, with_squares};
        use super::*;
        // Squares of ten pixels with a hole of four, in which the silver comes back to this level.
        let rings = |across: usize, hole: f32| {
            let squares = squares_all_over(across, 10);
            let of = exact(|r, c| {
                let mut about = squares.iter();
                let here = about.find(|[top, left, _]| {
                    (*top..top + 10).contains(&r) && (*left..left + 10).contains(&c)
                });
                here.map_or(1.0, |[top, left, _]| {
                    let inside = (3..7).contains(&(r - top)) && (3..7).contains(&(c - left));
                    if inside { hole } else { 0.0 }
                })
            });
            measure(&of.dark, &of.panel, &of.quiet, &of.windows, of.resamples())
        };
        // None of sixteen leaves room for 3.689 of them, and all for as many that are not.
        let room = 3.688_879 / 16.0;
        let near = |found: Measure, wanted: [f64; 3]| {
            let found = found.unwrap();
            let off = [
                found.value - wanted[0],
                found.low - wanted[1],
                found.high - wanted[2],
            ];
            assert!(off.iter().all(|v| v.abs() < 1e-5), "{found:?}");
        };
        near(rings(4, 1.0), [1.0, 1.0 - room, 1.0]);
        near(rings(4, 0.66), [1.0, 1.0 - room, 1.0]);
        near(rings(4, 0.64), [0.0, 0.0, room]);
        near(rings(4, 0.0), [0.0, 0.0, room]);
        assert_eq!(rings(3, 1.0), Err(Unmeasured::TooFewSpeckles));
        let none = with_squares(&[]);
        let found = measure(
            &none.dark,
            &none.panel,
            &none.quiet,
            &none.windows,
            none.resamples(),
        );
        assert_eq!(found, Err(Unmeasured::TooFewSpeckles));
        let some = with_squares(&squares_all_over(4, 10));
        let found = measure(&some.dark, &some.panel, &some.quiet, &some.windows, None);
        assert_eq!(found, Err(Unmeasured::PanelTooSmall));
    }
}
