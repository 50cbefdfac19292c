//! The colour of the remaining silver at a blur of 1 mm: CIELAB a* and b* (CIE 15) with full silver as white.
//!
//! Light is smoothed and then made a colour, for it is light that the eye blends; only where silver remains, so that what is
//! bare lends it nothing. Noise turns any colour's chroma up: √(a*² + b*²) of noise about grey is over 0. Its own part,
//! told from how little neighbouring cells go on in a straight line, is taken out.

use ndarray::Zip;
use ndarray::parallel::prelude::*;

use crate::frame::Plane;
use crate::frame::panel::{Colour, Panel};
use crate::ops::smooth::gaussian;
use crate::ops::transfer::a_b;
use crate::stats::order::quantile;

/// Blur at which colour is measured, mm.
pub const BLUR_MM: f64 = 1.0;

/// Side of a cell, mm: what is blurred so much holds nothing finer.
const CELL_MM: f64 = 1.0;

/// A place of which the blur sees less silver than this has no colour.
const LEAST_SEEN: f32 = 0.02;

/// A row in so many is enough to tell the noise from.
const NOISE_ROWS: usize = 4;

/// The colour of the remaining silver in cells of about 1 mm.
#[derive(Debug, Clone)]
pub struct Chroma {
    /// Side of a cell, mm.
    pub cell_mm: f64,
    /// Pixels of the silver plane along a cell.
    pub cell_px: usize,
    /// CIELAB a*.
    pub a: Plane,
    /// CIELAB b*.
    pub b: Plane,
    /// Share of each cell where silver remains, 0 to 1.
    pub remains: Plane,
    /// Variance that noise gives a* and b* together.
    pub noise: f32,
}

impl Chroma {
    /// The colour of a panel; `None` where it holds none.
    #[must_use]
    pub fn of(panel: &Panel) -> Option<Self> {
        let colour = &panel.colour;
        if colour.cells.is_empty() {
            return None;
        }
        let fine_mm = colour.cell_px as f64 / panel.px_per_mm;
        let along = ((CELL_MM / fine_mm).round() as usize).max(1);
        let cell_mm = fine_mm * along as f64;
        let (light, remains) = in_cells(colour, along);
        let own = panel.blur_mm.powi(2) + cell_mm.powi(2) / 12.0;
        let sigma = (BLUR_MM.powi(2) - own).max(0.0).sqrt() / cell_mm;
        let smooth: Vec<Plane> = light
            .par_iter()
            .chain([&remains])
            .map(|plane| gaussian(plane, sigma))
            .collect();
        let [red, green, blue, seen] = smooth.as_slice() else {
            return None;
        };
        let mut a = Plane::zeros(remains.dim());
        let mut b = Plane::zeros(remains.dim());
        let mut remains = remains;
        let light_at = |at: (usize, usize)| [red[at], green[at], blue[at], seen[at]];
        Zip::indexed(&mut a)
            .and(&mut b)
            .and(&mut remains)
            .par_for_each(|at, a, b, remains| {
                let [red, green, blue, seen] = light_at(at);
                if seen < LEAST_SEEN {
                    *remains = 0.0;
                } else {
                    [*a, *b] = a_b([red, green, blue].map(|sum| sum / seen));
                }
            });
        // A Gaussian averages noise that differs from cell to cell down to 1/(4πσ²) of its variance.
        let kept = if sigma > 0.5 {
            1.0 / (4.0 * std::f64::consts::PI * sigma * sigma)
        } else {
            1.0
        };
        let noise = (noise(&light, &remains) * kept) as f32;
        Some(Chroma {
            cell_mm,
            cell_px: colour.cell_px * along,
            a,
            b,
            remains,
            noise,
        })
    }

    /// Chroma of a* and b*, the noise's part taken out.
    #[must_use]
    pub fn chroma(&self, a: f32, b: f32) -> f32 {
        (a * a + b * b - self.noise).max(0.0).sqrt()
    }

    /// Chroma of every cell; 0 where no silver remains.
    #[must_use]
    pub fn plane(&self) -> Plane {
        let mut chroma = Plane::zeros(self.a.dim());
        Zip::from(&mut chroma)
            .and(&self.a)
            .and(&self.b)
            .for_each(|chroma, a, b| *chroma = self.chroma(*a, *b));
        chroma
    }
}

/// The light of the remaining silver of `along` × `along` colour cells, weighed by how much of it there is, and that weight.
fn in_cells(colour: &Colour, along: usize) -> ([Plane; 3], Plane) {
    let (rows, cols) = colour.cells.dim();
    let shape = (rows.div_ceil(along), cols.div_ceil(along));
    let mut sums = ndarray::Array2::from_elem(shape, [0.0_f32; 4]);
    sums.outer_iter_mut()
        .into_par_iter()
        .enumerate()
        .for_each(|(i, mut sums)| {
            let lines = i * along..((i + 1) * along).min(rows);
            for line in lines.clone() {
                for (j, cell) in colour.cells.row(line).iter().enumerate() {
                    let sum = &mut sums[j / along];
                    (0..3).for_each(|c| sum[c] += cell.remains * cell.silver[c]);
                    sum[3] += cell.remains;
                }
            }
            for (j, sum) in sums.iter_mut().enumerate() {
                let cells = lines.len() * (((j + 1) * along).min(cols) - j * along);
                *sum = sum.map(|v| v / cells as f32);
            }
        });
    let plane = |c: usize| sums.mapv(|sum| sum[c]);
    ([plane(0), plane(1), plane(2)], plane(3))
}

/// Variance that noise gives a* and b* of a cell, together. What goes on in a straight line over three cells is the colour's
/// own; what does not, noise for the most part. Its middle size is taken, so that edges of colour do not count.
fn noise(light: &[Plane; 3], remains: &Plane) -> f64 {
    let (rows, cols) = remains.dim();
    let (mut of_a, mut of_b) = (Vec::new(), Vec::new());
    for r in (0..rows).step_by(NOISE_ROWS) {
        let colours: Vec<Option<[f32; 2]>> = (0..cols)
            .map(|c| {
                let seen = remains[[r, c]];
                (seen > 0.9).then(|| a_b([0, 1, 2].map(|i: usize| light[i][[r, c]] / seen)))
            })
            .collect();
        for three in colours.windows(3) {
            if let [Some(left), Some(here), Some(right)] = three {
                let bend = |i: usize| f64::from((left[i] - 2.0 * here[i] + right[i]).abs());
                of_a.push(bend(0));
                of_b.push(bend(1));
            }
        }
    }
    // The middle size of a normal deviate is 0.6745 of its deviation; weights 1, −2, 1 make its variance six times as large.
    let variance = |bends: &mut [f64]| {
        let deviation = quantile(bends, 0.5).unwrap_or(0.0) / 0.6745;
        deviation * deviation / 6.0
    };
    variance(&mut of_a) + variance(&mut of_b)
}
