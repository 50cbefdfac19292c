//! Speckles: how many dark specks there are and how large; and blots, the dark areas larger than a speckle.
//!
//! A speckle is a connected area (8 neighbours) in which the silver is under half of the level around it, of an
//! equivalent diameter (of the circle of equal area, ISO 9276-6) from the reading's floor up to 6 mm, at the photo's
//! own sharpness. Counted without edge bias: one cut by the top or left edge is left out, one cut by the bottom or
//! right edge is counted. Sizes are weighted by the chance of a speckle that large to lie uncut (Miles 1974,
//! Lantuéjoul): W·H / ((W−w)(H−h)). Zero on a plain mirror. Dust on the glass adds to it.
//!
//! Blur joins neighbours and shrinks small discs. The silver is therefore sharpened by one step of diffusion backwards,
//! s − k∇²s with k = σ²/2, as far as noise allows. A disc's half-way contour then lies a/R inside its edge, with
//! a = σ²/2 for the blur less 0.65 k for the sharpening (the factor from discs blurred and sharpened alike:
//! `scripts/disc-under-blur.py`); that is put back.

use ndarray::Axis;
use serde::{Deserialize, Serialize};

use super::Settings;
use super::line::{self, Line};
use super::quiet::Quiet;
use super::surroundings::Surroundings;
use super::windows::Windows;
use crate::frame::Plane;
use crate::frame::panel::Panel;
use crate::ops::label::{Area, Labels, Run, label};
use crate::stats::bootstrap::{Resamples, dot};
use crate::stats::count::{poisson_limits, uncut_weight};
use crate::units::{Estimate, Measure, Unmeasured};

/// Furthest step of sharpening, px²: beyond it noise would be strengthened more than four times.
const FURTHEST_SHARPENING_PX2: f64 = 0.8;

/// Share of its step by which sharpening undoes the drawing in of a disc's contour.
const SHARPENING_PUTS_BACK: f64 = 0.65;

/// Under this level around it nothing is a speckle: there is hardly any silver to be missing, and half of it is no more than
/// noise and the squares of JPEG make. At 0.1, an edge worn through by nine tenths showed up to 0.3 specks a cm².
const LEAST_LEVEL: f32 = 0.2;

/// Fewest speckles whose sizes mean something.
pub(super) const FEWEST_SIZES: usize = 10;

/// Most that one speckle counts for: on a panel hardly larger than itself the chance of its lying uncut says nothing.
const MOST_WEIGHT: f64 = 10.0;

/// Speckles summed at once on the way to a quantile.
const SOME: usize = 64;

/// Bins of the size histogram a doubling of the diameter.
const BINS_A_DOUBLING: f64 = 8.0;

/// Smallest diameter of the size histogram, mm.
const SMALLEST_BIN_MM: f64 = 0.25;

/// Bins of the size histogram: 0.25 to 8 mm.
const SIZE_BINS: usize = 40;

/// One speckle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speckle {
    /// Row of its centroid in the silver plane, pixels.
    pub row: f64,
    /// Column of its centroid, pixels.
    pub col: f64,
    /// Equivalent diameter, mm.
    pub diameter_mm: f64,
    /// Counts towards the density: not cut by the top or left edge.
    pub counted: bool,
    /// Weight among the sizes; 0 where an edge cuts it.
    pub weight: f64,
}

/// Smallest speckle a reading can be trusted for, mm: the larger of 0.4 mm, 4 pixels and 2.5 deviations of the blur.
#[must_use]
pub fn floor_mm(panel: &Panel, settings: &Settings) -> f64 {
    settings
        .speckle_diameter_mm
        .0
        .max(settings.speckle_least_px / panel.px_per_mm)
        .max(settings.speckle_least_blurs * panel.blur_mm)
}

