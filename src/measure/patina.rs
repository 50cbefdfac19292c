//! Patina: where the silver that is left is coloured, how strongly, in which colour, in patches how large, and how much more
//! so about dark places.
//!
//! - `patina_fraction`: share of the remaining silver (s ≥ 0.25) whose chroma C*ab against full silver is over 6 at a blur of
//!   1 mm; 0 none, 1 all of it. Six is what a person sees beside plain silver without looking for it (no source: three to six
//!   times the least that eyes tell apart side by side).
//! - `patina_chroma`: the chroma that nine tenths of the remaining silver stay under; 0 grey, 20 a strong gold.
//! - `patina_hue`: mean direction of the remaining silver's colour about grey, h_ab in degrees [0, 360), each place weighing by
//!   its chroma: 0 pinkish red, 90 yellow, 180 green, 270 blue. None where the patina is under a hundredth of the silver.
//! - `patina_scale`: the distance at which the autocorrelation of chroma falls to 1/e, mm. None where it is even, or where
//!   patches come in several sizes.
//! - `halo`: mean chroma within 1.5 mm of dark places less that elsewhere; over 0 where colour gathers about the specks.
//!
//! CIELAB after CIE 15. What moves them and should not: a lamp whose colour differs between patch and panel, and the codes of
//! the card. A card is read to half a code at worst, on the rig's day and today: [`DOUBT`] in a* and in b*, the same over all
//! of the panel. The figures are worked out with the colour moved so far each way, and the intervals made wider by what that
//! does: in quadrature, for it has nothing to do with the windows. The photo's own noise is taken out in [`super::chroma`].

use rayon::prelude::*;

use super::Settings;
use super::chroma::Chroma;
use super::cloud::Cloud;
use super::windows::Windows;
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::stats::bootstrap::{Resamples, dot};
use crate::units::{Estimate, Measure, Unmeasured, circular, circular_difference};

/// Ends of an interval further apart than so many times: colour that follows both ridges and clouds, say, has no one size.
const ONE_SIZE: f64 = 3.0;

/// Silver of more chroma than this has a patina.
const PATINA: f32 = 6.0;

/// Share of the remaining silver that stays under the patina's chroma.
const MOST: f64 = 0.9;

/// Share of the remaining silver that must have a patina for it to have a hue.
const LEAST_PATINA: f64 = 0.01;

/// Share of the panel that must have silver left.
const LEAST_SHARE: f64 = 0.01;

/// How far from a dark place its halo reaches, mm.
const HALO_MM: f64 = 1.5;

/// Share of the remaining silver that must lie near dark places, and as much elsewhere.
const LEAST_NEAR: f64 = 0.005;

/// How far a card's codes leave a* and b* in doubt (95 %): half a code of chroma is 0.9 % of blue and 0.7 % of red at the level
/// of a grey card, evenly spread, and read on two days.
pub const DOUBT: [f32; 2] = [0.48, 0.76];

/// And how far at worst.
const AT_WORST: [f32; 2] = [1.0, 1.3];

/// Rows of cells that are enough to tell what moving the colour does.
const MOVED_ROWS: usize = 150;

/// A card moves light by factors, and moving a* and b* undoes that to so much of chroma.
const INEXACT: f64 = 0.05;

/// Steps of chroma in which it is counted.
const BIN: f32 = 0.5;

/// So many of them: more chroma than 64 is no silver's.
const BINS: usize = 128;

/// Chroma is handed to the clouds in hundredths, so that silver's limit of evenness (0.005) is half a step of chroma.
const OF_CLOUDS: f32 = 0.01;

/// The measures of colour.
pub(super) struct Patina {
    pub(super) fraction: Measure,
    pub(super) chroma: Measure,
    pub(super) hue: Measure,
    pub(super) scale: Measure,
    pub(super) halo: Measure,
}

impl Patina {
    fn none(why: Unmeasured) -> Self {
        Patina {
            fraction: Err(why),
            chroma: Err(why),
            hue: Err(why),
            scale: Err(why),
            halo: Err(why),
        }
    }
}

