//! Something of the room shows in the mirror: a person, a phone, a window, a shelf.
//!
//! A person sees sharp outlines and colours that no ageing makes. An area with a sharp outline (a [`Plateau`]) counts when
//! it is large and
//! - neither silver nor bare: ageing leaves blots with hard edges, but bare ones; or bare and as square as a phone;
//! - or brighter than full silver, as a window or a lamp;
//! - or of a hue off the way from silver to brown that tarnish takes.
//!
//! Clouds, ridges and worn edges have no sharp outline. What could fool it: blots eaten half through with hard edges all
//! over look like something reflected; a person in black, far out of focus, is missed.

use super::board::BoardEnd;
use super::plateau::{Plateau, plateaus};
use super::small::Small;
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::reduce::block_mean;

/// Least contrast of a sharp outline, silver level. Ridges as deep as 0.8 stand still for 0.12 at most, clouds for 0.05.
const LEAST_CONTRAST: f64 = 0.15;

/// Least thickness, mm: a disc of 12 mm.
const LEAST_THICKNESS_MM: f64 = 6.0;

/// The same, cells.
const LEAST_THICKNESS_CELLS: f64 = 4.0;

/// Least share of the panel.
const LEAST_SHARE: f64 = 0.004;

/// The same of what is brighter than silver (trade figure for what the eye takes for a glare).
const LEAST_BRIGHT_SHARE: f64 = 0.003;

/// Under this share of the panel's level it is bare.
const BARE: f64 = 0.22;

/// Over this share of full silver it is brighter than silver can be.
const BRIGHTER: f32 = 1.1;

/// Least thickness of something bright, mm: more than a drop of 12 mm has.
const LEAST_BRIGHT_THICKNESS_MM: f64 = 8.0;

/// Least contrast of something bright.
const LEAST_BRIGHT_CONTRAST: f64 = 0.03;

/// Share of the smallest box round it, however turned, that something square fills; a disc fills 0.79.
const SQUARE: f64 = 0.9;
const ROUND: f64 = 0.79;

/// Something square and bare is a phone, not a scratch: its least thickness, mm.
const LEAST_SQUARE_MM: f64 = 10.0;

/// Least contrast off the tarnish's way, natural logarithm of a ratio of channels.
const LEAST_HUE: f64 = 0.12;

/// Steps of silver level between thresholds.
const STEP: f32 = 0.03;

/// The strength of the sign.
pub(super) fn strength(panel: &Panel, small: &Small, end: Option<&BoardEnd>) -> f64 {
    let (dark, (bright, coloured)) = rayon::join(
        || dark(small, end),
        || rayon::join(|| bright(small), || coloured(panel)),
    );
    dark.max(bright).max(coloured)
}

fn thresholds(from: f32, to: f32, step: f32) -> Vec<f32> {
    let count = ((to - from) / step) as usize;
    (0..=count).map(|i| from + i as f32 * step).collect()
}

/// How large it is against what is asked, with the side of a cell and the least thickness in mm.
fn size(of: &Plateau, plane: &Plane, (cell_mm, least_mm): (f64, f64), share: f64) -> f64 {
    let thick = (of.thickness * cell_mm / least_mm).min(of.thickness / LEAST_THICKNESS_CELLS);
    thick.min(of.area / (share * plane.len() as f64))
}

fn dark(small: &Small, end: Option<&BoardEnd>) -> f64 {
    let (plane, level) = (&small.coarse, f64::from(small.level));
    let least = 0.5 * LEAST_SHARE * plane.len() as f64;
    let steps = thresholds(0.06 * small.level, 0.96 * small.level, STEP * small.level);
    let mut strongest = 0.0;
    for p in plateaus(plane, &steps, least) {
        let large = size(
            &p,
            plane,
            (small.coarse_mm, LEAST_THICKNESS_MM),
            LEAST_SHARE,
        );
        let most = (p.contrast / level / LEAST_CONTRAST).min(large);
        if most <= strongest || end.is_some_and(|end| end.holds(&p, plane, small.coarse_mm)) {
            continue;
        }
        let mut shape = level_of(&p, plane) / level / BARE;
        if shape < 1.0 && inside(&p, plane) {
            let square = (squareness(&p) - ROUND) / (SQUARE - ROUND);
            shape = shape.max(square.min(p.thickness * small.coarse_mm / LEAST_SQUARE_MM));
        }
        strongest = most.min(shape).max(strongest);
    }
    strongest
}

