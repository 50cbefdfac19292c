//! The colour of the remaining silver at a blur of 1 mm: CIELAB a* and b* (CIE 15) with full silver as white.
//!
//! Light is smoothed and then made a colour, for it is light that the eye blends; only where silver remains, so that what is
//! bare lends it nothing. Noise turns any colour's chroma up: √(a*² + b*²) of noise about grey is over 0. Its own part,
//! told from how little neighbouring cells go on in a straight line, is taken out.

use std::ops::Range;

use ndarray::Zip;
use rayon::prelude::*;

use crate::frame::Plane;
use crate::frame::panel::{Colour, Panel};
use crate::ops::smooth::{self, gaussian};
use crate::ops::transfer::a_b;
use crate::ops::wide::{Loop, wide};
use crate::stats::order::quantile;

/// Blur at which colour is measured, mm.
pub const BLUR_MM: f64 = 1.0;

/// Side of a cell, mm: what is blurred so much holds nothing finer.
const CELL_MM: f64 = 1.0;

/// A place of which the blur sees less silver than this has no colour.
const LEAST_SEEN: f32 = 0.02;

/// So many rows are enough to tell the noise from.
const NOISE_ROWS: usize = 60;

/// Rows of cells that are worked on together.
const BAND: usize = 64;

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
    pub fn new(panel: &Panel) -> Option<Self> {
        let colour = &panel.colour;
        if colour.cells.is_empty() {
            return None;
        }
        let fine_mm = colour.cell_px as f64 / panel.px_per_mm;
        let along = ((CELL_MM / fine_mm).round() as usize).max(1);
        let cell_mm = fine_mm * along as f64;
        let own = panel.blur_mm.powi(2) + cell_mm.powi(2) / 12.0;
        let sigma = (BLUR_MM.powi(2) - own).max(0.0).sqrt() / cell_mm;
        let (rows, cols) = colour.cells.dim();
        let shape = (rows.div_ceil(along), cols.div_ceil(along));
        let [mut a, mut b, mut remains] = [(); 3].map(|()| Plane::zeros(shape));
        // Band by band: whole planes of what lies between would take longer to come by than to fill.
        let [of_a, of_b, of_remains] = [&mut a, &mut b, &mut remains].map(|plane| {
            let cells = plane.as_slice_mut().unwrap_or(&mut []);
            cells.par_chunks_mut(BAND * shape.1)
        });
        let bends: Vec<[Vec<f64>; 2]> = (of_a, of_b, of_remains)
            .into_par_iter()
            .enumerate()
            .map(|(band, (a, b, remains))| {
                let first = band * BAND;
                let of_band = first..first + remains.len() / shape.1;
                fill_band(colour, along, sigma, of_band, [a, b, remains])
            })
            .collect();
        // A Gaussian averages noise that differs from cell to cell down to 1/(4πσ²) of its variance.
        let kept = if sigma > 0.5 {
            1.0 / (4.0 * std::f64::consts::PI * sigma * sigma)
        } else {
            1.0
        };
        let of = |i: usize| variance(bends.iter().flat_map(|both| both[i].iter().copied()));
        let noise = ((of(0) + of(1)) * kept) as f32;
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

/// Fills some rows of a*, of b* and of what remains, and tells how a* and b* bend there before the blur.
fn fill_band(
    colour: &Colour,
    along: usize,
    sigma: f64,
    of_band: Range<usize>,
    [a, b, remains]: [&mut [f32]; 3],
) -> [Vec<f64>; 2] {
    let (rows, cols) = (
        colour.cells.nrows().div_ceil(along),
        colour.cells.ncols().div_ceil(along),
    );
    let reach = smooth::reach(sigma);
    let about = of_band.start.saturating_sub(reach)..(of_band.end + reach).min(rows);
    let planes = in_cells(colour, along, about.clone());
    let within = of_band.start - about.start..of_band.end - about.start;
    let smooth = planes.each_ref().map(|plane| gaussian(plane, sigma));
    let cells = within.start * cols..within.end * cols;
    let [red, green, blue, seen] = smooth
        .each_ref()
        .map(|plane| &plane.as_slice().unwrap_or(&[])[cells.clone()]);
    remains.copy_from_slice(&planes[3].as_slice().unwrap_or(&[])[cells.clone()]);
    wide(Colouring {
        light: [red, green, blue],
        seen,
        ab: [a, b],
        remains,
    });
    let every = (rows / NOISE_ROWS).max(1);
    let told = within.filter(|r| (about.start + r).is_multiple_of(every));
    bends(&planes, told)
}

/// A line of cells to be given their colour.
struct Colouring<'a> {
    /// Light and silver as the blur sees them.
    light: [&'a [f32]; 3],
    seen: &'a [f32],
    ab: [&'a mut [f32]; 2],
    remains: &'a mut [f32],
}

impl Loop for Colouring<'_> {
    type Output = ();

    #[inline(always)]
    fn run(self) {
        let ([red, green, blue], [a, b]) = (self.light, self.ab);
        let places = red.iter().zip(green).zip(blue).zip(self.seen);
        let made = a.iter_mut().zip(b).zip(self.remains);
        for ((((red, green), blue), seen), ((a, b), remains)) in places.zip(made) {
            let share = 1.0 / seen.max(LEAST_SEEN);
            let [to_a, to_b] = a_b([red * share, green * share, blue * share]);
            let known = *seen >= LEAST_SEEN;
            *a = if known { to_a } else { 0.0 };
            *b = if known { to_b } else { 0.0 };
            *remains = if known { *remains } else { 0.0 };
        }
    }
}

/// The light of the remaining silver of some rows of `along` × `along` colour cells, weighed by how much of it there is, and
/// that weight.
fn in_cells(colour: &Colour, along: usize, of_rows: Range<usize>) -> [Plane; 4] {
    let (rows, cols) = colour.cells.dim();
    let width = cols.div_ceil(along);
    let mut planes = [(); 4].map(|()| Plane::zeros((of_rows.len(), width)));
    let mut sums = vec![[0.0_f32; 4]; width];
    for (to, i) in of_rows.enumerate() {
        let lines = i * along..((i + 1) * along).min(rows);
        sums.fill([0.0; 4]);
        for line in lines.clone() {
            let line = colour.cells.row(line);
            let line = line.as_slice().unwrap_or(&[]);
            for (sum, cells) in sums.iter_mut().zip(line.chunks(along)) {
                for cell in cells {
                    let [red, green, blue] = cell.silver.map(|light| cell.remains * light);
                    let adds = [red, green, blue, cell.remains];
                    sum.iter_mut().zip(adds).for_each(|(sum, v)| *sum += v);
                }
            }
        }
        for (c, plane) in planes.iter_mut().enumerate() {
            let row = plane.row_mut(to).into_slice().unwrap_or(&mut []);
            for (j, (out, sum)) in row.iter_mut().zip(&sums).enumerate() {
                let cells = lines.len() * (((j + 1) * along).min(cols) - j * along);
                *out = sum[c] / cells as f32;
            }
        }
    }
    planes
}

/// How a* and b* bend from cell to cell along some rows: what goes on in a straight line over three cells is the colour's own;
/// what does not, noise for the most part.
fn bends(light: &[Plane; 4], of_rows: impl Iterator<Item = usize>) -> [Vec<f64>; 2] {
    let (mut of_a, mut of_b) = (Vec::new(), Vec::new());
    for r in of_rows {
        let [red, green, blue, seen] = light.each_ref().map(|plane| plane.row(r));
        let colour = |c: usize| {
            (seen[c] > 0.9).then(|| a_b([red[c], green[c], blue[c]].map(|sum| sum / seen[c])))
        };
        let colours: Vec<Option<[f32; 2]>> = (0..seen.len()).map(colour).collect();
        for three in colours.windows(3) {
            if let [Some(left), Some(here), Some(right)] = three {
                let bend = |i: usize| f64::from((left[i] - 2.0 * here[i] + right[i]).abs());
                of_a.push(bend(0));
                of_b.push(bend(1));
            }
        }
    }
    [of_a, of_b]
}

/// Variance that noise gives a cell that bends so. The middle size is taken, so that edges of colour do not count.
fn variance(bends: impl Iterator<Item = f64>) -> f64 {
    // The middle size of a normal deviate is 0.6745 of its deviation; weights 1, −2, 1 make its variance six times as large.
    let deviation = quantile(&mut bends.collect::<Vec<f64>>(), 0.5).unwrap_or(0.0) / 0.6745;
    deviation * deviation / 6.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;
    use crate::frame::panel::ColourCell;

    /// A panel of 20 mm at 2 px/mm, whose colour cells of half a millimetre are as `of` says of their row and column.
    fn panel(of: impl Fn(usize, usize) -> ([f32; 3], f32)) -> Panel {
        let cell = |(r, c)| {
            let (silver, remains) = of(r, c);
            ColourCell {
                silver,
                remains,
                tint: [255; 3],
            }
        };
        Panel {
            colour: Colour {
                cell_px: 1,
                cells: ndarray::Array2::from_shape_fn((40, 40), cell),
            },
            ..drawn::panel(Plane::ones((40, 40)), 2.0)
        }
    }

    fn furthest(plane: &Plane, from: f32) -> f32 {
        plane.iter().fold(0.0, |most, v| most.max((v - from).abs()))
    }

    #[test]
    fn where_none_was_kept_there_is_none() {
        assert!(Chroma::new(&drawn::panel(Plane::ones((40, 40)), 2.0)).is_none());
    }

    #[test]
    fn an_even_colour_is_its_own_all_over_and_has_no_noise() {
        for light in [[1.0, 1.0, 1.0], [1.0, 0.9, 0.6], [0.3, 0.4, 0.5]] {
            let found = Chroma::new(&panel(|_, _| (light, 1.0))).unwrap();
            let [a, b] = a_b(light);
            assert_eq!((found.cell_px, found.a.dim()), (2, (20, 20)));
            assert!((found.cell_mm - 1.0).abs() < 1e-12);
            assert!(furthest(&found.a, a) < 0.01 && furthest(&found.b, b) < 0.01);
            assert!(furthest(&found.remains, 1.0) < 1e-6 && found.noise < 1e-6);
            assert!(furthest(&found.plane(), a.hypot(b)) < 0.01);
        }
    }

    #[test]
    fn what_is_bare_has_no_colour_and_lends_none() {
        let bare = Chroma::new(&panel(|_, _| ([0.0; 3], 0.0))).unwrap();
        for plane in [&bare.a, &bare.b, &bare.remains, &bare.plane()] {
            assert!(furthest(plane, 0.0) < 1e-6);
        }
        // The left half is bare: the right one keeps its colour up to the line.
        let [_, b] = a_b([1.0, 1.0, 0.6]);
        let half = |_, c| {
            if c < 20 {
                ([0.0; 3], 0.0)
            } else {
                ([1.0, 1.0, 0.6], 1.0)
            }
        };
        let found = Chroma::new(&panel(half)).unwrap();
        assert!((found.b[[10, 10]] - b).abs() < 0.01 && found.b[[10, 0]].abs() < 1e-6);
        assert!((found.remains[[10, 10]] - 1.0).abs() < 1e-6 && found.remains[[10, 9]] < 1e-6);
    }

    #[test]
    fn noise_is_taken_out_of_chroma_and_never_more_than_all() {
        let mut found = Chroma::new(&panel(|_, _| ([1.0; 3], 1.0))).unwrap();
        found.noise = 9.0;
        assert!((found.chroma(3.0, 4.0) - 4.0).abs() < 1e-6);
        assert!(found.chroma(1.0, 1.0).abs() < 1e-6);
    }

    #[test]
    fn the_variance_is_a_sixth_of_the_middle_bends() {
        assert!((variance([0.6745; 5].into_iter()) - 1.0 / 6.0).abs() < 1e-9);
        assert!(variance([0.0, 0.0, 9.0].into_iter()).abs() < 1e-12);
        assert!(variance(std::iter::empty()).abs() < 1e-12);
    }
}
