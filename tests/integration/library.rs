//! The program beside scikit-image and SciPy: the same photos and pictures, the same definitions, other code.
//!
//! `scripts/python scripts/library-figures` wrote `fixtures/library/figures.json`: the figures, the versions of the
//! libraries and where each picture comes from. Nothing in it is taken from the program.

use std::f64::consts::PI;
use std::fs;
use std::path::{Path, PathBuf};
use std::str::FromStr;

use paneprint::fingerprint::metric::metric;
use paneprint::frame::Plane;
use paneprint::measure::Measurements;
use paneprint::ops::label::{Area, label};
use paneprint::ops::reduce::block_mean;
use paneprint::ops::smooth::{gaussian, gradient};
use paneprint::pipeline::{self, Reading};
use paneprint::placement::{Given, Sidecar};
use paneprint::settings::Settings;
use paneprint::stats::axial::Tensor;
use paneprint::units::axial_difference;
use serde_json::{Map, Value};

/// Dark areas are counted from this equal-area diameter up: ten pixels of the coarsest photo.
const LEAST_DIAMETER_MM: f64 = 1.2;

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures")
}

/// The figures of one kind, by name.
fn figures(kind: &str) -> Map<String, Value> {
    let text = fs::read(fixtures().join("library/figures.json")).unwrap();
    let figures: Value = serde_json::from_slice(&text).unwrap();
    figures[kind].as_object().unwrap().clone()
}

/// Entries whose keys are numbers: a blur, a threshold, a cell.
fn by_number<N: FromStr>(entries: &Value) -> impl Iterator<Item = (N, &Value)> {
    let entries = entries.as_object().unwrap().iter();
    entries.map(|(key, value)| (key.parse().ok().unwrap(), value))
}

/// Every figure that lies further from the library's than its tolerance.
#[derive(Default)]
struct Off(Vec<String>);

impl Off {
    fn hold(&mut self, what: &str, difference: f64, tolerance: f64) {
        if difference.is_nan() || difference.abs() > tolerance {
            self.0.push(format!(
                "{what}: off by {difference}, not within {tolerance}"
            ));
        }
    }

    fn none(self) {
        assert!(self.0.is_empty(), "\n{}\n", self.0.join("\n"));
    }
}

/// Areas darker than `limit`.
fn dark_areas(plane: &Plane, limit: f32) -> Vec<Area> {
    let dark_runs = |r: usize, runs: &mut Vec<(u32, u32)>| {
        let row = plane.row(r);
        for (c, _) in (0_u32..).zip(row).filter(|(_, s)| **s < limit) {
            match runs.last_mut() {
                Some((_, last)) if *last + 1 == c => *last = c,
                _ => runs.push((c, c)),
            }
        }
    };
    label(plane.nrows(), dark_runs).areas
}

fn variance(plane: &Plane) -> f64 {
    let n = plane.len() as f64;
    let mean = plane.iter().map(|v| f64::from(*v)).sum::<f64>() / n;
    plane
        .iter()
        .map(|v| (f64::from(*v) - mean).powi(2))
        .sum::<f64>()
        / n
}

/// Reads a fixture's photo, brought to the sharpness of the library's figures, by the first two of its mirror patches: of more the
/// program tells how the light bends, and the library's figures know a slope only.
fn read(name: &str, sharpness_mm: f64) -> Reading {
    let photo = fs::read_dir(fixtures().join(name))
        .unwrap()
        .map(|e| e.unwrap().path());
    let mut photo = photo.filter(|p| p.file_stem().unwrap() == "photo");
    let mut settings = Settings::default();
    settings.measure.standard_blur_mm = sharpness_mm;
    let photo = photo.next().unwrap();
    let mut given = Given::default().or(Sidecar::beside(&photo).unwrap());
    given.patches.truncate(2);
    pipeline::read(&photo, given, None, &settings).unwrap()
}