fn bright(small: &Small) -> f64 {
    let reference = small.level.max(1.0);
    let least = LEAST_BRIGHT_SHARE * small.coarse.len() as f64;
    let over = small.coarse.iter().filter(|s| **s > BRIGHTER * reference);
    let enough = over.count() as f64 / least;
    if enough < 1.0 {
        return enough;
    }
    let plane = small.coarse.mapv(|s| -s / reference);
    let silver = (small.level / reference).max(0.8);
    plateaus(&plane, &thresholds(-1.7, -silver - 0.03, 0.02), 0.5 * least)
        .iter()
        .map(|p| {
            let thick = (small.coarse_mm, LEAST_BRIGHT_THICKNESS_MM);
            (p.contrast / LEAST_BRIGHT_CONTRAST)
                .min(-level_of(p, &plane) / f64::from(BRIGHTER))
                .min(size(p, &plane, thick, LEAST_BRIGHT_SHARE))
        })
        .fold(0.0, f64::max)
}

fn coloured(panel: &Panel) -> f64 {
    let hue = off_tarnish(panel);
    let cell_mm = panel.tone.cell_px as f64 / panel.px_per_mm;
    let halved = hue.nrows().min(hue.ncols()).div_ceil(200).max(1);
    let hue = block_mean(&hue, halved);
    let least = 0.5 * LEAST_SHARE * hue.len() as f64;
    let thick = (cell_mm * halved as f64, LEAST_THICKNESS_MM);
    plateaus(&hue, &thresholds(-0.6, -0.02, 0.03), least)
        .iter()
        .map(|p| (p.contrast / LEAST_HUE).min(size(p, &hue, thick, LEAST_SHARE)))
        .fold(0.0, f64::max)
}

/// How far the colour of each tone cell lies off the way that tarnish takes (red over green up, blue over green down,
/// as 0.37 to −0.93 in logarithms), less than 0 for far; 0 where there is no silver to have one. Bluer than the panel at
/// large is off the way too.
fn off_tarnish(panel: &Panel) -> Plane {
    const WAY: [f32; 2] = [0.37, -0.93];
    let [red, green, blue] = &panel.tone.planes;
    let ratios = |i: (usize, usize)| {
        let [r, g, b] = [red[i], green[i], blue[i]].map(|v| v.max(0.02));
        [(r / g).ln(), (b / g).ln()]
    };
    let most = panel.tone.weight.iter().fold(0.0_f32, |a, b| a.max(*b));
    let known = |i: (usize, usize)| panel.tone.weight[i] > 0.25 * most;
    let middle = [0, 1].map(|k| {
        let cells = panel.tone.weight.indexed_iter().map(|(i, _)| i);
        let mut all: Vec<f32> = cells.filter(|i| known(*i)).map(|i| ratios(i)[k]).collect();
        let at = all.len() / 2;
        if all.is_empty() {
            0.0
        } else {
            *all.select_nth_unstable_by(at, f32::total_cmp).1
        }
    });
    Plane::from_shape_fn(panel.tone.weight.dim(), |i| {
        if !known(i) {
            return 0.0;
        }
        let [red, blue] = ratios(i);
        let (dr, db) = (red - middle[0], blue - middle[1]);
        let aside = (dr * WAY[1] - db * WAY[0]).abs();
        let bluer = db.min(blue);
        -aside.max(bluer)
    })
}

/// It does not touch the rim.
fn inside(of: &Plateau, plane: &Plane) -> bool {
    let (rows, cols) = plane.dim();
    of.runs.iter().all(|(r, first, last)| {
        *r > 0 && *first > 0 && (*r as usize) + 1 < rows && (*last as usize) + 1 < cols
    })
}

/// Middle level inside.
fn level_of(of: &Plateau, plane: &Plane) -> f64 {
    let cells = of
        .runs
        .iter()
        .flat_map(|(r, first, last)| (*first..=*last).map(|c| plane[[*r as usize, c as usize]]));
    let mut levels: Vec<f32> = cells.collect();
    let at = levels.len() / 2;
    f64::from(*levels.select_nth_unstable_by(at, f32::total_cmp).1)
}

/// Share of the smallest box round it, in thirty directions, that it fills.
fn squareness(of: &Plateau) -> f64 {
    (0..30)
        .map(|turn| {
            let (sin, cos) = (f64::from(turn) * 3.0).to_radians().sin_cos();
            let mut reach = [f64::MAX, f64::MIN, f64::MAX, f64::MIN];
            for (r, first, last) in &of.runs {
                let y = f64::from(*r) + 0.5;
                for x in [f64::from(*first) + 0.5, f64::from(*last) + 0.5] {
                    let (u, v) = (x * cos + y * sin, y * cos - x * sin);
                    reach = [
                        reach[0].min(u),
                        reach[1].max(u),
                        reach[2].min(v),
                        reach[3].max(v),
                    ];
                }
            }
            of.area / ((reach[1] - reach[0] + 1.0) * (reach[3] - reach[2] + 1.0))
        })
        .fold(0.0, f64::max)
        .min(1.0)
}
