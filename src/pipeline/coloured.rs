//! The colour of a panel back from what was kept of it: light from the silver map, hue and chroma from the tints.

use ndarray::Array2;

use crate::frame::panel::{Colour, ColourCell, REMAINS, Tints, Tone};
use crate::frame::{Plane, piece};
use crate::ops::transfer::of_one_light;

/// Silver at and above this level has a tone, as when a photo is read.
const HAS_TONE: f32 = 0.5;

/// Colour and tone; none of either where no tints were kept, or they are not this map's.
pub(super) fn of(silver: &Plane, tints: Option<&Tints>) -> (Colour, Tone) {
    let (rows, cols) = silver.dim();
    let nothing = || Plane::zeros((1, 1));
    let fits = tints.and_then(|t| Some((t, t.cell_px(rows, cols)?)));
    let Some((tints, cell_px)) = fits else {
        let tone = Tone {
            cell_px: rows.max(cols),
            planes: [nothing(), nothing(), nothing()],
            weight: nothing(),
        };
        return (Colour::none(), tone);
    };
    let shape = tints.0.dim();
    let mut cells = Array2::default(shape);
    let none = || Plane::zeros(shape);
    let (mut planes, mut weight) = ([none(), none(), none()], none());
    for ((i, j), tint) in tints.0.indexed_iter() {
        let light = of_one_light(*tint);
        let ends = [(i, rows), (j, cols)].map(|(at, n)| at * cell_px..((at + 1) * cell_px).min(n));
        let [down, across] = ends;
        let block = piece(silver, down, across);
        let mean_from = |level: f32| {
            let (sum, count) = block
                .iter()
                .filter(|s| **s >= level)
                .fold((0.0, 0.0), |(sum, count), s| (sum + s, count + 1.0_f32));
            (sum / count.max(1.0), count)
        };
        let (left, pixels) = mean_from(REMAINS);
        cells[[i, j]] = ColourCell {
            silver: light.map(|v| v * left),
            remains: pixels / block.len().max(1) as f32,
            tint: *tint,
        };
        let (toned, pixels) = mean_from(HAS_TONE);
        for (plane, v) in planes.iter_mut().zip(light) {
            plane[[i, j]] = v * toned;
        }
        weight[[i, j]] = pixels;
    }
    let tone = Tone {
        cell_px,
        planes,
        weight,
    };
    (Colour { cell_px, cells }, tone)
}
