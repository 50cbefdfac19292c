//! What is counted of the remaining silver's colour, window by window, and the figures that follow from it.

use crate::frame::Plane;
use crate::measure::chroma::Chroma;
use crate::measure::windows::Windows;
use crate::stats::bootstrap::dot;
use crate::units::circular;

/// Silver of more chroma than this has a patina.
const PATINA: f32 = 6.0;

/// Share of the remaining silver that stays under the patina's chroma.
const MOST: f64 = 0.9;

/// Share of the remaining silver that must have a patina for it to have a hue.
const LEAST_PATINA: f64 = 0.01;

/// Share of the remaining silver that must lie near dark places, and as much elsewhere.
const LEAST_NEAR: f64 = 0.005;

/// Steps of chroma in which it is counted.
const BIN: f32 = 0.5;

/// So many of them: more chroma than 64 is no silver's.
const BINS: usize = 128;

/// What is counted of the remaining silver, window by window.
pub(super) struct Counted {
    /// Silver up to the chroma of each bin, all windows of a bin together.
    up_to_chroma: Vec<f64>,
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

/// Sums over the cells of one row in one window, in the order of [`Counted::take`].
#[derive(Default)]
struct Sums([f32; 8]);

impl Sums {
    #[inline]
    fn add(&mut self, weight: f32, [a, b, chroma]: [f32; 3], beside: f32) {
        let elsewhere = (weight - beside).max(0.0);
        let worn = if chroma > PATINA { weight } else { 0.0 };
        // The a* and b* of a place are its chroma times the direction of its hue.
        let adds = [
            weight,
            worn,
            weight * a,
            weight * b,
            beside,
            beside * chroma,
            elsewhere,
            elsewhere * chroma,
        ];
        self.0.iter_mut().zip(adds).for_each(|(sum, v)| *sum += v);
    }
}

impl Counted {
    /// Counts every so many rows with the colour moved.
    pub(super) fn count(
        colour: &Chroma,
        near: &Plane,
        windows: &Windows,
        shift: [f32; 2],
        every: usize,
    ) -> Self {
        let none = || vec![0.0; windows.count()];
        let mut counted = Counted {
            up_to_chroma: vec![0.0; windows.count() * BINS],
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
            let [a, b, remains, beside] = [&colour.a, &colour.b, &colour.remains, near]
                .map(|plane| plane.row(r).to_slice().unwrap_or(&[]));
            let mut from = 0;
            for some in column.chunk_by(|one, next| one == next) {
                let window = first + some[0];
                let mut sums = Sums::default();
                for c in from..from + some.len() {
                    let weight = remains[c];
                    let (a, b) = (a[c] + shift[0], b[c] + shift[1]);
                    let chroma = colour.chroma(a, b);
                    let bin = ((chroma / BIN) as usize).min(BINS - 1);
                    counted.up_to_chroma[bin * windows.count() + window] += f64::from(weight);
                    sums.add(weight, [a, b, chroma], beside[c]);
                }
                counted.take(window, &sums);
                from += some.len();
            }
        }
        for at in windows.count()..counted.up_to_chroma.len() {
            counted.up_to_chroma[at] += counted.up_to_chroma[at - windows.count()];
        }
        counted
    }

    fn take(&mut self, window: usize, sums: &Sums) {
        let Sums([silver, patina, a, b, near, of_near, far, of_far]) = *sums;
        let add = |all: &mut [f64], sum: f32| all[window] += f64::from(sum);
        add(&mut self.silver, silver);
        add(&mut self.patina, patina);
        add(&mut self.arrow[0], a);
        add(&mut self.arrow[1], b);
        add(&mut self.near[0], near);
        add(&mut self.near[1], of_near);
        add(&mut self.far[0], far);
        add(&mut self.far[1], of_far);
    }

    pub(super) fn fraction(&self, weights: &[f64]) -> Option<f64> {
        let silver = dot(weights, &self.silver);
        (silver > 0.0).then(|| dot(weights, &self.patina) / silver)
    }

    /// The chroma that [`MOST`] of the silver stays under, between two bins by a straight line.
    pub(super) fn quantile(&self, weights: &[f64]) -> Option<f64> {
        let silver = dot(weights, &self.silver);
        let wanted = MOST * silver;
        let up_to = |bin: usize| {
            let windows = weights.len();
            dot(weights, &self.up_to_chroma[bin * windows..][..windows])
        };
        let (mut bin, mut last) = (0, BINS - 1);
        while bin < last {
            let middle = usize::midpoint(bin, last);
            if up_to(middle) < wanted {
                bin = middle + 1;
            } else {
                last = middle;
            }
        }
        let below = if bin == 0 { 0.0 } else { up_to(bin - 1) };
        let here = up_to(bin);
        (silver > 0.0).then(|| (bin as f64 + (wanted - below) / (here - below)) * f64::from(BIN))
    }

    pub(super) fn hue(&self, weights: &[f64]) -> Option<f64> {
        self.fraction(weights)
            .filter(|share| *share >= LEAST_PATINA)?;
        let [a, b] = [0, 1].map(|i| dot(weights, &self.arrow[i]));
        Some(circular(b.atan2(a).to_degrees()))
    }

    pub(super) fn halo(&self, weights: &[f64]) -> Option<f64> {
        let [near, far] =
            [&self.near, &self.far].map(|of| (dot(weights, &of[0]), dot(weights, &of[1])));
        let least = LEAST_NEAR * (near.0 + far.0);
        (near.0 > least && far.0 > least).then(|| near.1 / near.0 - far.1 / far.0)
    }
}
