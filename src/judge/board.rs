//! The board ends before the mirror does.
//!
//! A person sees a band along one side, or a corner, that is darker with a straight boundary right across the panel. Strips
//! are laid across the panel in eight directions; in each the places where the level falls are noted, and a straight line
//! through such places of most strips is a boundary. It counts when the level is even beyond it up to the rim and even
//! before it, and its fall is short against the band.
//!
//! Worn edges fall off from the rim inwards: no even band. Ridges come back: the silver before them is not even. What
//! could fool it: half a panel dipped to a straight line; a board's end out of focus by more than the band is wide is
//! missed.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::plateau::Plateau;
use super::small::Small;
use crate::frame::Plane;

/// Least fall of the level at the boundary, share of the level before it.
const LEAST_FALL: f64 = 0.16;

/// Strips across the short side.
const STRIPS: f64 = 14.0;

/// Of the strips that the line crosses, the share that must show it.
const MOST: f64 = 0.8;

/// Fewest strips that show it.
const FEWEST: f64 = 4.0;

/// Narrowest band, mm.
const NARROWEST_MM: f64 = 10.0;

/// The same, cells.
const NARROWEST_CELLS: f64 = 5.0;

/// The band is wider than the fall by this factor: the fall of a worn edge reaches the rim.
const BAND_OVER_FALL: f64 = 1.5;

/// Widest fall from four fifths to one fifth, mm; a board's end fading over 15 mm falls so within 7.
const WIDEST_FALL_MM: f64 = 10.0;

/// Share of the fall by which the level may stray within the band, and before it.
const EVEN: f64 = 0.25;

/// Reach of the means on either side of a fall, mm, and cells at least.
const REACH_MM: f64 = 8.0;
const REACH_CELLS: usize = 4;

/// Falls looked at in a strip.
const FALLS: usize = 5;

/// Steepest line against the strips' crossing: half way to the next direction.
const STEEPEST: f64 = 0.45;

/// The end of the board.
pub(super) struct BoardEnd {
    pub(super) strength: f64,
    /// The way to it, right and down.
    way: [f64; 2],
    /// Where it lies along that way from the panel's middle, cells, and how that grows along the boundary.
    at: f64,
    slope: f64,
}

impl BoardEnd {
    /// Most of a plateau lies beyond the end.
    pub(super) fn holds(&self, of: &Plateau, plane: &Plane, cell_mm: f64) -> bool {
        let (rows, cols) = plane.dim();
        let slack = 3.0 / cell_mm + 2.0;
        let cells = of
            .runs
            .iter()
            .flat_map(|(r, a, b)| (*a..=*b).map(|c| [c, *r]));
        let beyond = cells.filter(|[c, r]| {
            let (x, y) = (
                f64::from(*c) + 0.5 - cols as f64 / 2.0,
                f64::from(*r) + 0.5 - rows as f64 / 2.0,
            );
            let (u, v) = (
                x * self.way[0] + y * self.way[1],
                y * self.way[0] - x * self.way[1],
            );
            u + slack > self.at + self.slope * v
        });
        self.strength >= 1.0 && beyond.count() as f64 > 0.7 * of.area
    }
}

/// The likeliest end of the board.
pub(super) fn end(small: &Small) -> Option<BoardEnd> {
    (0..8)
        .into_par_iter()
        .filter_map(|eighth| {
            let (sin, cos) = (f64::from(eighth) * 45.0).to_radians().sin_cos();
            Strips::towards([cos, sin], small).end()
        })
        .reduce_with(|a, b| if b.strength > a.strength { b } else { a })
}

/// The level in strips that run one way; NaN off the panel.
struct Strips {
    way: [f64; 2],
    /// Middle of each strip across the way, cells from the panel's middle.
    across: Vec<f64>,
    /// Level cell by cell along the way.
    levels: Vec<Vec<f32>>,
    /// Place along the way of the first cell.
    from: f64,
    cell_mm: f64,
}

/// A fall of the level in a strip: after which cell, and how far.
type Fall = (f64, f32);

