//! Speckle rows: how strictly the specks lie in straight, evenly spaced rows.
//!
//! The power of the specks' centres, |Σ exp(2πi f·x)|²/n (Bartlett 1964), for waves 2 to 14 mm long in all directions, in
//! fields about 40 mm wide, averaged over the fields so that rows may wander. Points anywhere have a power of 1; points that
//! lie in rows a wavelength apart have up to n, and n times the square of their visibility in between. Points that keep
//! apart, or clump, have more or less power at a wavelength, but in all directions alike: that mean over the directions is
//! what a direction must stand out from, and chance is a gamma variable about it. *Rows* is the visibility √((P − 1)/(n − 1))
//! of the wave that stands out most, and 0 where chance often shows one as strong: 0 no rows, 1 ruled lines. Most panels have
//! exactly 0.

use rayon::prelude::*;
use statrs::distribution::{ContinuousCDF, Gamma};

use super::Settings;
use super::speckle::Speckle;
use crate::frame::panel::Panel;
use crate::stats::bootstrap::{Resamples, dot};
use crate::units::{Estimate, Measure, Unmeasured};

/// Side of a field, mm: three rows at the widest.
const FIELD_MM: f64 = 40.0;

/// Most fields along a side; on a larger panel they lie apart.
const MOST_FIELDS: usize = 6;

/// Waves looked for, mm.
const WAVES_MM: (f64, f64) = (2.0, 14.0);

/// Steps of the frequency in the inverse of a field: waves half a step off lose a fifth of their power.
const STEPS_A_FIELD: f64 = 2.0;

/// Directions tried.
const DIRECTIONS: usize = 60;

/// The strongest wave is then looked for between those tried, so many times as finely.
const FINER: usize = 4;

/// Chance that specks anywhere show rows.
const CHANCE: f64 = 0.01;

/// Waves tried that are strangers to each other, as a share of all tried: neighbours in frequency and direction are alike.
const STRANGERS: f64 = 0.25;

/// A field of fewer specks says nothing.
const FEWEST_IN_FIELD: usize = 6;

/// Fewest fields for an interval.
const FEWEST_FIELDS: usize = 4;

/// The specks' places in a field, from its middle, mm, y up.
type Field = Vec<[f64; 2]>;

/// Strength of rows among the counted speckles, with its interval by resampled fields.
pub(super) fn measure(found: &[Speckle], panel: &Panel, settings: &Settings) -> Measure {
    let fields = fields(found, panel);
    if fields.len() < FEWEST_FIELDS {
        return Err(Unmeasured::TooFewSpeckles);
    }
    let first = 1.0 / WAVES_MM.1;
    let step = 1.0 / (STEPS_A_FIELD * FIELD_MM);
    let waves = ((1.0 / WAVES_MM.0 - first) / step) as usize + 1;
    let powers: Vec<Vec<Vec<f64>>> = (0..DIRECTIONS)
        .into_par_iter()
        .map(|d| {
            let (sin, cos) = (std::f64::consts::PI * d as f64 / DIRECTIONS as f64).sin_cos();
            let of = |field: &Field| powers(field, [cos, sin], (first, step, waves));
            fields.iter().map(of).collect()
        })
        .collect();
    let n = fields.len() as f64;
    let mean = |d: usize, wave: usize| powers[d].iter().map(|field| field[wave]).sum::<f64>() / n;
    // The strongest wave against the mean of its own length.
    let mut best = (0.0, 0, 0, 1.0);
    for wave in 0..waves {
        let all = (0..DIRECTIONS).map(|d| mean(d, wave)).sum::<f64>() / DIRECTIONS as f64;
        for d in 0..DIRECTIONS {
            let ratio = mean(d, wave) / all.max(f64::MIN_POSITIVE);
            if ratio > best.0 {
                best = (ratio, d, wave, all);
            }
        }
    }
    let (_, direction, wave, all) = best;
    let tried = STRANGERS * (waves * DIRECTIONS) as f64;
    let by_chance = Gamma::new(n, n)
        .map_err(|_| Unmeasured::TooFewSpeckles)?
        .inverse_cdf(1.0 - CHANCE / tried);
    let stands_out = best.0 > by_chance;
    let here = if stands_out {
        finest(&fields, direction as f64, first + step * wave as f64, step)
    } else {
        powers[direction].iter().map(|field| field[wave]).collect()
    };
    let most: Vec<f64> = fields.iter().map(|field| field.len() as f64).collect();
    let ones = vec![1.0; fields.len()];
    let strength = |weights: &[f64]| {
        let count = dot(weights, &ones);
        let beyond = dot(weights, &here) - count;
        (beyond / (dot(weights, &most) - count)).max(0.0).sqrt()
    };
    if !stands_out {
        // Rows no stronger than the strongest wave may hide.
        let hidden = (all * best.0 - all).max(0.0) * n / (dot(&ones, &most) - n);
        return Ok(Estimate {
            value: 0.0,
            low: 0.0,
            high: hidden.sqrt().min(1.0),
        });
    }
    let value = strength(&ones);
    let found = Resamples::draw(fields.len(), settings.resamples, settings.seed)
        .and_then(|r| r.interval(value, |w| Some(strength(w))))
        .ok_or(Unmeasured::PanelTooSmall)?;
    Ok(Estimate {
        value: value.min(1.0),
        low: found.low.clamp(0.0, 1.0),
        high: found.high.min(1.0),
    })
}

