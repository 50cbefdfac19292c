//! Which panels stand apart from the rest of their set.
//!
//! Measure by measure, on the scale of its rule: a panel is odd whose modified z is over 3.5 (Iglewicz & Hoaglin 1993), the
//! standard deviation never being taken for less than the panel's own standard error, and which differs from the middle of the
//! set by more than is allowed. So a set that is all but equal has no odd one for a difference nobody sees, and a panel too
//! small to be sure of is not called odd.

use super::FEWEST_FOR_ODD;
use crate::compare::side::Side;
use crate::compare::terms::{Allowances, between_hands, own_allowance};
use crate::fingerprint::metric::{LOOK, Metric, Rule, Topic, amplitude, figures, wholes};
use crate::fingerprint::{Fingerprint, Scatter, apart};
use crate::stats::axial::{mean_axis, mean_direction};
use crate::stats::order::median;
use crate::stats::outlier::{ODD, modified_z_over};
use crate::stats::{NINETY, NINETY_FIVE};
use crate::units::{axial_difference, circular_difference};

/// How sure a difference must be, in standard errors of the panel: the one-sided 95 % point of a difference of two.
const SURELY: f64 = 2.33;

/// One thing that is odd about a panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Odd {
    /// The measure, or the texture.
    pub metric: &'static Metric,
    /// Modified z, under 0 where it has less of it than the others.
    pub z: f64,
}

/// What is odd about each panel, the weightiest first. The same floor for all.
pub(super) fn odd(panels: &[Side<'_>], own: &Allowances) -> Vec<Vec<Odd>> {
    let mut odd = vec![Vec::new(); panels.len()];
    if panels.len() < FEWEST_FOR_ODD {
        return odd;
    }
    let floor = |side: &Side<'_>| side.fingerprint.measurements.speckle_floor_mm;
    let floor_mm = panels.iter().map(floor).fold(0.0, f64::max);
    // The size of clouds leaps from one kind of texture to another; the textures themselves tell of clouds. To which side few
    // specks crowd is chance.
    let measures = figures().filter(|m| !matches!(m.topic, Topic::Clouds | Topic::Crowding));
    let of_measures = measures.map(|metric| {
        let read = |side: &Side<'_>| of_measure(side.fingerprint, metric, floor_mm);
        (metric, panels.iter().map(read).collect())
    });
    for (metric, mut figures) in of_measures.collect::<Vec<(_, Vec<Option<Figure>>)>>() {
        match metric.rule {
            Rule::Axial => unroll(&mut figures, mean_axis, axial_difference),
            Rule::Circular => unroll(&mut figures, mean_direction, circular_difference),
            Rule::Difference | Rule::Ratio => {}
        }
        note(
            metric,
            &figures,
            |middle| allowance(metric, own, metric.off_scale(middle)),
            &mut odd,
        );
    }
    for (texture, blurs) in wholes().filter_map(|row| Some((row, row.blurs_mm()?))) {
        let read = |side: &Side<'_>| {
            let (value, error) = amplitude(side.fingerprint, blurs)?;
            Some(Figure {
                value,
                error,
                hands: 0.0,
            })
        };
        let figures: Vec<Option<Figure>> = panels.iter().map(read).collect();
        note(texture, &figures, |middle| texture.start(middle), &mut odd);
    }
    note(&LOOK, &looks(panels), |_| LOOK.allowance, &mut odd);
    for of_one in &mut odd {
        of_one.sort_by(|a, b| b.z.abs().total_cmp(&a.z.abs()));
    }
    odd
}

