//! Panels painted for the tests of single measures, by closed forms.

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;

use crate::frame::Plane;
use crate::frame::panel::{Colour, Panel, SilverScale, Tone};
use crate::frame::placement::Side;
use crate::ops::reduce::block_mean;
use crate::ops::smooth::gaussian;
use crate::quality::FlagSet;
use crate::units::SizeMm;

/// Resolution, px/mm.
pub(super) const PX_PER_MM: f64 = 10.0;

/// Points of the paint along a pixel.
const FINER: usize = 3;

/// A square panel of so many millimetres whose silver at (x, y) mm right of and below its top left corner is as `silver`
/// says, blurred by so many millimetres, with a noise of 0.5 %.
pub(super) fn panel(side_mm: f64, blur_mm: f64, silver: impl Fn(f64, f64) -> f64) -> Panel {
    let fine = PX_PER_MM * FINER as f64;
    let n = (side_mm * fine) as usize;
    let paint = Plane::from_shape_fn((n, n), |(r, c)| {
        silver((c as f64 + 0.5) / fine, (r as f64 + 0.5) / fine) as f32
    });
    // The pixel's own square is a part of the blur.
    let own = (1.0 - 1.0 / (FINER * FINER) as f64) / 12.0 / (PX_PER_MM * PX_PER_MM);
    let blurred = gaussian(&paint, (blur_mm * blur_mm - own).sqrt() * fine);
    let mut silver = block_mean(&blurred, FINER);
    let mut rng = rand_pcg::Pcg64::seed_from_u64(5);
    silver.mapv_inplace(|s| s + 0.005 * rng.sample::<f32, _>(StandardNormal));
    let cells = block_mean(&silver, 8);
    Panel {
        rim_mm: 0.0,
        tone: Tone {
            cell_px: 8,
            planes: [cells.clone(), cells.clone(), cells.clone()],
            weight: cells.mapv(|s| if s >= 0.5 { 64.0 } else { 0.0 }),
        },
        colour: Colour::none(),
        silver,
        size: SizeMm {
            width: side_mm,
            height: side_mm,
        },
        px_per_mm: PX_PER_MM,
        blur_mm,
        side: Side::Front,
        stage: None,
        silver_scale: SilverScale::Plain,
        light_doubt: 0.0,
        flags: FlagSet::default(),
        steps: Vec::new(),
    }
}

/// Points scattered at random over a square, mm.
pub(super) fn scattered(n: usize, side_mm: f64, seed: u64) -> Vec<[f64; 2]> {
    let mut rng = rand_pcg::Pcg64::seed_from_u64(seed);
    (0..n)
        .map(|_| [0, 1].map(|_| rng.random::<f64>() * side_mm))
        .collect()
}