/// All areas darker than the speckle contrast against the quiet silver around them, large and small.
fn dark_areas(panel: &Panel, quiet: &Quiet, settings: &Settings) -> Labels {
    let (rows, cols) = panel.silver.dim();
    let contrast = settings.speckle_contrast as f32;
    let step = sharpening_px2(panel) as f32;
    let level = Surroundings::quiet(quiet);
    let holes = quiet.holes(cols, settings);
    label(rows, |r, runs| {
        let (mut around, mut row) = (Vec::new(), Vec::new());
        for stretch in &holes[r / quiet.cell_px] {
            around.resize(stretch.len(), 0.0);
            row.resize(stretch.len(), 0.0);
            level.fill_row(r, stretch.start, &mut around);
            sharpened_row(&panel.silver, r, stretch.start, step, &mut row);
            for (s, l) in row.iter_mut().zip(&around) {
                // Under 0 where it is dark; nothing is where there is no silver to be missing.
                let threshold = if *l >= LEAST_LEVEL {
                    contrast * l
                } else {
                    f32::MIN
                };
                *s -= threshold;
            }
            runs_where(&row, stretch.start, 0.0, runs);
        }
    })
}

/// The step of sharpening that this panel's blur asks for, px².
pub(super) fn sharpening_px2(panel: &Panel) -> f64 {
    ((panel.blur_mm * panel.px_per_mm).powi(2) / 2.0).min(FURTHEST_SHARPENING_PX2)
}

/// Row `r` from column `first` on, less `step` times its Laplacian; at the plane's edge the missing neighbour counts as
/// the pixel itself.
fn sharpened_row(plane: &Plane, r: usize, first: usize, step: f32, out: &mut [f32]) {
    let rows = [r.saturating_sub(1), r, (r + 1).min(plane.nrows() - 1)];
    let [Some(above), Some(here), Some(below)] = rows.map(|r| plane.row(r).to_slice()) else {
        return;
    };
    let (last, end) = (here.len() - 1, first + out.len());
    let sharpened = |here: f32, around: f32| here - step * (around - 4.0 * here);
    let inner = first.max(1)..end.min(last).max(first.max(1));
    let (left, right) = (&here[inner.start - 1..], &here[inner.start + 1..]);
    let beside = left.iter().zip(right).map(|(a, b)| a + b);
    let upright = above[inner.clone()].iter().zip(&below[inner.clone()]);
    let around = upright.zip(beside).map(|((a, b), beside)| a + b + beside);
    for ((value, here), around) in out[inner.start - first..]
        .iter_mut()
        .zip(&here[inner])
        .zip(around)
    {
        *value = sharpened(*here, around);
    }
    for c in [0, last].into_iter().filter(|c| (first..end).contains(c)) {
        let beside = here[c.saturating_sub(1)] + here[(c + 1).min(last)];
        out[c - first] = sharpened(here[c], above[c] + below[c] + beside);
    }
}

/// What is dark against the silver around it.
pub(super) struct Dark {
    /// All dark areas.
    pub(super) labels: Labels,
    /// The speckles.
    pub(super) speckles: Vec<Speckle>,
    /// The dark area of each speckle, by its number.
    pub(super) area_of: Vec<usize>,
    /// Lines.
    pub(super) lines: Vec<Line>,
}

impl Dark {
    /// The uncut speckles whose sizes and shapes count, with their areas, and the window each lies in.
    pub(super) fn sized<'a>(
        &'a self,
        windows: &'a Windows,
    ) -> impl Iterator<Item = (&'a Speckle, &'a Area, usize)> {
        let pairs = self.speckles.iter().zip(&self.area_of);
        pairs
            .filter(|(s, _)| s.weight > 0.0)
            .map(|(s, area)| (s, &self.labels.areas[*area], windows.at(s.row, s.col)))
    }
}

/// The speckles of a panel from `floor_mm` up, and its lines.
pub(super) fn find(panel: &Panel, quiet: &Quiet, floor_mm: f64, settings: &Settings) -> Dark {
    let labels = dark_areas(panel, quiet, settings);
    let lines = line::among(&labels, panel, floor_mm, settings);
    let mut line_numbers = lines.iter().map(|line| line.area).peekable();
    let (mut speckles, mut area_of) = (Vec::new(), Vec::new());
    for (number, area) in labels.areas.iter().enumerate() {
        if line_numbers.next_if_eq(&number).is_some() {
            continue;
        }
        if let Some(found) = speckle(area, panel, floor_mm, settings) {
            speckles.push(found);
            area_of.push(number);
        }
    }
    Dark {
        labels,
        speckles,
        area_of,
        lines,
    }
}

