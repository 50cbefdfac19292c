//! Full silver's light from a sample that lies beside the panel: its silver was kept, so it is its own reference.
//!
//! Laid over the photo, the kept silver says what each place of the sample shows against full silver, and so how bright full silver
//! is there. That it is this sample and no other piece, the pattern itself tells: what was kept and what is seen rise and fall
//! together from cell to cell.

use super::bend;
use super::light::Light;
use crate::frame::Plane;
use crate::frame::panel::Tints;
use crate::frame::photo::Photo;
use crate::frame::quad::{Homography, Point, Quad};
use crate::ops::glass::shown_by;
use crate::ops::transfer::{luminance, of_one_light};
use crate::stats::normal_equations::NormalEquations;
use crate::units::SizeMm;

/// Tiles along each side, each of which says how bright full silver is there, cells along each side of a tile, and samples along
/// each side of a cell.
const TILES: usize = 4;
const CELLS: usize = 12;
const SAMPLES: usize = 4;

/// From this likeness on the corners are fitted to the pattern, in these steps, pixels.
const WORTH_FITTING: f64 = 0.3;
const STEPS_PX: [f64; 7] = [6.0, 4.0, 4.0, 2.0, 2.0, 1.0, 1.0];

/// The silver that was kept of a sample.
#[derive(Clone, Copy)]
pub struct KeptSilver<'a> {
    /// Silver level, a rim of the panel left out all round.
    pub silver: &'a Plane,
    /// Its colour, where that was kept.
    pub tints: Option<&'a Tints>,
    /// Pixels of it in a millimetre.
    pub px_per_mm: f64,
    /// The whole sample.
    pub size: SizeMm,
}

/// Full silver over a photo by a sample in it.
#[derive(Debug, Clone)]
pub struct BySample {
    /// Its light.
    pub light: Light,
    /// Standard deviation of it beside the sample, as a share.
    pub doubt: f64,
    /// How alike the sample is to what was kept of it, cell by cell: 1 the same, 0 another piece (correlation coefficient).
    pub alike: f64,
    /// Millimetres in the sample's plane, from its top left corner as it lies, → photo.
    pub to_photo: Homography,
}

/// What the first of two quads of the photo says of full silver over the second, were it the sample, lying as it hangs or turned;
/// `None` where no flat piece projects to it.
#[must_use]
pub fn by_sample(
    photo: &Photo,
    [sample, panel]: [&Quad; 2],
    kept: KeptSilver<'_>,
    bare: f64,
) -> Option<BySample> {
    let laid = |corners: &[Point; 4]| as_it_lies(photo, corners, panel, kept, bare);
    let turned = |turn| {
        let mut corners = sample.0;
        corners.rotate_left(turn);
        Some((laid(&corners)?, corners))
    };
    let best = (0..4)
        .filter_map(turned)
        .max_by(|a, b| a.0.alike.total_cmp(&b.0.alike))?;
    Some(if best.0.alike > WORTH_FITTING {
        fitted(best, laid)
    } else {
        best.0
    })
}

/// The corners are moved as far as the pattern grows more like the kept one: a cut edge of the glass or a worn one may have been taken
/// for the sample's.
fn fitted(
    (mut best, mut corners): (BySample, [Point; 4]),
    laid: impl Fn(&[Point; 4]) -> Option<BySample>,
) -> BySample {
    for step in STEPS_PX {
        for corner in 0..4 {
            for [x, y] in [[step, 0.0], [-step, 0.0], [0.0, step], [0.0, -step]] {
                let mut moved = corners;
                moved[corner] = [moved[corner][0] + x, moved[corner][1] + y];
                if let Some(found) = laid(&moved).filter(|found| found.alike > best.alike) {
                    (best, corners) = (found, moved);
                }
            }
        }
    }
    best
}

/// A cell: what the photo shows there, and what the sample shows against full silver, per channel.
struct Cell {
    light: [f64; 3],
    shown: [f64; 3],
}

