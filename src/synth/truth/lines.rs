//! Which dark areas are lines, and which are rings.

use ndarray::Array2;

use crate::frame::Plane;
use crate::synth::dark::DarkArea;
use crate::synth::distance::distances;

/// A line is more than so many times as long as thick,
const LONG: f64 = 5.0;
/// narrower than this, mm,
const NARROW_MM: f64 = 2.0;
/// and of one width: its mean width is at least this share of its mean thickness. A disc has 0.67; heaps of discs that
/// touch, up to a cover of 0.4, have 0.68 to 0.85; strips, nets, drips and long ellipses 0.94 and more, and a scratch
/// through a few speckles 0.9.
const EVEN: f64 = 0.86;
/// The mean thickness is at least this share of the mean width: pixels make it a little less than all of it.
const SURELY: f64 = 0.8;
/// What an area encloses is its middle, unless it is larger than any speckle; mm, side of the box about it.
const RING_MM: f64 = 12.0;
/// A ring encloses at least this share of its area: a middle a fifth of the diameter wide.
const MIDDLE: f64 = 0.04;

/// An area apart from the others, with a border of one pixel that does not belong to it.
struct Apart {
    inside: Array2<bool>,
    pixels: usize,
}

/// What a dark area is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// More than five times as long as wide, under 2 mm wide and of one width.
    ///
    /// With d the distance of a pixel of the area to its outline: mean width w = 4 × mean d, exact for a strip. The mean
    /// thickness is that of Hildebrand & Rüegsegger (1997): over the pixels, the mean diameter of the largest disc inside the
    /// area that holds the pixel. Length = area / thickness, that of all branches together, so that a net is as long as all its
    /// lines.
    Line,
    /// Encloses something light.
    Ring,
    /// Anything else.
    Full,
}

/// What an area is. An area of a speckle's size is judged with its middle filled, or a ring would be a line.
pub(super) fn kind(area: &DarkArea, px_per_mm: f64) -> Kind {
    let mut apart = Apart::new(area);
    let small = (0..2).all(|i| (area.last[i] - area.first[i]) as f64 <= RING_MM * px_per_mm);
    let enclosed = if small { apart.fill() } else { 0 };
    if apart.is_line(px_per_mm) {
        Kind::Line
    } else if enclosed as f64 >= MIDDLE * apart.pixels as f64 {
        Kind::Ring
    } else {
        Kind::Full
    }
}

impl Apart {
    fn new(area: &DarkArea) -> Self {
        let [rows, cols] = [0, 1].map(|i| area.last[i] - area.first[i] + 3);
        let mut inside = Array2::from_elem((rows, cols), false);
        for [r, c] in area.pixels() {
            inside[[r + 1 - area.first[0], c + 1 - area.first[1]]] = true;
        }
        Apart {
            inside,
            pixels: area.places.len(),
        }
    }

    /// Adds what cannot be reached from outside (4-neighbours); says how many pixels that was.
    fn fill(&mut self) -> usize {
        let (rows, cols) = self.inside.dim();
        let mut outside = Array2::from_elem((rows, cols), false);
        let mut todo = vec![[0usize, 0]];
        outside[[0, 0]] = true;
        while let Some([r, c]) = todo.pop() {
            let beside = [
                [r.saturating_sub(1), c],
                [(r + 1).min(rows - 1), c],
                [r, c.saturating_sub(1)],
                [r, (c + 1).min(cols - 1)],
            ];
            for next in beside {
                if !self.inside[next] && !outside[next] {
                    outside[next] = true;
                    todo.push(next);
                }
            }
        }
        self.inside = outside.mapv(|out| !out);
        let before = self.pixels;
        self.pixels = self.inside.iter().filter(|inside| **inside).count();
        self.pixels - before
    }

    fn is_line(&self, px_per_mm: f64) -> bool {
        let away = distances(&self.inside);
        // The outline runs half a pixel before the first centre beyond it.
        let sum: f64 = away.iter().map(|d| (f64::from(*d) - 0.5).max(0.0)).sum();
        let width = 4.0 * sum / self.pixels as f64;
        let long = |thick: f64| self.pixels as f64 > LONG * thick * thick;
        // No area is much thinner than it is wide, and to tell how thick it is takes long.
        if width >= NARROW_MM * px_per_mm || !long(SURELY * width) {
            return false;
        }
        let thick = thickness(&away, self.pixels);
        long(thick) && width >= EVEN * thick
    }
}