/// How far each panel's look lies from those of the others, in the middle of them.
fn looks(panels: &[Side<'_>]) -> Vec<Option<Figure>> {
    let texture = |i: usize| &panels[i].fingerprint.measurements.texture;
    let mut apart = vec![Vec::new(); panels.len()];
    for i in 0..panels.len() {
        for j in i + 1..panels.len() {
            if let Some(two) = apart::apart(texture(i), texture(j)) {
                let [low, high] = two.interval();
                let figure = Figure {
                    value: two.distance(),
                    error: (high - low) / 2.0 / NINETY,
                    hands: 0.0,
                };
                apart[i].push(figure);
                apart[j].push(figure);
            }
        }
    }
    let middle = |mut of_one: Vec<Figure>| {
        of_one.sort_by(|a, b| a.value.total_cmp(&b.value));
        of_one.get(of_one.len() / 2).copied()
    };
    apart.into_iter().map(middle).collect()
}

/// What a measure may differ by: the studio's own figure, else the starting one beside the middle of the set.
fn allowance(metric: &Metric, own: &Allowances, middle: f64) -> f64 {
    let terms = own
        .get(metric.key)
        .map(|figure| own_allowance(metric, *figure));
    terms.unwrap_or_else(|| metric.start(middle))
}

/// A figure on the scale of its rule, and its standard error there.
#[derive(Clone, Copy)]
struct Figure {
    value: f64,
    error: f64,
    /// How far places a hand wide differ on the panel.
    hands: f64,
}

fn of_measure(f: &Fingerprint, metric: &Metric, floor_mm: f64) -> Option<Figure> {
    let e = crate::compare::floor::at_floor(f, metric, floor_mm).ok()?;
    let (below, above) = metric.arms(e);
    let rig = f.scatter(metric).map_or(0.0, Scatter::half_width);
    Some(Figure {
        value: metric.on_scale(e.value),
        error: below.max(above).hypot(rig) / NINETY_FIVE,
        hands: between_hands(metric, e, f.measurements.area_cm2),
    })
}

/// Axes or directions as turns from their mean, so that 179° and 1° are neighbours, or 359° and 1°.
fn unroll(
    figures: &mut [Option<Figure>],
    mean: fn(&[f64]) -> f64,
    difference: fn(f64, f64) -> f64,
) {
    let all: Vec<f64> = figures.iter().flatten().map(|f| f.value).collect();
    let middle = mean(&all);
    for figure in figures.iter_mut().flatten() {
        figure.value = difference(middle, figure.value);
    }
}

/// Notes for each panel whether a figure of it is odd among the others'.
fn note(
    metric: &'static Metric,
    figures: &[Option<Figure>],
    allowance: impl Fn(f64) -> f64,
    odd: &mut [Vec<Odd>],
) {
    let values: Vec<f64> = figures.iter().flatten().map(|f| f.value).collect();
    let Some(middle) = median(&mut values.clone()).filter(|_| values.len() >= FEWEST_FOR_ODD)
    else {
        return;
    };
    let allowed = allowance(middle);
    let mut place = 0;
    for (panel, figure) in figures.iter().enumerate() {
        let Some(figure) = figure else { continue };
        let differs = (figure.value - middle).abs();
        let allowed = allowed.max(metric.allowance_places * figure.hands);
        let least = (SURELY * figure.error).max(allowed) / ODD;
        let z = modified_z_over(&values, least).map_or(0.0, |z| z[place]);
        // A look is a distance: the odd one lies further off, never nearer.
        let odd_way = metric.is_figure() || metric.blurs_mm().is_some() || z > 0.0;
        if z.abs() > ODD && differs > allowed && odd_way {
            odd[panel].push(Odd { metric, z });
        }
        place += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingerprint::metric::COVERAGE;

    fn found(values: &[f64], error: f64) -> Vec<usize> {
        let figures: Vec<Option<Figure>> = values
            .iter()
            .map(|v| {
                Some(Figure {
                    value: *v,
                    error,
                    hands: 0.0,
                })
            })
            .collect();
        let mut odd = vec![Vec::new(); values.len()];
        note(&COVERAGE, &figures, |_| 0.06, &mut odd);
        (0..values.len()).filter(|i| !odd[*i].is_empty()).collect()
    }

    const ALIKE: [f64; 6] = [0.80, 0.81, 0.79, 0.80, 0.815, 0.795];

    #[test]
    fn one_that_stands_apart_is_odd_and_two_are() {
        let with = |odd: &[f64]| [&ALIKE[..], odd].concat();
        assert!(found(&ALIKE, 0.005).is_empty());
        assert_eq!(found(&with(&[0.65]), 0.005), [6]);
        assert_eq!(found(&with(&[0.65, 0.95]), 0.005), [6, 7]);
    }

    #[test]
    fn what_nobody_sees_or_nobody_knows_is_not_odd() {
        // Far out among equal figures, but under the allowance.
        assert!(found(&[0.8, 0.8, 0.8, 0.8, 0.85], 0.001).is_empty());
        // Over the allowance, but on a panel known no better than that.
        assert!(found(&[0.8, 0.8, 0.8, 0.8, 0.7], 0.06).is_empty());
        assert_eq!(found(&[0.8, 0.8, 0.8, 0.8, 0.7], 0.01), [4]);
    }

    #[test]
    fn where_all_differ_none_is_odd() {
        assert!(found(&[0.5, 0.6, 0.7, 0.8, 0.9], 0.01).is_empty());
    }

    #[test]
    fn axes_about_the_half_turn_are_neighbours() {
        let mut figures: Vec<Option<Figure>> = [179.0, 1.0, 2.0, 178.0]
            .map(|value| {
                Some(Figure {
                    value,
                    error: 1.0,
                    hands: 0.0,
                })
            })
            .to_vec();
        unroll(&mut figures, mean_axis, axial_difference);
        assert!(figures.iter().flatten().all(|f| f.value.abs() < 3.0));
    }
}