impl Strips {
    fn towards(way: [f64; 2], small: &Small) -> Self {
        let plane = &small.coarse;
        let (rows, cols) = plane.dim();
        let width = (rows.min(cols) as f64 / STRIPS).max(3.0);
        let [half_x, half_y] = [cols, rows].map(|n| n as f64 / 2.0);
        let reach = half_x * way[0].abs() + half_y * way[1].abs();
        let side = half_x * way[1].abs() + half_y * way[0].abs();
        let count = (2.0 * side / width) as usize;
        let across: Vec<f64> = (0..count)
            .map(|j| (j as f64 + 0.5 - count as f64 / 2.0) * width)
            .collect();
        let samples = width as usize;
        let mut values = Vec::with_capacity(samples);
        let mut level = |u: f64, v: f64| {
            values.clear();
            for k in 0..samples {
                let v = v + (k as f64 + 0.5) / samples as f64 * width - width / 2.0;
                let x = half_x + u * way[0] - v * way[1];
                let y = half_y + u * way[1] + v * way[0];
                if x >= 0.0 && y >= 0.0 && x < cols as f64 && y < rows as f64 {
                    values.push(plane[[y as usize, x as usize]]);
                }
            }
            if values.len() * 10 < samples * 7 {
                return f32::NAN;
            }
            // Dark spots fill less than half of the strip's width, or count.
            let at = values.len() * 6 / 10;
            *values.select_nth_unstable_by(at, f32::total_cmp).1
        };
        let cells = (2.0 * reach) as usize;
        let from = -(cells as f64) / 2.0;
        let levels = across
            .iter()
            .map(|v| {
                (0..cells)
                    .map(|i| level(from + i as f64 + 0.5, *v))
                    .collect()
            })
            .collect();
        Strips {
            way,
            across,
            levels,
            from,
            cell_mm: small.coarse_mm,
        }
    }

    /// The likeliest boundary here.
    fn end(&self) -> Option<BoardEnd> {
        let falls: Vec<Vec<Fall>> = self.levels.iter().map(|l| self.falls(l)).collect();
        let count = falls.len();
        let mut best: Option<BoardEnd> = None;
        let mut tried = BTreeSet::new();
        for (i, one) in falls.iter().enumerate() {
            for (j, other) in falls.iter().enumerate().skip(i + count.div_ceil(4).max(2)) {
                let apart = self.across[j] - self.across[i];
                for (a, _) in one {
                    for (b, _) in other {
                        let slope = (b - a) / apart;
                        if slope.abs() > STEEPEST {
                            continue;
                        }
                        let at = a - slope * self.across[i];
                        // Lines that hardly differ are one.
                        if !tried.insert(((at / 2.0) as i64, (slope * 20.0) as i64)) {
                            continue;
                        }
                        let shown = self.shown(&falls, at, slope);
                        if shown < 1.0 {
                            continue;
                        }
                        let strength = self.step(at, slope).min(shown);
                        if best.as_ref().is_none_or(|b| strength > b.strength) {
                            best = Some(BoardEnd {
                                strength,
                                way: self.way,
                                at: at + self.from,
                                slope,
                            });
                        }
                    }
                }
            }
        }
        best
    }

    /// The largest falls along a strip.
    fn falls(&self, level: &[f32]) -> Vec<Fall> {
        let reach = ((REACH_MM / self.cell_mm) as usize).max(REACH_CELLS);
        let Some(first) = level.iter().position(|v| !v.is_nan()) else {
            return Vec::new();
        };
        let end = level.iter().rposition(|v| !v.is_nan()).unwrap_or(first) + 1;
        let least = ((3.0 / self.cell_mm) as usize).max(2);
        let mean = |part: &[f32]| part.iter().sum::<f32>() / part.len() as f32;
        let fall = |i: usize| {
            let before = mean(&level[i.saturating_sub(reach).max(first)..i]);
            (before - mean(&level[i..(i + reach).min(end)])) / before.max(0.05)
        };
        if end < first + 2 * least {
            return Vec::new();
        }
        let all: Vec<f32> = (first + least..=end - least).map(fall).collect();
        let mut falls: Vec<Fall> = (0..all.len())
            .filter(|i| {
                let near = i.saturating_sub(least)..(i + least + 1).min(all.len());
                all[*i] > 0.4 * LEAST_FALL as f32 && all[near].iter().all(|v| *v <= all[*i])
            })
            .map(|i| ((first + least + i) as f64, all[i]))
            .collect();
        falls.sort_by(|a, b| b.1.total_cmp(&a.1));
        falls.truncate(FALLS);
        falls
    }

