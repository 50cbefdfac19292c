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

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use statrs::function::beta::beta_reg;

use super::fitted::Panels;
use super::shape::Shape;

/// How often the measures are dealt out anew. At 0.05 the chance is then known within 0.01.
const DEALS: usize = 1999;
/// Share of the scatter under which nothing is left: beyond it rounding would tell equal deals apart.
const NOTHING_LEFT: f64 = 1e-6;
/// Part of a chance within which two are equal: the same deal in another order of summing.
const SAME: f64 = 1e-8;

/// Chance, over 0 to 1, that panels whose measure does not follow the setting would show as much.
pub(super) fn chance(panels: &Panels, seed: u64) -> f64 {
    let explained = Explained::by(panels);
    let mut measure = panels.measure.clone();
    let seen = explained.least(&measure) * (1.0 + SAME);
    let mut rng = Pcg64::seed_from_u64(seed);
    let as_much = (0..DEALS).filter(|_| {
        for i in (1..measure.len()).rev() {
            measure.swap(i, rng.random_range(0..=i));
        }
        explained.least(&measure) <= seen
    });
    (as_much.count() + 1) as f64 / (DEALS + 1) as f64
}

/// The rises of all forms of a shape over the settings, about their middle and of length 1.
struct Rises {
    parameters: usize,
    each: Vec<Vec<f64>>,
}

struct Explained {
    shapes: Vec<Rises>,
}

impl Explained {
    fn by(panels: &Panels) -> Self {
        let settings = panels.distinct();
        let able = |shape: &Shape| shape.settings_needed() <= settings.len();
        let rises = |shape: Shape| Rises {
            parameters: shape.parameters(),
            each: shape
                .forms(&settings)
                .iter()
                .filter_map(|form| {
                    unit(
                        panels
                            .settings
                            .iter()
                            .map(|u| shape.rise(form, *u))
                            .collect(),
                    )
                })
                .collect(),
        };
        Explained {
            shapes: Shape::ALL.into_iter().filter(able).map(rises).collect(),
        }
    }

    /// The least of the shapes' chances by their F-test.
    fn least(&self, measure: &[f64]) -> f64 {
        let n = measure.len();
        let whole: f64 = measure.iter().map(|v| v * v).sum();
        let chance = |shape: &Rises| {
            let share = |rise: &Vec<f64>| {
                let along: f64 = rise.iter().zip(measure).map(|(r, v)| r * v).sum();
                along * along / whole
            };
            let most = shape.each.iter().map(share).fold(0.0, f64::max);
            let left = (1.0 - most).clamp(NOTHING_LEFT, 1.0);
            let [free, taken] =
                [n - shape.parameters, shape.parameters - 1].map(|d| d as f64 / 2.0);
            beta_reg(free, taken, left)
        };
        self.shapes.iter().map(chance).fold(1.0, f64::min)
    }
}

/// About the middle and of length 1; `None` of what is the same everywhere.
fn unit(mut values: Vec<f64>) -> Option<Vec<f64>> {
    let middle = values.iter().sum::<f64>() / values.len() as f64;
    values.iter_mut().for_each(|v| *v -= middle);
    let length = values.iter().map(|v| v * v).sum::<f64>().sqrt();
    (length > f64::EPSILON).then(|| values.iter().map(|v| v / length).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn panels(measure: &[f64]) -> Panels {
        let last = (measure.len() - 1) as f64;
        let middle = measure.iter().sum::<f64>() / measure.len() as f64;
        Panels {
            settings: (0..measure.len()).map(|i| i as f64 / last).collect(),
            measure: measure.iter().map(|v| v - middle).collect(),
        }
    }

    #[test]
    fn six_panels_in_a_row_are_as_rare_as_two_orders_of_all() {
        // Up or down, 2 of 720: 5.6 of 1999 deals, give or take four times 2.4.
        let chance = chance(&panels(&[1.0, 2.0, 3.0, 4.0, 5.0, 6.0]), 1);
        assert!(chance < (1.0 + 5.6 + 4.0 * 2.4) / 2000.0, "{chance}");
    }

    #[test]
    fn what_rises_and_falls_again_follows_no_shape() {
        assert!(chance(&panels(&[0.0, 1.0, 2.0, 2.0, 1.0, 0.0]), 1) > 0.5);
    }

    #[test]
    fn the_same_seed_deals_the_same() {
        let panels = panels(&[1.0, 3.0, 2.0, 2.5, 4.0, 3.5, 3.0]);
        assert_eq!(chance(&panels, 7).to_bits(), chance(&panels, 7).to_bits());
        // Another 1999 deals: within four standard errors of the difference.
        assert!((chance(&panels, 7) - chance(&panels, 8)).abs() < 4.0 * (0.5 / 2000.0_f64).sqrt());
    }
}