/// Power of each field for the strongest wave within a step of a direction and a frequency.
fn finest(fields: &[Field], direction: f64, frequency: f64, step: f64) -> Vec<f64> {
    let finer = 1.0 / FINER as f64;
    let across = 2 * FINER + 1;
    let mut best: Vec<f64> = Vec::new();
    for i in 0..across {
        let turned = direction - 1.0 + finer * i as f64;
        let (sin, cos) = (std::f64::consts::PI * turned / DIRECTIONS as f64).sin_cos();
        let waves = (frequency - step, finer * step, across);
        let by_field: Vec<Vec<f64>> = fields
            .iter()
            .map(|field| powers(field, [cos, sin], waves))
            .collect();
        for wave in 0..across {
            let here: Vec<f64> = by_field.iter().map(|field| field[wave]).collect();
            if best.is_empty() || here.iter().sum::<f64>() > best.iter().sum::<f64>() {
                best = here;
            }
        }
    }
    best
}

/// Power of a field's specks for waves of evenly spaced frequencies, (first, step, number), in a direction.
fn powers(field: &Field, along: [f64; 2], (first, step, waves): (f64, f64, usize)) -> Vec<f64> {
    let mut sums = vec![[0.0; 2]; waves];
    for [x, y] in field {
        let turns = std::f64::consts::TAU * (x * along[0] + y * along[1]);
        // Each frequency turns the last one's arrow by the same angle.
        let (mut sin, mut cos) = (first * turns).sin_cos();
        let (sin_step, cos_step) = (step * turns).sin_cos();
        for sum in &mut sums {
            sum[0] += cos;
            sum[1] += sin;
            (cos, sin) = (
                cos * cos_step - sin * sin_step,
                sin * cos_step + cos * sin_step,
            );
        }
    }
    let n = field.len() as f64;
    sums.iter().map(|[c, s]| (c * c + s * s) / n).collect()
}

/// The fields that hold enough specks.
fn fields(found: &[Speckle], panel: &Panel) -> Vec<Field> {
    let (rows, cols) = panel.silver.dim();
    let [height, width] = [rows, cols].map(|px| px as f64 / panel.px_per_mm);
    let along = |length: f64| ((length / FIELD_MM) as usize).clamp(1, MOST_FIELDS);
    let (down, across) = (along(height), along(width));
    let mut fields = vec![Field::new(); down * across];
    // Fields of one size in the middles of equal parts of the panel.
    let place = |mm: f64, length: f64, n: usize| {
        let part = length / n as f64;
        let i = ((mm / part) as usize).min(n - 1);
        let off = mm - (i as f64 + 0.5) * part;
        (off.abs() <= FIELD_MM / 2.0).then_some((i, off))
    };
    for s in found.iter().filter(|s| s.counted) {
        let [x, y] = [s.col, s.row].map(|px| px / panel.px_per_mm);
        if let (Some((c, x)), Some((r, y))) = (place(x, width, across), place(y, height, down)) {
            fields[r * across + c].push([x, -y]);
        }
    }
    fields.retain(|field| field.len() >= FEWEST_IN_FIELD);
    fields
}