fn as_it_lies(
    photo: &Photo,
    corners: &[Point; 4],
    panel: &Quad,
    kept: KeptSilver<'_>,
    bare: f64,
) -> Option<BySample> {
    let SizeMm { width, height } = kept.size;
    let to_photo = Homography::between(&Quad::rectangle(0.0, 0.0, width, height).0, corners)?;
    let (rows, cols) = kept.silver.dim();
    let inside = [cols as f64, rows as f64].map(|px| px / kept.px_per_mm);
    let rim = [(width - inside[0]) / 2.0, (height - inside[1]) / 2.0];
    let side = TILES * CELLS;
    let cells: Vec<Cell> = (0..side * side)
        .map(|cell| {
            let mut sum = Cell {
                light: [0.0; 3],
                shown: [0.0; 3],
            };
            for k in 0..SAMPLES * SAMPLES {
                let at = |cell: usize, k: usize| {
                    (cell as f64 + (k as f64 + 0.5) / SAMPLES as f64) / side as f64
                };
                let share = [at(cell % side, k % SAMPLES), at(cell / side, k / SAMPLES)];
                let mm = [0, 1].map(|a| rim[a] + share[a] * inside[a]);
                let seen = photo.light_at(to_photo.apply(mm)).map(f64::from);
                let shown = shown_at(kept, share, bare);
                for c in 0..3 {
                    sum.light[c] += seen[c] / (SAMPLES * SAMPLES) as f64;
                    sum.shown[c] += shown[c] / (SAMPLES * SAMPLES) as f64;
                }
            }
            sum
        })
        .collect();
    let in_tile = |tile: usize| {
        let (top, left) = (tile / TILES * CELLS, tile % TILES * CELLS);
        (0..CELLS * CELLS).map(move |i| (top + i / CELLS) * side + left + i % CELLS)
    };
    let mut places = Vec::new();
    let mut levels = Vec::new();
    let mut together = Together::default();
    for tile in 0..TILES * TILES {
        let mean = |of: &dyn Fn(&Cell) -> f64| {
            in_tile(tile).map(|i| of(&cells[i])).sum::<f64>() / (CELLS * CELLS) as f64
        };
        levels.push([0, 1, 2].map(|c| mean(&|cell| cell.light[c]) / mean(&|cell| cell.shown[c])));
        let middle = [tile % TILES, tile / TILES].map(|i| (i as f64 + 0.5) / TILES as f64);
        places.push(to_photo.apply([0, 1].map(|a| rim[a] + middle[a] * inside[a])));
        let usual = [
            mean(&|c| luminance(&c.light)),
            mean(&|c| luminance(&c.shown)),
        ];
        for i in in_tile(tile) {
            let here = [luminance(&cells[i].light), luminance(&cells[i].shown)];
            together.add([0, 1].map(|k| here[k] / usual[k].max(1e-6) - 1.0));
        }
    }
    let n = levels.len() as f64;
    let level = [0, 1, 2].map(|c| levels.iter().map(|l| l[c]).sum::<f64>() / n);
    let (at, slope) = slope(&places, &levels);
    let (bend, doubt) = bend::beyond(photo, at, slope, panel);
    let here = bend.at([at[0] / photo.width as f64, at[1] / photo.height as f64]);
    Some(BySample {
        light: Light::Bent(level.map(|l| [l / here, 0.0, 0.0]), bend),
        doubt,
        alike: together.correlation(),
        to_photo,
    })
}

/// The middle of places in the photo and how the logarithm of their light changes from pixel to pixel, by least squares.
fn slope(places: &[Point], levels: &[[f64; 3]]) -> (Point, [f64; 2]) {
    let n = places.len() as f64;
    let at = [0, 1].map(|a| places.iter().map(|p| p[a]).sum::<f64>() / n);
    let mut sums = NormalEquations::default();
    for (place, level) in places.iter().zip(levels) {
        let off = [0, 1].map(|a| place[a] - at[a]);
        sums.add(off, luminance(level).max(1e-6).ln());
    }
    (at, sums.solve().unwrap_or_default())
}

/// What the sample shows against full silver at shares of the map's sides, per channel.
fn shown_at(kept: KeptSilver<'_>, [x, y]: Point, bare: f64) -> [f64; 3] {
    let cell = |share: f64, n: usize| ((share * n as f64) as usize).min(n - 1);
    let (rows, cols) = kept.silver.dim();
    let silver = f64::from(shown_by(kept.silver[[cell(y, rows), cell(x, cols)]]));
    let colour = kept.tints.map_or([1.0; 3], |Tints(tints)| {
        let (rows, cols) = tints.dim();
        of_one_light(tints[[cell(y, rows), cell(x, cols)]]).map(f64::from)
    });
    colour.map(|c| bare + (1.0 - bare) * silver * c)
}