    /// Of the strips that a line crosses, the share that shows a fall there, against what is asked.
    fn shown(&self, falls: &[Vec<Fall>], at: f64, slope: f64) -> f64 {
        let near = 2.0 + 1.0 / self.cell_mm;
        let (mut crossed, mut shown) = (0.0, 0.0);
        for ((v, level), falls) in self.across.iter().zip(&self.levels).zip(falls) {
            let here = at + slope * v;
            let least = 3.0;
            let on = |u: f64| u >= 0.0 && level.get(u as usize).is_some_and(|l| !l.is_nan());
            if on(here - least) && on(here + least) {
                crossed += 1.0;
                let shows = falls.iter().any(|(u, _)| (u - here).abs() <= near);
                shown += f64::from(u8::from(shows));
            }
        }
        if crossed > 0.0 {
            (shown / crossed / MOST).min(shown / FEWEST)
        } else {
            0.0
        }
    }

    /// The strength of the fall across a line.
    fn step(&self, at: f64, slope: f64) -> f64 {
        // The middle strip's level at each distance from the line, as long as a third of those at the line go so far.
        let profile = |towards: f64| -> Vec<f32> {
            let mut most = 0;
            (0..)
                .map(|i| {
                    let strips = self.across.iter().zip(&self.levels);
                    let mut here: Vec<f32> = strips
                        .filter_map(|(v, level)| {
                            let u = at + slope * v + towards * (f64::from(i) + 0.5);
                            level.get((u >= 0.0).then_some(u as usize)?).copied()
                        })
                        .filter(|l| !l.is_nan())
                        .collect();
                    most = most.max(here.len());
                    if here.len() * 3 < most || here.is_empty() {
                        return None;
                    }
                    let middle = here.len() / 2;
                    Some(*here.select_nth_unstable_by(middle, f32::total_cmp).1)
                })
                .map_while(|l| l)
                .collect()
        };
        let (band, before) = (profile(1.0), profile(-1.0));
        if band.len() < 2 || before.len() < 4 {
            return 0.0;
        }
        let (low, high) = (part(&band, 0.5), part(&before, 0.5));
        let fall = high - low;
        if fall <= 0.0 {
            return 0.0;
        }
        let between = |l: &&f32| {
            let share = (f64::from(**l) - low) / fall;
            (0.2..0.8).contains(&share)
        };
        let near = (1.5 * WIDEST_FALL_MM / self.cell_mm) as usize + 2;
        let wide = |side: &[f32]| side.iter().take(near).filter(between).count() as f64;
        let (in_band, out) = (wide(&band), wide(&before));
        let fall_mm = (in_band + out).max(1.0) * self.cell_mm;
        let even_mm = (band.len() as f64 - in_band) * self.cell_mm;
        let settled = &band[(in_band as usize).min(band.len() - 1)..];
        // Worn edges may darken the rim of the band, and no more than that.
        let stray = (part(settled, 0.9) - low)
            .max(low - part(settled, 0.1))
            .max(1e-6);
        let sunk = (high - part(&before, 0.2)).max(1e-6);
        let narrowest = NARROWEST_MM.max(NARROWEST_CELLS * self.cell_mm);
        (fall / high / LEAST_FALL)
            .min(even_mm / narrowest.max(BAND_OVER_FALL * fall_mm))
            .min(WIDEST_FALL_MM / fall_mm)
            .min(EVEN * fall / stray)
            .min(EVEN * fall / sunk)
    }
}

/// The level that a share of the values lies under.
fn part(values: &[f32], share: f64) -> f64 {
    let mut values = values.to_vec();
    let at = ((values.len() as f64 * share) as usize).min(values.len() - 1);
    f64::from(*values.select_nth_unstable_by(at, f32::total_cmp).1)
}