/// Measures the colour of a panel; `silver` is at standard sharpness.
pub(super) fn measure(
    panel: &Panel,
    colour: Option<&Chroma>,
    silver: &Plane,
    windows: &Windows,
    resamples: Option<&Resamples>,
    settings: &Settings,
) -> Patina {
    let Some(resamples) = resamples else {
        return Patina::none(Unmeasured::PanelTooSmall);
    };
    let Some(colour) = colour else {
        return Patina::none(Unmeasured::NoColourKept);
    };
    if f64::from(colour.remains.mean().unwrap_or(0.0)) < LEAST_SHARE {
        return Patina::none(Unmeasured::NoSilver);
    }
    let (near, cloud) = rayon::join(
        || near_dark(panel, silver, colour, settings),
        || {
            let known = colour
                .remains
                .mapv(|share| f32::from(u8::from(share >= 0.5)));
            let chroma = colour.plane().mapv(|c| c * OF_CLOUDS);
            Cloud::of_field(&chroma, &known, colour.cell_mm)
        },
    );
    let scale = cloud.measure(windows, Some(resamples));
    let counted = Counted::of(colour, &near, windows, [0.0; 2], 1);
    // What moving does is told by some of the rows.
    let every = (colour.remains.nrows() / MOVED_ROWS).max(1);
    let unmoved = Counted::of(colour, &near, windows, [0.0; 2], every);
    let moved = |shifts: Vec<[f32; 2]>| -> Vec<Counted> {
        let count = |shift| Counted::of(colour, &near, windows, shift, every);
        shifts.into_par_iter().map(count).collect()
    };
    let [a, b] = DOUBT;
    let along = moved(vec![[a, 0.0], [-a, 0.0], [0.0, b], [0.0, -b]]);
    let greyed = moved(to_grey(&means(colour, &near)));
    let told = |of: &(dyn Fn(&Counted, &[f64]) -> Option<f64> + Sync), inexact, why| {
        let all = vec![1.0; windows.count()];
        let value = of(&counted, &all).ok_or(why)?;
        let before = of(&unmoved, &all).ok_or(why)?;
        let found = resamples
            .interval(value, |weights| of(&counted, weights))
            .ok_or(why)?;
        let by = |m: &Counted| of(m, &all).map_or(0.0, |v| v - before);
        let mut told = less_sure(found, &along.iter().map(by).collect::<Vec<f64>>());
        // What is grey but for the card has its truth at the end of what moving does, not somewhere on the way.
        for m in &greyed {
            let there = of(m, &all).and_then(|v| resamples.interval(v, |weights| of(m, weights)));
            if let Some(there) = there {
                told.low = told.low.min(value + there.low - before - inexact);
                told.high = told.high.max(value + there.high - before + inexact);
            }
        }
        Ok(told)
    };
    Patina {
        fraction: told(&|c, w| c.fraction(w), 0.0, Unmeasured::NoSilver),
        chroma: told(&|c, w| c.quantile(w), 0.0, Unmeasured::NoSilver),
        hue: hue(&counted, &along, resamples, windows.count()),
        scale: match scale {
            Ok(found) if found.high > ONE_SIZE * found.low.max(0.0) => Err(Unmeasured::ManySizes),
            Err(Unmeasured::EvenSilver) => Err(Unmeasured::EvenColour),
            other => other,
        },
        halo: told(&|c, w| c.halo(w), INEXACT, Unmeasured::NoDarkPlaces),
    }
}

/// The hue: what is resampled is how far it turns from that of the whole panel.
fn hue(counted: &Counted, moved: &[Counted], resamples: &Resamples, windows: usize) -> Measure {
    let all = vec![1.0; windows];
    let value = counted.hue(&all).ok_or(Unmeasured::NoPatina)?;
    let turned = |c: &Counted, w: &[f64]| Some(circular_difference(value, c.hue(w)?));
    let turn = resamples
        .interval(0.0, |weights| turned(counted, weights))
        .ok_or(Unmeasured::NoPatina)?;
    let by = |m: &Counted| turned(m, &all).unwrap_or(0.0);
    let turn = less_sure(turn, &moved.iter().map(by).collect::<Vec<f64>>());
    Ok(Estimate {
        value,
        low: value + turn.low,
        high: value + turn.high,
    })
}

/// The ways to where one of some colours is grey, if the card may have moved it so far.
fn to_grey(colours: &[[f32; 2]]) -> Vec<[f32; 2]> {
    let nearly_grey = |[a, b]: &&[f32; 2]| (a / AT_WORST[0]).hypot(b / AT_WORST[1]) <= 1.0;
    let away = colours.iter().filter(nearly_grey);
    away.map(|[a, b]| [-a, -b]).collect()
}

/// Mean a* and b* of the silver near dark places and of that elsewhere.
fn means(colour: &Chroma, near: &Plane) -> [[f32; 2]; 2] {
    let mut sums = [[0.0_f32; 3]; 2];
    for ((at, remains), beside) in colour.remains.indexed_iter().zip(near) {
        let (a, b) = (colour.a[at], colour.b[at]);
        for (sum, weight) in sums.iter_mut().zip([*beside, (remains - beside).max(0.0)]) {
            let adds = [a, b, 1.0].map(|v| weight * v);
            sum.iter_mut().zip(adds).for_each(|(sum, v)| *sum += v);
        }
    }
    sums.map(|[a, b, weight]| [a, b].map(|sum| sum / weight.max(1e-6)))
}