/// Sums of two things that may rise and fall together.
#[derive(Default)]
struct Together {
    squares: [f64; 2],
    product: f64,
}

impl Together {
    fn add(&mut self, [a, b]: [f64; 2]) {
        self.squares[0] += a * a;
        self.squares[1] += b * b;
        self.product += a * b;
    }

    fn correlation(&self) -> f64 {
        self.product / (self.squares[0] * self.squares[1]).sqrt().max(1e-12)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::drawn;

    #[test]
    fn two_things_rise_together_against_each_other_or_neither() {
        let of = |pairs: &[[f64; 2]]| {
            let mut together = Together::default();
            pairs.iter().for_each(|pair| together.add(*pair));
            together.correlation()
        };
        assert!((of(&[[1.0, 2.0], [-1.0, -2.0]]) - 1.0).abs() < 1e-12);
        assert!((of(&[[1.0, -2.0], [-1.0, 2.0]]) + 1.0).abs() < 1e-12);
        assert!(of(&[[1.0, 1.0], [-1.0, 1.0]]).abs() < 1e-12);
        assert!(of(&[]).abs() < 1e-12 && of(&[[1.0, 0.0]]).abs() < 1e-12);
    }

    #[test]
    fn the_slope_is_of_the_lights_logarithm() {
        let places: Vec<Point> = (0..9)
            .map(|i| [f64::from(i % 3), f64::from(i / 3)])
            .collect();
        let of = |slope: [f64; 2]| {
            let light = |[x, y]: &Point| [(slope[0] * x + slope[1] * y).exp(); 3];
            let levels: Vec<[f64; 3]> = places.iter().map(light).collect();
            super::slope(&places, &levels)
        };
        for wanted in [[0.0, 0.0], [0.1, 0.0], [0.0, -0.2]] {
            let (at, found) = of(wanted);
            assert!((at[0] - 1.0).abs() < 1e-12 && (at[1] - 1.0).abs() < 1e-12);
            assert!(
                (found[0] - wanted[0]).abs() < 1e-4 && (found[1] - wanted[1]).abs() < 1e-4,
                "{found:?}"
            );
        }
        // One place has no slope.
        let (_, none) = super::slope(&places[..1], &[[0.5; 3]]);
        assert!(none.iter().all(|v| v.abs() < 1e-12));
    }

    #[test]
    fn a_sample_is_told_from_another_and_gives_its_light() {
        // Squares of 5 mm, bare and full without order, photographed under full silver of 0.4; and bare for full.
        let board = |x: f64, y: f64| {
            let [i, j] = [x, y].map(|at| (at / 5.0) as usize);
            (7 * i + 3 * j + i * j) % 5 > 1
        };
        let silver = Plane::from_shape_fn((200, 200), |(r, c)| {
            f32::from(u8::from(board(c as f64 / 2.0, r as f64 / 2.0)))
        });
        let kept = KeptSilver {
            silver: &silver,
            tints: None,
            px_per_mm: 2.0,
            size: SizeMm {
                width: 100.0,
                height: 100.0,
            },
        };
        let bare = 0.06;
        let of = |swapped: bool| {
            let photo = drawn::photo([400, 240], |x, y| {
                let inside = (20..220).contains(&x) && (20..220).contains(&y);
                let full = inside && board((x - 20) as f64 / 2.0, (y - 20) as f64 / 2.0) != swapped;
                [if full { 0.4 } else { 0.4 * bare }; 3]
            });
            let quads = [
                Quad::rectangle(20.0, 20.0, 200.0, 200.0),
                Quad::rectangle(240.0, 40.0, 140.0, 140.0),
            ];
            by_sample(&photo, [&quads[0], &quads[1]], kept, bare).unwrap()
        };
        let same = of(false);
        assert!(same.alike > 0.99, "{}", same.alike);
        assert!(
            same.light
                .at([0.3, 0.5])
                .iter()
                .all(|v| (v - 0.4).abs() < 0.02),
            "{:?}",
            same.light.at([0.3, 0.5])
        );
        assert!(of(true).alike < 0.5, "{}", of(true).alike);
    }
}