/// Appends the runs of a row, given from column `first` on, that lie under `limit`, as (first, last) columns.
fn runs_where(row: &[f32], first: usize, limit: f32, runs: &mut Vec<(u32, u32)>) {
    let mut open: Option<u32> = None;
    for (c, s) in (first as u32..).zip(row) {
        match (open, *s < limit) {
            (None, true) => open = Some(c),
            (Some(start), false) => {
                runs.push((start, c - 1));
                open = None;
            }
            _ => {}
        }
    }
    if let Some(start) = open {
        runs.push((start, (first + row.len()) as u32 - 1));
    }
}

/// How far a disc's contour is drawn in, times its radius, mm².
pub(super) fn drawn_in_mm2(panel: &Panel) -> f64 {
    panel.blur_mm.powi(2) / 2.0
        - SHARPENING_PUTS_BACK * sharpening_px2(panel) / panel.px_per_mm.powi(2)
}

/// Equivalent diameter of an area, mm, with the shrinking by blur put back.
pub(super) fn diameter_mm(area: &Area, panel: &Panel) -> f64 {
    let radius = (f64::from(area.pixels) / std::f64::consts::PI).sqrt() / panel.px_per_mm;
    radius + (radius * radius + 4.0 * drawn_in_mm2(panel)).sqrt()
}

/// Diameter, mm, of the whole of an area that the bottom or right edge cuts, taken for a circle: as wide as the part that
/// is seen where that is more than half of it, and through its chord and its depth where it is less. 0 where none cuts.
fn cut_diameter_mm(area: &Area, panel: &Panel) -> f64 {
    let (rows, cols) = panel.silver.dim();
    let (height, width) = (
        f64::from(area.rows.1 - area.rows.0 + 1),
        f64::from(area.cols.1 - area.cols.0 + 1),
    );
    let whole = |depth: f64, chord: f64| {
        if 2.0 * depth < chord {
            chord * chord / (4.0 * depth) + depth
        } else {
            chord
        }
    };
    let mut diameter_px = 0.0_f64;
    if area.rows.1 as usize + 1 == rows {
        diameter_px = whole(height, width);
    }
    if area.cols.1 as usize + 1 == cols {
        diameter_px = diameter_px.max(whole(width, height));
    }
    diameter_px / panel.px_per_mm
}

fn speckle(area: &Area, panel: &Panel, floor_mm: f64, settings: &Settings) -> Option<Speckle> {
    let diameter_mm = diameter_mm(area, panel).max(cut_diameter_mm(area, panel));
    if diameter_mm < floor_mm || diameter_mm > settings.speckle_diameter_mm.1 {
        return None;
    }
    let (rows, cols) = panel.silver.dim();
    let (last_row, last_col) = ((rows - 1) as u32, (cols - 1) as u32);
    let counted = area.rows.0 > 0 && area.cols.0 > 0;
    let uncut = counted && area.rows.1 < last_row && area.cols.1 < last_col;
    let span = |(first, last): (u32, u32)| (last - first + 1) as usize;
    Some(Speckle {
        row: area.row + 0.5,
        col: area.col + 0.5,
        diameter_mm,
        counted,
        weight: if uncut {
            uncut_weight((rows, cols), (span(area.rows), span(area.cols))).min(MOST_WEIGHT)
        } else {
            0.0
        },
    })
}

/// Speckles per cm² by size, in bins of equal ratio. Readings of unlike floors are compared above the higher one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SizeHistogram {
    /// Lower diameter of each bin, mm, and the upper one of the last.
    pub edges_mm: Vec<f64>,
    /// Speckles per cm² in each bin.
    pub per_cm2: Vec<f64>,
}