#[cfg(test)]
mod tests {
    use super::super::tests::speckle_at;
    use super::super::{Settings, painted};
    use super::*;

    fn rows(points: Vec<[f64; 2]>) -> Estimate {
        let found: Vec<Speckle> = points.into_iter().map(speckle_at).collect();
        let panel = painted::panel(150.0, 0.1, |_, _| 1.0);
        measure(&found, &panel, &Settings::default()).unwrap()
    }

    #[test]
    fn specks_anywhere_lie_in_no_rows() {
        let shown = (0..20)
            .filter(|seed| rows(painted::scattered(700, 150.0, *seed)).value > 0.0)
            .count();
        assert!(shown <= 1, "{shown}");
    }

    #[test]
    fn ruled_rows_have_the_visibility_of_their_scatter() {
        // Anywhere along rows 5 mm apart at 25°, and off them by a deviation of σ: the visibility is exp(−2π²σ²/5²).
        for (sigma, step) in [(0.0, 5.0), (0.6, 5.0), (0.9, 5.0)] {
            let (sin, cos) = 25_f64.to_radians().sin_cos();
            let bell = |u: f64, v: f64| {
                (-2.0 * u.max(1e-12).ln()).sqrt() * (std::f64::consts::TAU * v).cos()
            };
            let points: Vec<[f64; 2]> = painted::scattered(1400, 240.0, 8)
                .into_iter()
                .zip(painted::scattered(1400, 1.0, 9))
                .map(|([a, b], [u, v])| {
                    let across = (b / step).round() * step - 120.0 + sigma * bell(u, v);
                    let along = a - 120.0;
                    [
                        75.0 + along * cos - across * sin,
                        75.0 - along * sin - across * cos,
                    ]
                })
                .filter(|p| p.iter().all(|v| (0.0..150.0).contains(v)))
                .collect();
            let got = rows(points);
            let wanted = (-2.0 * (std::f64::consts::PI * sigma / step).powi(2)).exp();
            assert!(
                (got.value - wanted).abs() < 0.12,
                "{sigma}: {got:?} {wanted}"
            );
        }
    }

    #[test]
    fn too_few_specks_have_no_rows() {
        let panel = painted::panel(150.0, 0.1, |_, _| 1.0);
        let rows = |points: Vec<[f64; 2]>| {
            let found: Vec<Speckle> = points.into_iter().map(speckle_at).collect();
            measure(&found, &panel, &Settings::default())
        };
        assert_eq!(rows(Vec::new()), Err(Unmeasured::TooFewSpeckles));
        assert_eq!(rows(vec![[75.0, 75.0]]), Err(Unmeasured::TooFewSpeckles));
        // All in one field.
        let crowd = painted::scattered(200, 20.0, 1);
        assert_eq!(rows(crowd), Err(Unmeasured::TooFewSpeckles));
    }

    #[test]
    fn a_power_is_one_a_point_and_n_where_they_lie_a_wave_apart() {
        let power = |field: &Field| powers(field, [1.0, 0.0], (0.2, 0.05, 2))[0];
        assert!((power(&vec![[3.0, 9.0]]) - 1.0).abs() < 1e-12);
        let row: Field = (0..7).map(|i| [5.0 * f64::from(i), f64::from(i)]).collect();
        assert!((power(&row) - 7.0).abs() < 1e-9);
        // Half a wave apart they put each other out.
        assert!(power(&vec![[0.0, 0.0], [2.5, 1.0]]).abs() < 1e-12);
        // The second frequency, of 4 mm.
        let second = powers(&vec![[0.0, 0.0], [4.0, 0.0]], [1.0, 0.0], (0.2, 0.05, 2))[1];
        assert!((second - 2.0).abs() < 1e-9);
    }
}
