//! Where a photo shows the three large squares of a QR code: dark and light in the proportions 1 : 1 : 3 : 1 : 1 along any
//! line through their middle (ISO/IEC 18004). Some rows are looked through; what they show is looked at across as well.

use rayon::prelude::*;

use crate::frame::photo::{Photo, Samples};
use crate::frame::quad::Point;

/// Rows from one that is looked through to the next. The middle of a square is three modules high.
const ROW_STEP: usize = 5;

/// Pixels whose darkest and brightest codes are taken together; three such stretches decide what is dark in the middle one.
const STRETCH: usize = 32;

/// Difference of the codes, 0 to 255, of ink and paper at least.
const CONTRAST: u8 = 40;

/// A run may differ from its proportion by this share of a module.
const TOLERANCE: f32 = 0.6;

/// More squares than this are a pattern, not marks.
const MOST: usize = 600;

/// A square of a code.
#[derive(Debug, Clone, Copy)]
pub(super) struct Finder {
    /// Its middle, pixels.
    pub(super) at: Point,
    /// Mean side of a module, pixels.
    pub(super) module_px: f64,
}

/// The squares in the photo.
pub(super) fn finders(photo: &Photo) -> Vec<Finder> {
    let seen: Vec<Vec<Finder>> = (0..photo.height / ROW_STEP)
        .into_par_iter()
        .map_init(
            || vec![0; photo.width],
            |codes, i| in_row(photo, i * ROW_STEP, codes),
        )
        .collect();
    let mut merged: Vec<(Finder, f64)> = Vec::new();
    for one in seen.into_iter().flatten() {
        let near = |(f, _): &&mut (Finder, f64)| {
            (f.at[0] - one.at[0]).hypot(f.at[1] - one.at[1]) < 2.0 * f.module_px
        };
        if let Some((known, count)) = merged.iter_mut().rev().take(MOST).find(near) {
            let mean = |old: f64, new: f64| (old * *count + new) / (*count + 1.0);
            known.at = [mean(known.at[0], one.at[0]), mean(known.at[1], one.at[1])];
            known.module_px = mean(known.module_px, one.module_px);
            *count += 1.0;
        } else {
            merged.push((one, 1.0));
        }
    }
    if merged.len() > MOST {
        // A real square is met by several rows, chance is not.
        merged.sort_by(|a, b| b.1.total_cmp(&a.1));
        merged.truncate(MOST);
    }
    merged.into_iter().map(|(finder, _)| finder).collect()
}

/// Brightness of a pixel as stored, 0 to 255: luma, or green.
fn code(photo: &Photo, row: usize, col: usize) -> u8 {
    let first = 3 * (row * photo.width + col);
    match &photo.samples {
        Samples::Eight(codes) => codes[first + 1],
        Samples::Sixteen(codes) => codes[first + 1].to_be_bytes()[0],
        Samples::LumaChroma(codes) => codes[first],
    }
}

fn read_row(photo: &Photo, row: usize, codes: &mut [u8]) {
    let range = 3 * row * photo.width..3 * (row + 1) * photo.width;
    let copy = |from: &[u8], channel: usize, codes: &mut [u8]| {
        for (code, pixel) in codes.iter_mut().zip(from.as_chunks::<3>().0) {
            *code = pixel[channel];
        }
    };
    match &photo.samples {
        Samples::Eight(from) => copy(&from[range], 1, codes),
        Samples::LumaChroma(from) => copy(&from[range], 0, codes),
        Samples::Sixteen(_) => (0..photo.width).for_each(|c| codes[c] = code(photo, row, c)),
    }
}