impl SizeHistogram {
    /// Speckles per cm² of each bin that lie above a diameter; a bin it cuts counts by its logarithmic share.
    fn above(&self, floor_mm: f64) -> impl Iterator<Item = (f64, f64, f64)> + '_ {
        self.edges_mm
            .windows(2)
            .zip(&self.per_cm2)
            .map(move |(edges, n)| {
                let (low, high) = (edges[0].max(floor_mm).min(edges[1]), edges[1]);
                let share = (high / low).ln() / (high / edges[0]).ln();
                (low, high, n * share)
            })
    }

    /// Speckles per cm² of each bin from this diameter up.
    #[must_use]
    pub fn bins_above(&self, floor_mm: f64) -> Vec<f64> {
        self.above(floor_mm).map(|(_, _, n)| n).collect()
    }

    /// Speckles per cm² of at least this diameter.
    #[must_use]
    pub fn density_above(&self, floor_mm: f64) -> f64 {
        self.above(floor_mm).map(|(_, _, n)| n).sum()
    }

    /// The diameter, mm, that a share `q` of the speckles above a floor stay under; `None` where there are none.
    #[must_use]
    pub fn quantile_above(&self, floor_mm: f64, q: f64) -> Option<f64> {
        let wanted = q * self.density_above(floor_mm);
        let mut sum = 0.0;
        for (low, high, n) in self.above(floor_mm).filter(|(_, _, n)| *n > 0.0) {
            if sum + n >= wanted - 1e-12 {
                return Some(low * (high / low).powf((wanted - sum) / n));
            }
            sum += n;
        }
        None
    }
}

/// What the speckles come to.
pub(super) struct Speckles {
    pub(super) density: Measure,
    pub(super) median: Measure,
    pub(super) p90: Measure,
    pub(super) sizes: SizeHistogram,
    /// Speckles per cm² of each window.
    pub(super) per_window: Vec<f64>,
}

