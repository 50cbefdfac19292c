//! The three shapes that a measure may take against a setting, the simplest first, and where each can be seen in the data.
//!
//! Settings u run from 0, the least tried, to 1, the greatest. A turn that lies between two settings, or far beyond them all,
//! leaves no trace in the data: its place would be a guess, and an interval about it worth nothing. So the form of a curve is
//! looked for only where the settings show it ([`Shape::shows`]).

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

    /// Its parameters: a, b, and c or m and w.
    #[must_use]
    pub fn parameters(self) -> usize {
        match self {
            Shape::Line => 2,
            Shape::Growth => 3,
            Shape::Logistic => 4,
        }
    }

    /// Different settings that must have been tried to see it: one more than its parameters, or they would fit anything.
    #[must_use]
    pub fn settings_needed(self) -> usize {
        self.parameters() + 1
    }

    /// What b multiplies, 0 to 1 for the curves, under the `form` c or m and w.
    pub(super) fn rise(self, form: &[f64], u: f64) -> f64 {
        match (self, form) {
            (Shape::Growth, [c, ..]) => -(-u / c).exp_m1(),
            (Shape::Logistic, [m, w, ..]) => 1.0 / (1.0 + (-(u - m) / w).exp()),
            _ => u,
        }
    }

    /// Its value under a, b and the form, and its derivative by each.
    pub(super) fn value(self, parameters: &[f64], u: f64, slopes: &mut [f64]) -> f64 {
        let [a, b, form @ ..] = parameters else {
            return f64::NAN;
        };
        let rise = self.rise(form, u);
        slopes[0] = 1.0;
        slopes[1] = rise;
        match (self, form) {
            (Shape::Growth, [c]) => slopes[2] = -b * (1.0 - rise) * u / (c * c),
            (Shape::Logistic, [m, w]) => {
                let steepness = b * rise * (1.0 - rise) / w;
                slopes[2] = -steepness;
                slopes[3] = -steepness * (u - m) / w;
            }
            _ => {}
        }
        a + b * rise
    }

    /// Whether the settings, distinct and rising, show a curve of this form: c from a quarter of the first step between them
    /// to five spans; m within them, and w from an eighth of the step about m to one span.
    pub(super) fn shows(self, form: &[f64], settings: &[f64]) -> bool {
        match (self, form) {
            (Shape::Line, _) => true,
            (Shape::Growth, [c]) => *c >= shortest_growth(settings) && *c <= LONGEST_GROWTH,
            (Shape::Logistic, [m, w]) => *w >= sharpest_turn(*m, settings) && *w <= WIDEST_TURN,
            _ => false,
        }
    }

    /// Forms spread over all that [`Self::shows`].
    pub(super) fn forms(self, settings: &[f64]) -> Vec<Vec<f64>> {
        match self {
            Shape::Line => vec![vec![]],
            Shape::Growth => lengths(shortest_growth(settings), LONGEST_GROWTH)
                .map(|c| vec![c])
                .collect(),
            Shape::Logistic => {
                let [first, span] = ends(settings);
                (0..MIDDLES)
                    .map(|i| first + span * i as f64 / (MIDDLES - 1) as f64)
                    .flat_map(|m| {
                        lengths(sharpest_turn(m, settings), WIDEST_TURN).map(move |w| vec![m, w])
                    })
                    .collect()
            }
        }
    }
}

/// The first of the settings, and how far the last is from it.
fn ends(settings: &[f64]) -> [f64; 2] {
    match settings {
        [first, .., last] => [*first, last - first],
        _ => [0.0, 0.0],
    }
}

fn shortest_growth(settings: &[f64]) -> f64 {
    match settings {
        [first, second, ..] => (second - first) / STEEPEST,
        _ => f64::INFINITY,
    }
}

/// Least w about a middle m; endless where it lies beyond the settings.
fn sharpest_turn(m: f64, settings: &[f64]) -> f64 {
    let step = settings.windows(2).find(|s| (s[0]..=s[1]).contains(&m));
    step.map_or(f64::INFINITY, |s| (s[1] - s[0]) / 2.0 / STEEPEST)
}

/// Lengths from the shortest to the longest, evenly by their logarithm; none where there is nothing between them.
fn lengths(shortest: f64, longest: f64) -> impl Iterator<Item = f64> {
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
        for (shape, parameters) in [
            (Shape::Line, vec![0.3, -1.2]),
            (Shape::Growth, vec![0.3, 1.2, 0.4]),
            (Shape::Logistic, vec![0.3, -1.2, 0.4, 0.1]),
        ] {
            assert_eq!(parameters.len(), shape.parameters());
            for u in SETTINGS {
                let mut slopes = vec![0.0; parameters.len()];
                shape.value(&parameters, u, &mut slopes);
                for (j, slope) in slopes.iter().enumerate() {
                    let [up, down] = [1e-6, -1e-6].map(|step| {
                        let mut moved = parameters.clone();
                        moved[j] += step;
                        shape.value(&moved, u, &mut vec![0.0; moved.len()])
                    });
                    // A central step of 1e-6 is off by about 1e-10, mostly by rounding.
                    assert!(
                        (slope - (up - down) / 2e-6).abs() < 1e-8,
                        "{shape:?} {u} {j}"
                    );
                }
            }
        }
    }

    #[test]
    fn every_form_that_is_tried_is_one_that_shows() {
        for shape in Shape::ALL {
            let forms = shape.forms(&SETTINGS);
            assert!(!forms.is_empty());
            for form in forms {
                // The ends of a range are its own but for rounding.
                let inward: Vec<f64> = match form[..] {
                    [c] => vec![c.clamp(0.025 * 1.000_001, LONGEST_GROWTH * 0.999_999)],
                    [m, w] => vec![m, (w * 1.000_001).min(0.999_999)],
                    _ => form,
                };
                assert!(shape.shows(&inward, &SETTINGS), "{shape:?} {inward:?}");
            }
        }
    }

    #[test]
    fn a_turn_between_two_settings_or_beyond_them_does_not_show() {
        let shows = |shape: Shape, form: &[f64]| shape.shows(form, &SETTINGS);
        assert!(!shows(Shape::Growth, &[0.02]) && !shows(Shape::Growth, &[6.0]));
        // About 0.8 the settings are 0.4 apart, about 0.05 only 0.1.
        assert!(!shows(Shape::Logistic, &[0.8, 0.04]) && shows(Shape::Logistic, &[0.05, 0.04]));
        assert!(!shows(Shape::Logistic, &[1.1, 0.2]) && !shows(Shape::Logistic, &[0.5, 1.1]));
    }
}