/// The squares a row runs through.
fn in_row(photo: &Photo, row: usize, codes: &mut [u8]) -> Vec<Finder> {
    read_row(photo, row, codes);
    let ends: Vec<[u8; 2]> = codes.chunks(STRETCH).map(darkest_and_brightest).collect();
    let mut found = Vec::new();
    let mut edges = [0.0_f32; 6];
    let mut dark = false;
    for (i, stretch) in codes.chunks(STRETCH).enumerate() {
        let about = &ends[i.saturating_sub(1)..(i + 2).min(ends.len())];
        let [low, high] = about
            .iter()
            .fold([255, 0], |[l, h], e| [l.min(e[0]), h.max(e[1])]);
        let level = low.midpoint(high);
        let steady = if dark {
            ends[i][1] < level
        } else {
            ends[i][0] >= level
        };
        if high - low < CONTRAST || steady {
            continue;
        }
        for (j, value) in stretch.iter().enumerate() {
            if (*value < level) == dark {
                continue;
            }
            dark = !dark;
            let at = i * STRETCH + j;
            edges.rotate_left(1);
            edges[5] = crossing(at, codes[at.saturating_sub(1)], *value, level);
            if !dark && in_proportion(&edges).is_some() {
                found.extend(across(photo, row, &edges, level));
            }
        }
    }
    found
}

fn darkest_and_brightest(stretch: &[u8]) -> [u8; 2] {
    stretch
        .iter()
        .fold([255, 0], |[l, h], v| [l.min(*v), h.max(*v)])
}

/// Where the codes of pixel `at` and the one before it pass the level.
fn crossing(at: usize, before: u8, after: u8, level: u8) -> f32 {
    let (b, a, l) = (f32::from(before), f32::from(after), f32::from(level));
    let share = if (a - b).abs() < 1.0 {
        0.5
    } else {
        (l - b) / (a - b)
    };
    at as f32 - 0.5 + share.clamp(0.0, 1.0)
}

/// Side of a module where six edges lie as those of a square do.
fn in_proportion(edges: &[f32; 6]) -> Option<f32> {
    let module = (edges[5] - edges[0]) / 7.0;
    let fits = |i: usize, modules: f32| {
        let off = edges[i + 1] - edges[i] - modules * module;
        off.abs() < TOLERANCE * module * modules.sqrt()
    };
    let all = [1.0, 1.0, 3.0, 1.0, 1.0];
    let fits = module > 1.5 && all.iter().enumerate().all(|(i, m)| fits(i, *m));
    fits.then_some(module)
}

/// The square a row has met, where it is one also downwards, and across again at the height found.
fn across(photo: &Photo, row: usize, edges: &[f32; 6], level: u8) -> Option<Finder> {
    let wide = in_proportion(edges)?;
    let x = f32::midpoint(edges[2], edges[3]);
    let col = x as usize;
    let (y, tall) = along(row, photo.height, wide, level, |r| code(photo, r, col))?;
    let row = y as usize;
    let (x, wide) = along(col, photo.width, tall, level, |c| code(photo, row, c))?;
    let alike = wide < 1.5 * tall && tall < 1.5 * wide;
    alike.then(|| Finder {
        at: [f64::from(x), f64::from(y)],
        module_px: f64::from(wide.midpoint(tall)),
    })
}

/// Middle and module of the square that a line through `start`, inside its dark middle, shows.
fn along(
    start: usize,
    end: usize,
    module: f32,
    level: u8,
    at: impl Fn(usize) -> u8,
) -> Option<(f32, f32)> {
    let reach = (7.0 * module) as usize;
    let mut edges = [0.0; 6];
    for (way, slots) in [(-1, [2, 1, 0]), (1, [3, 4, 5])] {
        let mut here = start;
        let mut dark = true;
        for slot in slots {
            loop {
                let next = here.checked_add_signed(way).filter(|n| *n < end)?;
                if next.abs_diff(start) > reach {
                    return None;
                }
                let (before, after) = (at(here), at(next));
                let (first, codes) = if way < 0 {
                    (here, [after, before])
                } else {
                    (next, [before, after])
                };
                here = next;
                if (after < level) != dark {
                    edges[slot] = crossing(first, codes[0], codes[1], level);
                    dark = !dark;
                    break;
                }
            }
        }
    }
    let found = in_proportion(&edges)?;
    Some((f32::midpoint(edges[2], edges[3]), found))
}