/// Density and sizes, with intervals by resampled windows.
pub(super) fn measure(
    found: &[Speckle],
    panel: &Panel,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Speckles {
    let px_per_cm2 = (10.0 * panel.px_per_mm).powi(2);
    let mut counts = vec![0.0; windows.count()];
    for s in found.iter().filter(|s| s.counted) {
        counts[windows.at(s.row, s.col)] += 1.0;
    }
    let areas: Vec<f64> = windows
        .areas_px()
        .iter()
        .map(|px| px / px_per_cm2)
        .collect();
    let mut sized: Vec<(f64, f64, usize)> = found
        .iter()
        .filter(|s| s.weight > 0.0)
        .map(|s| (s.diameter_mm, s.weight, windows.at(s.row, s.col)))
        .collect();
    sized.sort_by(|a, b| a.0.total_cmp(&b.0));
    let quantile = |q: f64| quantile(&sized, q, windows, resamples);
    Speckles {
        density: resamples
            .and_then(|r| r.ratio(&counts, &areas))
            .ok_or(Unmeasured::PanelTooSmall)
            .map(|density| at_least_poisson(density, counts.iter().sum(), areas.iter().sum())),
        median: quantile(0.5),
        p90: quantile(0.9),
        sizes: histogram(found, panel.area_cm2()),
        per_window: counts.iter().zip(&areas).map(|(n, cm2)| n / cm2).collect(),
    }
}

/// Nothing found in an area still leaves room for a few.
fn at_least_poisson(density: Estimate, count: f64, area_cm2: f64) -> Estimate {
    if count > 0.0 {
        return density;
    }
    Estimate {
        high: poisson_limits(0, 0.95).1 / area_cm2,
        ..density
    }
}

/// The value that a share `q` of the speckles stay under, of (value, weight, window) in order of their values.
pub(super) fn quantile(
    sorted: &[(f64, f64, usize)],
    q: f64,
    windows: &Windows,
    resamples: Option<&Resamples>,
) -> Measure {
    if sorted.len() < FEWEST_SIZES {
        return Err(Unmeasured::TooFewSpeckles);
    }
    let mut weight_of_window = vec![0.0; windows.count()];
    sorted
        .iter()
        .for_each(|(_, weight, window)| weight_of_window[*window] += weight);
    let of =
        |weights: &[f64]| weighted_quantile(sorted, weights, q * dot(weights, &weight_of_window));
    let value = of(&vec![1.0; windows.count()]).ok_or(Unmeasured::TooFewSpeckles)?;
    resamples
        .and_then(|r| r.interval(value, of))
        .ok_or(Unmeasured::PanelTooSmall)
}

/// The value at which the weights, each times its window's, have summed to `wanted`.
fn weighted_quantile(sorted: &[(f64, f64, usize)], weights: &[f64], wanted: f64) -> Option<f64> {
    let weight = |(_, w, window): &(f64, f64, usize)| w * weights[*window];
    let mut before = 0.0;
    for some in sorted.chunks(SOME) {
        // Four sums side by side, so that none waits for the last; then the few among which the quantile lies one by one.
        let mut lanes = [0.0; 4];
        for few in some.chunks(4) {
            lanes
                .iter_mut()
                .zip(few)
                .for_each(|(lane, s)| *lane += weight(s));
        }
        let after = before + lanes.iter().sum::<f64>();
        if after > 0.0 && after >= wanted {
            let mut sum = before;
            let reached = |s: &&(f64, f64, usize)| {
                sum += weight(s);
                sum >= wanted
            };
            return some.iter().find(reached).or(some.last()).map(|s| s.0);
        }
        before = after;
    }
    None
}

fn histogram(found: &[Speckle], area_cm2: f64) -> SizeHistogram {
    let edge = |i: usize| SMALLEST_BIN_MM * (i as f64 / BINS_A_DOUBLING).exp2();
    let mut per_cm2 = vec![0.0; SIZE_BINS];
    for s in found.iter().filter(|s| s.counted) {
        let bin = ((s.diameter_mm / SMALLEST_BIN_MM).log2() * BINS_A_DOUBLING).max(0.0) as usize;
        per_cm2[bin.min(SIZE_BINS - 1)] += 1.0 / area_cm2;
    }
    SizeHistogram {
        edges_mm: (0..=SIZE_BINS).map(edge).collect(),
        per_cm2,
    }
}

/// Share of the area in dark areas (s under 0.5) larger than a speckle, lines left aside.
pub(super) fn blots(
    panel: &Panel,
    dark_places: &Dark,
    quiet: &Quiet,
    windows: &Windows,
    resamples: Option<&Resamples>,
    settings: &Settings,
) -> Measure {
    let dark = settings.dark_below as f32;
    let (rows, cols) = panel.silver.dim();
    let darker = quiet.darker(cols, dark);
    let labels = label(rows, |r, runs| {
        let row = panel.silver.row(r);
        for stretch in &darker[r / quiet.cell_px] {
            let row = row.slice_axis(Axis(0), stretch.clone().into());
            runs_where(row.as_slice().unwrap_or(&[]), stretch.start, dark, runs);
        }
    });
    let mut large: Vec<bool> = labels
        .areas
        .iter()
        .map(|a| diameter_mm(a, panel) > settings.speckle_diameter_mm.1)
        .collect();
    // A cloud may be as long and thin; a line is dark against what is around it too.
    let meets = |a: (u32, u32), b: (u32, u32)| a.0 <= b.1 && b.0 <= a.1;
    let is_line = |area: &Area| {
        let mut lines = dark_places
            .lines
            .iter()
            .map(|l| &dark_places.labels.areas[l.area]);
        lines.any(|l| meets(l.rows, area.rows) && meets(l.cols, area.cols))
    };
    for line in line::among(&labels, panel, settings.speckle_diameter_mm.1, settings) {
        large[line.area] &= !is_line(&labels.areas[line.area]);
    }
    let mut blotted = vec![0.0; windows.count()];
    let blots = labels.runs.iter().filter(|r| large[r.area as usize]);
    spread_over(blots, windows, |_| 1.0, &mut blotted);
    resamples
        .and_then(|r| r.ratio(&blotted, &windows.areas_px()))
        .ok_or(Unmeasured::PanelTooSmall)
}

/// Adds the pixels of runs, each times its share, to the windows they lie in.
pub(super) fn spread_over<'a>(
    runs: impl Iterator<Item = &'a Run>,
    windows: &Windows,
    share: impl Fn(&Run) -> f64,
    sums: &mut [f64],
) {
    let cols = windows.col_ranges();
    for run in runs {
        let first = windows.at(f64::from(run.row) + 0.5, f64::from(run.first) + 0.5);
        // A run may cross windows: each takes its own share.
        for (window, range) in (first..).zip(&cols[first % cols.len()..]) {
            let (a, b) = (
                range.start.max(run.first as usize),
                range.end.min(run.last as usize + 1),
            );
            if a >= b {
                break;
            }
            sums[window] += share(run) * (b - a) as f64;
        }
    }
}