/// Mean over the pixels of the diameter of the largest disc inside that holds the pixel, pixels.
fn thickness(away: &Plane, pixels: usize) -> f64 {
    let (rows, cols) = away.dim();
    let mut radius = Plane::zeros((rows, cols));
    for ((r, c), d) in away.indexed_iter().filter(|(_, d)| **d > 0.0) {
        // A disc that lies in its neighbour's adds nothing.
        let within = (r - 1..=r + 1).any(|nr| {
            (c - 1..=c + 1).any(|nc| {
                let apart = (nr.abs_diff(r) as f32).hypot(nc.abs_diff(c) as f32);
                apart > 0.0 && away[[nr, nc]] >= d + apart - 1e-3
            })
        });
        if within {
            continue;
        }
        let reach = d.ceil() as usize;
        for nr in r.saturating_sub(reach)..(r + reach + 1).min(rows) {
            for nc in c.saturating_sub(reach)..(c + reach + 1).min(cols) {
                let apart = (nr.abs_diff(r) as f32).hypot(nc.abs_diff(c) as f32);
                if apart < *d {
                    let held = &mut radius[[nr, nc]];
                    *held = held.max(*d);
                }
            }
        }
    }
    // A strip n pixels wide has its largest distance at (n + 1) / 2 where n is odd and n / 2 where it is even.
    let sum: f64 = radius
        .iter()
        .filter(|d| **d > 0.0)
        .map(|d| 2.0 * f64::from(*d) - 0.5)
        .sum();
    sum / pixels as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The kind of what is dark at 10 px/mm.
    fn of(rows: usize, cols: usize, dark: impl Fn(f64, f64) -> bool) -> Kind {
        let places: Vec<usize> = (0..rows * cols)
            .filter(|at| dark((at % cols) as f64 + 0.5, (at / cols) as f64 + 0.5))
            .collect();
        let bound = |i: usize| {
            let along = places.iter().map(|at| [at / cols, at % cols][i]);
            (along.clone().min().unwrap(), along.max().unwrap())
        };
        let [(top, bottom), (left, right)] = [bound(0), bound(1)];
        let area = DarkArea {
            places,
            cols,
            on_glass: 0,
            first: [top, left],
            last: [bottom, right],
            centre: [0.0; 2],
        };
        kind(&area, 10.0)
    }

    fn disc(x: f64, y: f64, at: [f64; 2], radius: f64) -> bool {
        (x - at[0]).hypot(y - at[1]) < radius
    }

    #[test]
    fn strips_are_lines_from_five_times_as_long_as_wide_up_to_2_mm() {
        let strip = |long: f64, wide: f64| {
            of(60, 400, move |x, y| {
                x > 5.0 && x < 5.0 + long && y > 10.0 && y < 10.0 + wide
            })
        };
        assert_eq!(strip(60.0, 10.0), Kind::Line);
        assert_eq!(strip(40.0, 10.0), Kind::Full);
        assert_eq!(strip(300.0, 19.0), Kind::Line);
        assert_eq!(strip(300.0, 22.0), Kind::Full);
    }

    #[test]
    fn discs_and_heaps_of_discs_are_none() {
        let touching = |places: &'static [[f64; 2]]| {
            of(120, 200, move |x, y| {
                places.iter().any(|at| disc(x, y, *at, 5.5))
            })
        };
        assert_eq!(touching(&[[20.0, 20.0]]), Kind::Full);
        assert_eq!(
            touching(&[[20.0, 20.0], [30.0, 20.0], [40.0, 22.0]]),
            Kind::Full
        );
        const HEAP: [[f64; 2]; 7] = [
            [20.0, 20.0],
            [30.0, 20.0],
            [36.0, 28.0],
            [28.0, 30.0],
            [46.0, 30.0],
            [55.0, 27.0],
            [20.0, 36.0],
        ];
        assert_eq!(touching(&HEAP), Kind::Full);
    }

    #[test]
    fn a_ring_is_a_ring_and_a_net_a_line() {
        let ring = of(60, 60, |x, y| {
            disc(x, y, [30.0, 30.0], 12.0) && !disc(x, y, [30.0, 30.0], 8.0)
        });
        assert_eq!(ring, Kind::Ring);
        let net = of(300, 300, |x, y| x % 60.0 < 3.0 || y % 60.0 < 3.0);
        assert_eq!(net, Kind::Line);
    }

    #[test]
    fn a_scratch_through_speckles_stays_a_line() {
        let scratch = of(60, 260, |x, y| {
            (x > 10.0 && x < 240.0 && (y - 30.0).abs() < 2.0)
                || disc(x, y, [60.0, 31.0], 4.0)
                || disc(x, y, [180.0, 27.0], 5.0)
        });
        assert_eq!(scratch, Kind::Line);
    }
}
