//! Panels painted for the tests of single measures, by closed forms.

use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;

use super::Settings;
use super::dark::{self, Dark};
use super::quiet::Quiet;
use super::surroundings::Surroundings;
use super::windows::Windows;
use crate::frame::panel::{Panel, Tone};
use crate::frame::{Plane, drawn};
use crate::ops::reduce::block_mean;
use crate::ops::smooth::gaussian;
use crate::stats::bootstrap::Resamples;
use crate::units::{Estimate, Measure};

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
        tone: Tone {
            cell_px: 8,
            planes: [cells.clone(), cells.clone(), cells.clone()],
            weight: cells.mapv(|s| if s >= 0.5 { 64.0 } else { 0.0 }),
        },
        blur_mm,
        ..drawn::panel(silver, PX_PER_MM)
    }
}

/// Points scattered at random over a square, mm.
pub(super) fn scattered(n: usize, side_mm: f64, seed: u64) -> Vec<[f64; 2]> {
    let mut rng = rand_pcg::Pcg64::seed_from_u64(seed);
    (0..n)
        .map(|_| [0, 1].map(|_| rng.random::<f64>() * side_mm))
        .collect()
}

/// Side of an exact panel, pixels: three windows of 8 mm each way.
pub(super) const SIDE_PX: usize = 240;

/// A panel without blur or noise, with all that single measures lean on.
pub(super) struct Exact {
    pub(super) panel: Panel,
    pub(super) settings: Settings,
    pub(super) quiet: Quiet,
    pub(super) dark: Dark,
    pub(super) windows: Windows,
    resamples: Resamples,
}

impl Exact {
    pub(super) fn resamples(&self) -> Option<&Resamples> {
        Some(&self.resamples)
    }
}

/// An exact panel whose silver in row r and column c is as `silver` says.
pub(super) fn exact(silver: impl Fn(usize, usize) -> f32) -> Exact {
    let silver = Plane::from_shape_fn((SIDE_PX, SIDE_PX), |(r, c)| silver(r, c));
    let (panel, settings) = (drawn::panel(silver, PX_PER_MM), Settings::default());
    let quiet = Quiet::new(&panel, &Surroundings::envelope(&panel), &settings);
    let floor_mm = super::speckle::floor_mm(&panel, &settings);
    let windows = Windows::over(&panel, &panel.silver, 1.0);
    Exact {
        dark: dark::find(&panel, &quiet, floor_mm, &settings),
        resamples: Resamples::draw_by_kind(&windows.kinds(), 200, 1).unwrap(),
        panel,
        settings,
        quiet,
        windows,
    }
}

/// Full silver with bare squares: the first row, the first column and the side of each, pixels.
pub(super) fn with_squares(squares: &[[usize; 3]]) -> Exact {
    let within = |at: usize, from: usize, side: usize| (from..from + side).contains(&at);
    let bare = |r: usize, c: usize| {
        let mut all = squares.iter();
        all.any(|[top, left, side]| within(r, *top, *side) && within(c, *left, *side))
    };
    exact(|r, c| f32::from(u8::from(!bare(r, c))))
}

/// Bare squares of a side, pixels, in the middle of every cell of so many by so many over an exact panel.
pub(super) fn squares_all_over(across: usize, side: usize) -> Vec<[usize; 3]> {
    let cell = SIDE_PX / across;
    let at = |i: usize| i * cell + (cell - side) / 2;
    let square = |i: usize| [at(i / across), at(i % across), side];
    (0..across * across).map(square).collect()
}

/// A figure of which nothing is in doubt.
pub(super) fn sure(value: f64) -> Measure {
    Ok(Estimate {
        value,
        low: value,
        high: value,
    })
}

/// Holds a figure to what it must be, to the last few digits.
#[track_caller]
pub(super) fn assert_near(found: Measure, wanted: f64) {
    let value = found.expect("a figure").value;
    assert!((value - wanted).abs() < 1e-6, "{value}, not {wanted}");
}