/// Variance of the silver at a blur: all the scales from there on.
fn variance_at(numbers: &Measurements, blur_mm: f64) -> f64 {
    let scales = numbers.scales.iter();
    let from = scales.filter(|s| s.from_mm > 0.0 && s.from_mm >= blur_mm - 1e-9);
    from.map(|s| s.mean_square).sum()
}

#[test]
fn a_reading_is_what_the_libraries_make_of_the_same_photo() {
    let mut off = Off::default();
    for (name, theirs) in figures("panels") {
        let figure = |key: &str| theirs[key].as_f64().unwrap();
        let sharpness_mm = figure("sharpness_mm");
        let Reading {
            fingerprint,
            measured,
            ..
        } = read(&name, sharpness_mm);
        let px_per_mm = fingerprint.provenance.px_per_mm;
        let ours = |key: &str| metric(key).unwrap().of(&measured.numbers).unwrap().value;

        let mut hold = |key: &str, tolerance| {
            off.hold(&format!("{name} {key}"), ours(key) - figure(key), tolerance);
        };
        // The photo's light is the same to a rounding of JPEG's colours; the rim left out follows the blur.
        hold("coverage", 0.001);
        // The two measure the photo's blur by unlike means, 5 % apart, so they smooth unlike amounts up to the standard.
        hold("dark_fraction", 0.002);
        // Many square millimetres lie near 0.85: a level 0.001 apart moves 0.003 of the area, the blur as much again.
        hold("clear_fraction", 0.006);
        // 3 % of the variance (below) and 0.001 of the coverage.
        hold("aggressiveness", 0.2);
        // Gradients at 0.75 mm, dark spots left out by other rules; the program's strength is also rid of what chance adds,
        // the variance of the resampled arrow. Under 3.2 px/mm its cells are 0.67 mm wide, hardly less than the
        // derivative's blur.
        if px_per_mm > 3.2 {
            let strength = measured.numbers.streak_strength.unwrap();
            let deviation = (strength.high - strength.low) / 2.0 / 1.96;
            let with_chance = (strength.value.powi(2) + 2.0 * deviation.powi(2)).sqrt();
            hold("streak_strength", 0.015 + with_chance - strength.value);
        }
        // Each reads the streaks off other places: half a degree, or a tenth of what such places differ by.
        let angle = measured.numbers.streak_angle.unwrap();
        let turned = axial_difference(figure("streak_angle"), angle.value);
        let tolerance = ((angle.high - angle.low) / 10.0).max(0.5);
        off.hold(&format!("{name} streak_angle"), turned, tolerance);

        let areas = dark_areas(&measured.silver, 0.5);
        let diameter_mm = |a: &&Area| (f64::from(a.pixels) * 4.0 / PI).sqrt() / px_per_mm;
        let dark = areas.iter().filter(|a| diameter_mm(a) >= LEAST_DIAMETER_MM);
        // A contour a tenth of a pixel further in, 0.03 mm, takes 3 % of them under the least diameter; a few just touch.
        let apart = dark.count() as f64 / figure("dark_areas") - 1.0;
        off.hold(&format!("{name} dark areas"), apart, 0.05);

        let whole = theirs["variance"][sharpness_mm.to_string()]
            .as_f64()
            .unwrap();
        for (blur_mm, theirs) in by_number(&theirs["variance"]) {
            let apart = variance_at(&measured.numbers, blur_mm) - theirs.as_f64().unwrap();
            // 5 % of the photo's blur is 3 % of a blur of 0.4 mm and 2 % of the variance there; linear beside cubic
            // resampling shows up to three pixels of the coarsest photo, 1 mm. Beyond, the program's kernel ends at
            // three deviations, and smoothing step by step treats the panel's edges unlike smoothing once.
            let tolerance = if blur_mm <= 1.0 { 0.03 } else { 0.01 };
            let what = format!("{name} variance at {blur_mm} mm");
            off.hold(&what, apart / whole, tolerance);
        }
    }
    off.none();
}

