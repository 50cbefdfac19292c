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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    /// Four cells by four in as many windows, of a* and b* as `of` says of their number, and how much of each lies near.
    fn counted(
        of: impl Fn(usize) -> [f32; 2],
        remains: f32,
        near: impl Fn(usize) -> f32,
    ) -> Counted {
        let plane =
            |of: &dyn Fn(usize) -> f32| Plane::from_shape_fn((4, 4), |(r, c)| of(4 * r + c));
        let colour = Chroma {
            cell_mm: 1.0,
            cell_px: 20,
            a: plane(&|i| of(i)[0]),
            b: plane(&|i| of(i)[1]),
            remains: plane(&|_| remains),
            noise: 0.0,
        };
        let panel = drawn::panel(Plane::ones((80, 80)), 2.0);
        let windows = Windows::over(&panel, &panel.silver, 1.0);
        assert_eq!(windows.count(), 16);
        Counted::count(&colour, &plane(&near), &windows, [0.0; 2], 1)
    }

    const ALL: [f64; 16] = [1.0; 16];

    fn is(found: Option<f64>, wanted: f64) -> bool {
        found.is_some_and(|v| (v - wanted).abs() < 1e-5)
    }

    #[test]
    fn over_six_of_chroma_is_patina() {
        let of = |chroma: f32| counted(|_| [0.0, chroma], 1.0, |_| 0.0).fraction(&ALL);
        assert!(is(of(0.0), 0.0) && is(of(6.0), 0.0));
        assert!(is(of(6.1), 1.0) && is(of(-6.1), 1.0));
        let one = counted(|i| [0.0, if i == 5 { 9.0 } else { 1.0 }], 0.5, |_| 0.0);
        assert!(is(one.fraction(&ALL), 1.0 / 16.0));
        // Without any silver there is no share of it.
        let none = counted(|_| [0.0, 9.0], 0.0, |_| 0.0);
        assert_eq!(
            [
                none.fraction(&ALL),
                none.quantile(&ALL),
                none.hue(&ALL),
                none.halo(&ALL)
            ],
            [None; 4]
        );
    }

    #[test]
    fn nine_tenths_stay_under_the_quantile() {
        // All in the bin from 10 to 10.5: nine tenths of the way through it.
        assert!(is(
            counted(|_| [10.2, 0.0], 1.0, |_| 0.0).quantile(&ALL),
            10.45
        ));
        assert!(is(counted(|_| [0.0; 2], 1.0, |_| 0.0).quantile(&ALL), 0.45));
        // An eighth is at 20: up to there lie 14 of 16, and 0.4 of the other two are wanted.
        let eighth = counted(|i| [if i < 2 { 20.0 } else { 1.0 }, 0.0], 1.0, |_| 0.0);
        assert!(is(eighth.quantile(&ALL), 20.0 + 0.2 * 0.5));
        // More than any silver's is held in the last bin.
        assert!(is(
            counted(|_| [99.0, 0.0], 1.0, |_| 0.0).quantile(&ALL),
            63.95
        ));
    }

    #[test]
    fn the_hue_is_the_arrows_direction() {
        for (ab, degrees) in [
            ([9.0, 0.0], 0.0),
            ([0.0, 9.0], 90.0),
            ([-9.0, 0.0], 180.0),
            ([0.0, -9.0], 270.0),
            ([7.0, 7.0], 45.0),
        ] {
            assert!(
                is(counted(|_| ab, 1.0, |_| 0.0).hue(&ALL), degrees),
                "{ab:?}"
            );
        }
        assert_eq!(counted(|_| [0.0, 5.9], 1.0, |_| 0.0).hue(&ALL), None);
    }

    #[test]
    fn the_halo_is_the_chroma_near_less_that_elsewhere() {
        let chroma = |i: usize| [if i < 8 { 10.0 } else { 4.0 }, 0.0];
        let first_half = |i: usize| if i < 8 { 1.0 } else { 0.0 };
        assert!(is(counted(chroma, 1.0, first_half).halo(&ALL), 6.0));
        assert!(is(
            counted(chroma, 1.0, |i| 1.0 - first_half(i)).halo(&ALL),
            -6.0
        ));
        // Nothing near, or nothing elsewhere.
        assert_eq!(counted(chroma, 1.0, |_| 0.0).halo(&ALL), None);
        assert_eq!(counted(chroma, 1.0, |_| 1.0).halo(&ALL), None);
    }
}