/// An estimate made less sure by a colour that may lie one way or the other along each axis: `by` is what each way does to its
/// value, in pairs.
fn less_sure(found: Estimate, by: &[f64]) -> Estimate {
    let (mut below, mut above) = (
        (found.value - found.low).powi(2),
        (found.high - found.value).powi(2),
    );
    for ways in by.chunks(2) {
        let most = ways.iter().copied().fold(0.0, f64::max);
        let least = ways.iter().copied().fold(0.0, f64::min);
        below += least * least;
        above += most * most;
    }
    Estimate {
        value: found.value,
        low: found.value - below.sqrt(),
        high: found.value + above.sqrt(),
    }
}

/// What is counted of the remaining silver, window by window.
struct Counted {
    /// Silver by chroma, all bins of a window together.
    by_chroma: Vec<f64>,
    /// All of it.
    silver: Vec<f64>,
    /// That of more chroma than [`PATINA`].
    patina: Vec<f64>,
    /// The a* and the b* of all of it, added up.
    arrow: [Vec<f64>; 2],
    /// Silver near dark places and elsewhere, and its chroma added up.
    near: [Vec<f64>; 2],
    far: [Vec<f64>; 2],
}

impl Counted {
    /// Counts every so many rows with the colour moved.
    fn of(colour: &Chroma, near: &Plane, windows: &Windows, shift: [f32; 2], every: usize) -> Self {
        let none = || vec![0.0; windows.count()];
        let mut counted = Counted {
            by_chroma: vec![0.0; windows.count() * BINS],
            silver: none(),
            patina: none(),
            arrow: [none(), none()],
            near: [none(), none()],
            far: [none(), none()],
        };
        let (rows, cols) = colour.remains.dim();
        // Cells are counted where their middle lies on the panel; the last ones may reach over its edge.
        let middle = |i: usize| (i as f64 + 0.5) * colour.cell_px as f64;
        let column: Vec<usize> = (0..cols).map(|c| windows.at(0.0, middle(c))).collect();
        for r in (0..rows).step_by(every) {
            let first = windows.at(middle(r), 0.0);
            for c in 0..cols {
                let remains = colour.remains[[r, c]];
                if remains <= 0.0 {
                    continue;
                }
                let window = first + column[c];
                let weight = f64::from(remains);
                let (a, b) = (colour.a[[r, c]] + shift[0], colour.b[[r, c]] + shift[1]);
                let chroma = colour.chroma(a, b);
                let bin = ((chroma / BIN) as usize).min(BINS - 1);
                counted.by_chroma[window * BINS + bin] += weight;
                counted.silver[window] += weight;
                // Its a* and b* are its chroma times the direction of its hue.
                counted.arrow[0][window] += weight * f64::from(a);
                counted.arrow[1][window] += weight * f64::from(b);
                if chroma > PATINA {
                    counted.patina[window] += weight;
                }
                let beside = f64::from(near[[r, c]]);
                let elsewhere = (weight - beside).max(0.0);
                counted.near[0][window] += beside;
                counted.near[1][window] += beside * f64::from(chroma);
                counted.far[0][window] += elsewhere;
                counted.far[1][window] += elsewhere * f64::from(chroma);
            }
        }
        counted
    }

    fn fraction(&self, weights: &[f64]) -> Option<f64> {
        let silver = dot(weights, &self.silver);
        (silver > 0.0).then(|| dot(weights, &self.patina) / silver)
    }

    /// The chroma that [`MOST`] of the silver stays under, between two bins by a straight line.
    fn quantile(&self, weights: &[f64]) -> Option<f64> {
        let mut bins = [0.0; BINS];
        for (window, weight) in self.by_chroma.chunks_exact(BINS).zip(weights) {
            if *weight > 0.0 {
                bins.iter_mut()
                    .zip(window)
                    .for_each(|(sum, v)| *sum += weight * v);
            }
        }
        let mut left = MOST * bins.iter().sum::<f64>();
        let (bin, share) = bins.iter().enumerate().find_map(|(i, here)| {
            let within = left <= *here && *here > 0.0;
            let share = left / here;
            left -= here;
            within.then_some((i, share))
        })?;
        Some((bin as f64 + share) * f64::from(BIN))
    }

    fn hue(&self, weights: &[f64]) -> Option<f64> {
        self.fraction(weights)
            .filter(|share| *share >= LEAST_PATINA)?;
        let [a, b] = [0, 1].map(|i| dot(weights, &self.arrow[i]));
        Some(circular(b.atan2(a).to_degrees()))
    }

    fn halo(&self, weights: &[f64]) -> Option<f64> {
        let [near, far] =
            [&self.near, &self.far].map(|of| (dot(weights, &of[0]), dot(weights, &of[1])));
        let least = LEAST_NEAR * (near.0 + far.0);
        (near.0 > least && far.0 > least).then(|| near.1 / near.0 - far.1 / far.0)
    }
}

