//! The three shapes that a measure may take against a setting, the simplest first, and where each can be seen in the data.
//!
//! Settings u run from 0, the least tried, to 1, the greatest. A turn that lies between two settings, or far beyond them all,
//! leaves no trace in the data: its place would be a guess, and an interval about it worth nothing. So the form of a curve, c or
//! m and w, is looked for only where the settings show it ([`shows`]).

use std::ops::RangeInclusive;

/// How a measure follows a setting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    /// a + b u: as much more for each step.
    Line,
    /// a + b(1 − exp(−u/c)): less and less more, until no more. a is the measure at the least setting tried.
    Growth,
    /// a + b/(1 + exp(−(u − m)/w)): little at first, then much, then little again.
    Logistic,
}

/// What is left of a rise at the next setting, in powers of e, where it can just be seen: e⁻⁴ is 2 %.
const STEEPEST: f64 = 4.0;
/// Longest c, in spans of the settings: there the curve leaves its chord by 2.5 % of its rise.
const LONGEST_GROWTH: f64 = 5.0;
/// Widest w, in spans of the settings: there the curve about its middle leaves its chord by 1 % of its rise.
const WIDEST_TURN: f64 = 1.0;
/// Values of c or w that are tried, evenly by their logarithm.
const LENGTHS: usize = 16;
/// Places of the middle of a logistic that are tried, evenly.
const MIDDLES: usize = 25;

impl Shape {
    /// All, the simplest first.
    pub const ALL: [Shape; 3] = [Shape::Line, Shape::Growth, Shape::Logistic];

    /// How many parameters it has: a, b, and c or m and w.
    #[must_use]
    pub fn parameters(self) -> usize {
        self as usize + 2
    }

    /// Different settings that must have been tried to see it: one more than its parameters, or they would fit anything.
    #[must_use]
    pub fn settings_needed(self) -> usize {
        self.parameters() + 1
    }

    /// Forms spread over all that [`shows`].
    pub(super) fn forms(self, settings: &[f64]) -> Vec<Vec<f64>> {
        match (self, settings) {
            (Shape::Growth, _) => spread(growths(settings)).map(|c| vec![c]).collect(),
            (Shape::Logistic, [first, .., last]) => (0..MIDDLES)
                .map(|i| first + (last - first) * i as f64 / (MIDDLES - 1) as f64)
                .flat_map(|m| spread(turns(m, settings)).map(move |w| vec![m, w]))
                .collect(),
            _ => vec![vec![]],
        }
    }
}

/// What b multiplies, 0 to 1 for the curves, under a form: c, or m and w, or nothing of a line.
pub(super) fn rise(form: &[f64], u: f64) -> f64 {
    match form {
        [c] => -(-u / c).exp_m1(),
        [m, w] => 1.0 / (1.0 + (-(u - m) / w).exp()),
        _ => u,
    }
}

/// The measure under a, b and a form; and its derivative by each into `slopes`.
pub(super) fn value(parameters: &[f64], u: f64, slopes: &mut [f64]) -> f64 {
    let [a, b, form @ ..] = parameters else {
        return f64::NAN;
    };
    let rise = rise(form, u);
    slopes[..2].copy_from_slice(&[1.0, rise]);
    match form {
        [c] => slopes[2] = -b * (1.0 - rise) * u / (c * c),
        [m, w] => {
            let steepness = b * rise * (1.0 - rise) / w;
            slopes[2..].copy_from_slice(&[-steepness, -steepness * (u - m) / w]);
        }
        _ => {}
    }
    a + b * rise
}

/// Whether the settings, distinct and rising, show a curve of this form: c from a quarter of the first step between them to
/// five spans; m within them, and w from an eighth of the step about m to one span.
pub(super) fn shows(form: &[f64], settings: &[f64]) -> bool {
    match form {
        [c] => growths(settings).contains(c),
        [m, w] => turns(*m, settings).contains(w),
        _ => true,
    }
}

/// Every c that shows.
fn growths(settings: &[f64]) -> RangeInclusive<f64> {
    let step = settings.windows(2).next();
    step.map_or(f64::INFINITY, |s| (s[1] - s[0]) / STEEPEST)..=LONGEST_GROWTH
}

/// Every w that shows about a middle m; none where that lies beyond the settings.
fn turns(m: f64, settings: &[f64]) -> RangeInclusive<f64> {
    let step = settings.windows(2).find(|s| (s[0]..=s[1]).contains(&m));
    step.map_or(f64::INFINITY, |s| (s[1] - s[0]) / 2.0 / STEEPEST)..=WIDEST_TURN
}

/// Lengths over a range, evenly by their logarithm; none of an empty one.
fn spread(range: RangeInclusive<f64>) -> impl Iterator<Item = f64> {
    let (shortest, longest) = range.into_inner();
    let count = if shortest < longest { LENGTHS } else { 0 };
    let share = |i: usize| i as f64 / (LENGTHS - 1) as f64;
    (0..count).map(move |i| shortest * (longest / shortest).powf(share(i)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SETTINGS: [f64; 5] = [0.0, 0.1, 0.3, 0.6, 1.0];

    #[test]
    fn derivatives_are_those_of_small_steps() {
        for parameters in [&[0.3, -1.2][..], &[0.3, 1.2, 0.4], &[0.3, -1.2, 0.4, 0.1]] {
            for u in SETTINGS {
                let mut slopes = vec![0.0; parameters.len()];
                value(parameters, u, &mut slopes);
                for (j, slope) in slopes.iter().enumerate() {
                    let [up, down] = [1e-6, -1e-6].map(|step| {
                        let mut moved = parameters.to_vec();
                        moved[j] += step;
                        value(&moved, u, &mut vec![0.0; moved.len()])
                    });
                    // A central step of 1e-6 is off by about 1e-10, mostly by rounding.
                    assert!(
                        (slope - (up - down) / 2e-6).abs() < 1e-8,
                        "{parameters:?} {u}"
                    );
                }
            }
        }
    }

    #[test]
    fn every_form_that_is_tried_shows_and_a_turn_between_two_settings_or_beyond_them_does_not() {
        for shape in Shape::ALL {
            let forms = shape.forms(&SETTINGS);
            assert!(!forms.is_empty());
            for mut form in forms {
                assert_eq!(form.len() + 2, shape.parameters());
                // The ends of a range are its own but for rounding: a little towards its middle.
                if let Some(length) = form.last_mut() {
                    *length *= if *length > 0.5 { 0.999_999 } else { 1.000_001 };
                }
                assert!(shows(&form, &SETTINGS), "{form:?}");
            }
        }
        assert!(!shows(&[0.02], &SETTINGS) && !shows(&[6.0], &SETTINGS));
        // About 0.8 the settings are 0.4 apart, about 0.05 only 0.1.
        assert!(!shows(&[0.8, 0.04], &SETTINGS) && shows(&[0.05, 0.04], &SETTINGS));
        assert!(!shows(&[1.1, 0.2], &SETTINGS) && !shows(&[0.5, 1.1], &SETTINGS));
    }
}
