//! Whether a measure follows a setting at all: the chance that as much would be seen if it did not.
//!
//! If the setting did nothing, any panel could as well have got any other's measure. So the measures are dealt out anew, again
//! and again, and it is counted how often some shape then explains as much as it does in truth: (k + 1)/(m + 1) for k of m
//! (Phipson & Smyth 2010, Stat. Appl. Genet. Mol. Biol. 9, 39). What a shape explains is measured by its F-test against a constant,
//! for a share of R² taken by p parameters of n panels the chance I₁₋ᵣ²((n − p)/2, (p − 1)/2), and the least of the shapes' is taken
//! (Westfall & Young 1993, "Resampling-Based Multiple Testing").
//!
//! The F-test alone, of the shape that was chosen, would promise too much: it does not know that shapes were chosen from, nor
//! that the turn of a curve has no place where there is no effect (Davies 1987, Biometrika 74, 33–43). Dealing knows both, and
//! does not ask that errors be normal.

use rand::SeedableRng;
use rand::seq::SliceRandom;
use rand_pcg::Pcg64;
use statrs::function::beta::beta_reg;

use super::fitted::{Panels, along};
use super::shape::Shape;

/// How often the measures are dealt out anew. At 0.05 the chance is then known within 0.01.
const DEALS: usize = 1999;
/// Share of the scatter under which nothing is left: beyond it rounding would tell equal deals apart.
const NOTHING_LEFT: f64 = 1e-6;
/// Part of a chance within which two are equal: the same deal in another order of summing.
const SAME: f64 = 1e-8;

/// Chance, over 0 to 1, that panels whose measure does not follow the setting would show as much.
pub(super) fn chance(panels: &Panels, seed: u64) -> f64 {
    let settings = panels.distinct();
    let able = |shape: &Shape| shape.settings_needed() <= settings.len();
    let rises = |shape: Shape| {
        let forms = shape.forms(&settings).into_iter();
        (
            shape.parameters(),
            forms.filter_map(|form| panels.rises(&form)).collect(),
        )
    };
    let shapes: Vec<(usize, Vec<Vec<f64>>)> =
        Shape::ALL.into_iter().filter(able).map(rises).collect();
    let whole: f64 = panels.measure.iter().map(|v| v * v).sum();
    // The least of the shapes' chances by their F-test.
    let least = |measure: &[f64]| {
        let by_f_test = |(parameters, rises): &(usize, Vec<Vec<f64>>)| {
            let most = rises
                .iter()
                .map(|rises| along(rises, measure))
                .fold(0.0, f64::max);
            let left = (1.0 - most * most / whole).clamp(NOTHING_LEFT, 1.0);
            let [free, taken] =
                [measure.len() - parameters, parameters - 1].map(|d| d as f64 / 2.0);
            beta_reg(free, taken, left)
        };
        shapes.iter().map(by_f_test).fold(1.0, f64::min)
    };
    let seen = least(&panels.measure) * (1.0 + SAME);
    let mut measure = panels.measure.clone();
    let mut rng = Pcg64::seed_from_u64(seed);
    let as_much = (0..DEALS).filter(|_| {
        measure.shuffle(&mut rng);
        least(&measure) <= seen
    });
    (as_much.count() + 1) as f64 / (DEALS + 1) as f64
}