/// Share of each colour cell of 1 mm where silver remains within [`HALO_MM`] of a dark place.
fn near_dark(panel: &Panel, silver: &Plane, colour: &Chroma, settings: &Settings) -> Plane {
    let fine = &panel.colour;
    let reach = HALO_MM * panel.px_per_mm;
    let near = within(
        &Dark::of(silver, fine.cell_px, settings.dark_below as f32),
        reach,
    );
    let along = colour.cell_px / fine.cell_px;
    let (rows, cols) = fine.cells.dim();
    let mut shares = Plane::zeros(colour.remains.dim());
    for ((r, c), cell) in fine.cells.indexed_iter() {
        if near[[r, c]] {
            shares[[r / along, c / along]] += cell.remains;
        }
    }
    for ((i, j), share) in shares.indexed_iter_mut() {
        let cells = |at: usize, end: usize| ((at + 1) * along).min(end) - at * along;
        *share /= (cells(i, rows) * cells(j, cols)) as f32;
    }
    shares
}

/// The dark pixels of cells, each cell's in the least upright rectangle about them.
struct Dark {
    /// First and last row and column, in pixels of the plane; `None` where nothing is dark.
    rectangles: ndarray::Array2<Option<[u32; 4]>>,
    cell_px: usize,
}

impl Dark {
    fn of(silver: &Plane, cell_px: usize, below: f32) -> Self {
        let (rows, cols) = silver.dim();
        let shape = (rows.div_ceil(cell_px), cols.div_ceil(cell_px));
        let mut rectangles = ndarray::Array2::from_elem(shape, None);
        rectangles
            .as_slice_mut()
            .unwrap_or(&mut [])
            .par_chunks_mut(shape.1.max(1))
            .enumerate()
            .for_each(|(i, cells)| {
                let lines = i * cell_px..((i + 1) * cell_px).min(rows);
                // Most cells hold nothing dark.
                let mut darkest = vec![f32::MAX; cols];
                for r in lines.clone() {
                    for (low, s) in darkest.iter_mut().zip(silver.row(r)) {
                        *low = if *s < *low { *s } else { *low };
                    }
                }
                for (j, low) in darkest.chunks(cell_px).enumerate() {
                    if low.iter().all(|s| *s >= below) {
                        continue;
                    }
                    for r in lines.clone() {
                        for c in j * cell_px..j * cell_px + low.len() {
                            if silver[[r, c]] < below {
                                let [y, x] = [r, c].map(|at| at as u32);
                                let [top, left, bottom, right] = cells[j].unwrap_or([y, x, y, x]);
                                cells[j] =
                                    Some([top.min(y), left.min(x), bottom.max(y), right.max(x)]);
                            }
                        }
                    }
                }
            });
        Dark {
            rectangles,
            cell_px,
        }
    }

    /// Every pixel of a cell is dark, or it lies off the panel.
    fn is_full(&self, r: usize, c: usize) -> bool {
        let side = self.cell_px as u32 - 1;
        self.rectangles.get((r, c)).is_none_or(|found| {
            found.is_some_and(|[top, left, bottom, right]| {
                bottom - top == side && right - left == side
            })
        })
    }
}

/// Which cells have their middle within `reach` pixels of a dark one.
fn within(dark: &Dark, reach: f64) -> ndarray::Array2<bool> {
    let (rows, cols) = dark.rectangles.dim();
    let side = dark.cell_px as f64;
    let cells = (reach / side).ceil() as usize + 1;
    let mut near = dark.rectangles.map(Option::is_some);
    for ((r, c), rectangle) in dark.rectangles.indexed_iter() {
        let Some(rectangle) = rectangle else { continue };
        // What lies deep in the dark reaches nowhere that its rim does not. One before the first lies off the panel too.
        let (above, before) = (r.wrapping_sub(1), c.wrapping_sub(1));
        let about = [(r, c), (above, c), (r + 1, c), (r, before), (r, c + 1)];
        if about.iter().all(|(r, c)| dark.is_full(*r, *c)) {
            continue;
        }
        let [top, left, bottom, right] = rectangle.map(f64::from);
        for i in r.saturating_sub(cells)..(r + cells + 1).min(rows) {
            let y = (i as f64 + 0.5) * side;
            let down = (top - y).max(y - bottom - 1.0).max(0.0);
            let across = (reach * reach - down * down).sqrt();
            if across.is_nan() {
                continue;
            }
            // The cells whose middles lie so near.
            let first = ((left - across) / side - 0.5).ceil().max(0.0) as usize;
            let last = ((right + 1.0 + across) / side - 0.5).floor();
            for j in first..((last + 1.0).max(0.0) as usize).min(cols) {
                near[[i, j]] = true;
            }
        }
    }
    near
}

#[cfg(test)]
mod tests;