/// A picture of the library, its codes as levels.
fn picture(name: &str) -> Plane {
    let file = fixtures().join(format!("library/{name}.png"));
    let codes = image::open(file).unwrap().into_luma8();
    let (width, height) = codes.dimensions();
    let level = |(r, c): (usize, usize)| {
        let at = |i: usize| u32::try_from(i).unwrap();
        f32::from(codes.get_pixel(at(c), at(r)).0[0]) / 255.0
    };
    Plane::from_shape_fn((height as usize, width as usize), level)
}

#[test]
fn pictures_are_smoothed_as_the_libraries_smooth_them() {
    let mut off = Off::default();
    for (name, theirs) in figures("pictures") {
        let plane = picture(&name);
        let whole = variance(&plane);
        for (sigma, theirs) in by_number(&theirs["variance"]) {
            let apart = variance(&gaussian(&plane, sigma)) - theirs.as_f64().unwrap();
            // The program's kernel ends at three deviations: beyond them lie 0.3 % of a Gaussian.
            off.hold(&format!("{name} at {sigma} px"), apart / whole, 0.003);
        }
    }
    off.none();
}

#[test]
fn pictures_have_the_direction_the_libraries_find() {
    let mut off = Off::default();
    for (name, theirs) in figures("pictures") {
        let plane = picture(&name);
        for (sigma, theirs) in by_number(&theirs["tensor"]) {
            let (down, along) = gradient(&plane, sigma);
            let (rows, cols) = plane.dim();
            let rim = usize::try_from(theirs["rim_px"].as_u64().unwrap()).unwrap();
            let mut tensor = Tensor::default();
            for r in rim..rows - rim {
                for c in rim..cols - rim {
                    tensor.add(f64::from(along[[r, c]]), -f64::from(down[[r, c]]), 1.0);
                }
            }
            let figure = |key: &str| theirs[key].as_f64().unwrap();
            let what = format!("{name} at {sigma} px");
            // Kernels integrated over pixels and cut at three deviations, beside sampled ones: 0.002 of the trace. A weak
            // direction turns more by it: 0.002 / 2 radians over the coherence.
            let coherence = figure("coherence");
            let turned = axial_difference(figure("angle"), tensor.line_axis());
            off.hold(&format!("{what}: angle"), turned, 0.06 / coherence);
            off.hold(
                &format!("{what}: coherence"),
                tensor.coherence() - coherence,
                0.002,
            );
        }
    }
    off.none();
}

#[test]
fn pictures_have_the_dark_areas_the_libraries_count() {
    for (name, theirs) in figures("pictures") {
        let plane = picture(&name);
        for (share, theirs) in by_number(&theirs["dark_areas"]) {
            let mut px: Vec<u64> = dark_areas(&plane, share)
                .iter()
                .map(|a| a.pixels.into())
                .collect();
            px.sort_unstable_by(|a, b| b.cmp(a));
            // Whole pixels: there is nothing to be off by.
            assert_eq!(theirs["count"], px.len(), "{name} under {share}");
            assert_eq!(
                theirs["largest_px"],
                serde_json::json!(px.iter().take(5).collect::<Vec<_>>()),
                "{name} under {share}"
            );
            assert_eq!(
                theirs["squares_px"],
                px.iter().map(|n| n * n).sum::<u64>(),
                "{name} under {share}"
            );
        }
    }
}

#[test]
fn pictures_have_the_block_means_the_libraries_take() {
    let mut off = Off::default();
    for (name, theirs) in figures("pictures") {
        let plane = picture(&name);
        for (cell, theirs) in by_number(&theirs["block_means"]) {
            let ours = block_mean(&plane, cell);
            let theirs = theirs.as_array().unwrap();
            assert_eq!(ours.len(), theirs.len());
            for (i, (a, b)) in ours.iter().zip(theirs).enumerate() {
                let apart = f64::from(*a) - b.as_f64().unwrap();
                // Sums of a thousand f32, and figures of six digits.
                off.hold(&format!("{name}, block {i} of {cell} px"), apart, 2e-6);
            }
        }
    }
    off.none();
}
