//! Which setting to try next, so that the fewest pieces teach what a setting does.
//!
//! The curve is what [`super::process`] makes of the pieces so far. Where a figure is wanted, the next piece goes where it takes
//! most doubt from the places at which the curve may reach it (weighted variance; Picheny et al. 2010, "Adaptive designs of
//! experiments for accurate approximation of a target region", J. Mech. Des. 132; Ranjan et al. 2008, Technometrics 50);
//! where none is, from all places alike. Until pieces lie on both sides of the wanted figure, the next goes one step
//! further out ([`Step`]), never beyond. It goes up only where the greatest setting came nearer than the least, so that a finish
//! that has long gone is not worked on.

use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64;

use super::order::ranked;
use super::process::{Known, Posterior};

/// Places at which the curve is looked at.
const PLACES: usize = 81;
/// Curves that are drawn.
const DRAWS: f64 = 600.0;
const SEED: u64 = 1;
/// What lies beyond a step is looked at too, this share of the way.
const BEYOND: f64 = 0.25;
/// Another piece tells little where it narrows the doubt by less than this share.
const LITTLE: f64 = 0.1;
/// Most pieces that are planned ahead.
const AHEAD: usize = 6;
/// Least scale of the figures, over the largest of them.
const FLAT: f64 = 1e-9;

/// How far beyond what was tried one step goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// To so many times the greatest setting, over 1, or that part of the least.
    Times(f64),
    /// By so much, over 0.
    By(f64),
}

impl Step {
    /// The least and the greatest setting that it reaches, never under 0.
    fn beyond(self, [least, greatest]: [f64; 2]) -> [f64; 2] {
        match self {
            Step::Times(times) => [least / times, greatest * times],
            Step::By(by) => [(least - by).max(0.0), greatest + by],
        }
    }
}

/// A piece that was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Its setting, 0 or more.
    pub setting: f64,
    /// What it measures.
    pub measure: f64,
    /// Standard error of that, from its own reading.
    pub error: f64,
}

/// Where the setting for a wanted figure may lie; an end that is not known is `None`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// The setting that is as likely too much as too little.
    pub middle: Option<f64>,
    /// Less is enough once in forty times.
    pub low: Option<f64>,
    /// More is needed once in forty times.
    pub high: Option<f64>,
}

/// What to try next.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// The settings to try, the next first: each planned as if the ones before it were made. Never empty.
    pub settings: Vec<f64>,
    /// Where the setting for the wanted figure may lie, where one is wanted.
    pub reach: Option<Reach>,
    /// Pieces lie on both sides of the wanted figure, or none is wanted.
    pub closed_in: bool,
    /// Share by which the next piece narrows the doubt, 0 to 1.
    pub gain: f64,
}

impl Next {
    /// After so many pieces, in any order; `wanted` is the figure that is to be reached, `error` the standard error that the next
    /// piece's own reading will have. `None` where no piece was made, a figure is none, or no setting is over 0 or one is under it.
    #[must_use]
    pub fn after(pieces: &[Piece], step: Step, wanted: Option<f64>, error: f64) -> Option<Next> {
        let figures = pieces.iter().flat_map(|p| [p.setting, p.measure, p.error]);
        if !figures.chain(wanted).chain([error]).all(f64::is_finite) {
            return None;
        }
        let first = pieces
            .iter()
            .min_by(|a, b| a.setting.total_cmp(&b.setting))?;
        let last = pieces
            .iter()
            .max_by(|a, b| a.setting.total_cmp(&b.setting))?;
        if first.setting < 0.0 || last.setting <= 0.0 {
            return None;
        }
        let tried = [first.setting, last.setting];
        let step = step.beyond(tried);
        let mut curve = Curve::through(pieces, tried, step, wanted);
        let Some(wanted) = wanted else {
            return Some(curve.plan(step, None, error));
        };
        let mut crossings = curve.crossings(wanted);
        let reach = Reach::from_crossings(&mut crossings);
        let closed = crossings
            .iter()
            .filter(|c| (tried[0]..=tried[1]).contains(c));
        if 2 * closed.count() >= crossings.len() {
            return Some(curve.plan(tried, Some(reach), error));
        }
        let nearer = |piece: &Piece| (piece.measure - wanted).abs();
        let up = nearer(last) < nearer(first);
        Some(Next {
            settings: vec![step[usize::from(up)]],
            reach: Some(reach),
            closed_in: false,
            gain: 1.0,
        })
    }

    /// Whether another piece would tell little.
    #[must_use]
    pub fn is_enough(&self) -> bool {
        self.gain < LITTLE
    }
}

impl Reach {
    /// From where drawn curves reach the figure, an infinite place standing for beyond what was looked at.
    fn from_crossings(crossings: &mut [f64]) -> Reach {
        let mut at =
            |share: f64| ranked(crossings, share, f64::total_cmp).filter(|place| place.is_finite());
        Reach {
            middle: at(0.5),
            low: at(0.025),
            high: at(0.975),
        }
    }
}

/// What the curve may be at places from below the least setting to beyond the greatest.
struct Curve {
    /// The places, as settings.
    places: Vec<f64>,
    /// The curve in scaled figures.
    posteriors: Vec<Posterior>,
    /// How much doubt at each place counts.
    weights: Vec<f64>,
    middle: f64,
    scale: f64,
}

impl Curve {
    fn through(pieces: &[Piece], tried: [f64; 2], step: [f64; 2], wanted: Option<f64>) -> Curve {
        let [least, greatest] = tried;
        let beyond = (step[1] - step[0]) * BEYOND;
        let ends = [(step[0] - beyond).max(0.0), step[1] + beyond];
        let share = |i: usize| i as f64 / (PLACES - 1) as f64;
        let places: Vec<f64> = (0..PLACES)
            .map(|i| ends[0] + (ends[1] - ends[0]) * share(i))
            .collect();
        let middle = pieces.iter().map(|p| p.measure).sum::<f64>() / pieces.len() as f64;
        // What is wanted counts as the pieces do: a single piece has no scale of its own.
        let furthest = pieces
            .iter()
            .map(|p| p.measure)
            .chain(wanted)
            .map(|y| (y - middle).abs());
        let scale = 2.0 * furthest.fold(0.0, f64::max);
        let scale = scale.max(FLAT * middle.abs()).max(f64::MIN_POSITIVE);
        let centre = least.midpoint(greatest);
        let span = (greatest - least).max((step[1] - step[0]) / 2.0);
        let along = |setting: f64| (setting - centre) / span;
        let known = pieces.iter().map(|p| Known {
            x: along(p.setting),
            y: (p.measure - middle) / scale,
            error: p.error / scale,
        });
        let along: Vec<f64> = places.iter().map(|place| along(*place)).collect();
        Curve {
            posteriors: Posterior::of_all_kinds(&known.collect::<Vec<_>>(), &along),
            weights: vec![1.0; PLACES],
            places,
            middle,
            scale,
        }
    }

    /// Where drawn curves first reach a figure. The doubt at a place then counts as often as they do so there.
    fn crossings(&mut self, wanted: f64) -> Vec<f64> {
        let wanted = (wanted - self.middle) / self.scale;
        let mut chance = Pcg64::seed_from_u64(SEED);
        let mut crossings = Vec::new();
        self.weights.fill(0.0);
        for posterior in &self.posteriors {
            let mut draw = posterior.drawn(|| StandardNormal.sample(&mut chance));
            let mut left = (posterior.weight * DRAWS).round();
            while left > 0.0 {
                left -= 1.0;
                let Some(curve) = draw() else { break };
                let passes = |k: &usize| (curve[k - 1] < wanted) != (curve[*k] < wanted);
                let Some(k) = (1..PLACES).find(passes) else {
                    let rises = curve[PLACES - 1] > curve[0];
                    let above = (curve[0] < wanted) == rises;
                    crossings.push(if above {
                        f64::INFINITY
                    } else {
                        f64::NEG_INFINITY
                    });
                    continue;
                };
                let way = (wanted - curve[k - 1]) / (curve[k] - curve[k - 1]);
                self.weights[k - 1] += 1.0 - way;
                self.weights[k] += way;
                crossings.push(self.places[k - 1] + way * (self.places[k] - self.places[k - 1]));
            }
        }
        crossings
    }

    /// The settings within `ends` that take most doubt away, one after the other, until another tells little.
    fn plan(&mut self, ends: [f64; 2], reach: Option<Reach>, error: f64) -> Next {
        let error = error / self.scale;
        let inside: Vec<usize> = (0..PLACES)
            .filter(|i| (ends[0]..=ends[1]).contains(&self.places[*i]))
            .collect();
        let doubt =
            |posteriors: &[Posterior], weights: &[f64], fall: &dyn Fn(&Posterior, usize) -> f64| {
                let at = |p: &Posterior| {
                    inside
                        .iter()
                        .map(|&i| weights[i] * (p.covariance[(i, i)] - fall(p, i)))
                        .sum::<f64>()
                };
                posteriors.iter().map(|p| p.weight * at(p)).sum::<f64>()
            };
        let (mut settings, mut gain) = (Vec::new(), 0.0);
        while settings.len() < AHEAD {
            let now = doubt(&self.posteriors, &self.weights, &|_, _| 0.0);
            let after = |by: usize| {
                doubt(&self.posteriors, &self.weights, &|p, at| {
                    p.fall(at, by, error)
                })
            };
            let best = inside
                .iter()
                .map(|&by| (after(by), by))
                .min_by(|a, b| a.0.total_cmp(&b.0));
            let Some((left, by)) = best else { break };
            let narrows = if now > 0.0 {
                1.0 - (left / now).max(0.0).sqrt()
            } else {
                0.0
            };
            if settings.is_empty() {
                gain = narrows;
            } else if narrows < LITTLE {
                break;
            }
            settings.push(self.places[by]);
            self.posteriors.iter_mut().for_each(|p| p.add(by, error));
        }
        if settings.is_empty() {
            settings.push(ends[0].midpoint(ends[1]));
        }
        Next {
            settings,
            reach,
            closed_in: true,
            gain,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STEP: Step = Step::Times(2.0);

    fn pieces(made: &[[f64; 2]]) -> Vec<Piece> {
        let piece = |&[setting, measure]: &[f64; 2]| Piece {
            setting,
            measure,
            error: 0.0,
        };
        made.iter().map(piece).collect()
    }

    fn after(made: &[[f64; 2]], wanted: Option<f64>) -> Option<Next> {
        Next::after(&pieces(made), STEP, wanted, 0.0)
    }

    #[test]
    fn nothing_is_planned_from_nothing_or_from_what_is_no_figure() {
        assert_eq!(after(&[], Some(30.0)), None);
        assert_eq!(after(&[[0.0, 20.0]], Some(30.0)), None);
        assert_eq!(after(&[[-1.0, 20.0], [5.0, 30.0]], None), None);
        assert_eq!(after(&[[40.0, f64::NAN]], None), None);
        assert_eq!(after(&[[40.0, 20.0]], Some(f64::INFINITY)), None);
    }

    #[test]
    fn until_it_is_closed_in_the_next_is_one_step_beyond_towards_the_wanted() {
        let next = |made: &[[f64; 2]], wanted| after(made, Some(wanted)).unwrap();
        let first = next(&[[40.0, 20.0]], 30.0);
        assert_eq!((first.settings, first.closed_in), (vec![20.0], false));
        assert_eq!(next(&[[20.0, 10.0], [40.0, 20.0]], 60.0).settings, [80.0]);
        assert_eq!(next(&[[20.0, 40.0], [40.0, 60.0]], 10.0).settings, [10.0]);
        // Of a finish that has long gone, more is never tried.
        assert_eq!(next(&[[40.0, 60.0], [80.0, 60.0]], 30.0).settings, [20.0]);
    }

    #[test]
    fn once_it_is_closed_in_the_next_lies_between_and_the_range_narrows() {
        let mut made = vec![[20.0, 10.0], [80.0, 40.0]];
        let mut widths = Vec::new();
        for _ in 0..4 {
            let next = after(&made, Some(30.0)).unwrap();
            assert!(next.closed_in && next.settings.iter().all(|s| (20.0..=80.0).contains(s)));
            let reach = next.reach.unwrap();
            widths.push(reach.high.unwrap() - reach.low.unwrap());
            made.push([next.settings[0], next.settings[0] / 2.0]);
        }
        assert!(widths[3] < widths[0] / 2.0, "{widths:?}");
        let reach = after(&made, Some(30.0)).unwrap().reach.unwrap();
        assert!((reach.middle.unwrap() - 60.0).abs() < 3.0, "{reach:?}");
    }

    #[test]
    fn many_pieces_are_enough_and_a_coarse_reading_is_worth_less() {
        let made: Vec<[f64; 2]> = (1..=14).map(|i| [f64::from(i), f64::from(i)]).collect();
        let many = after(&made, Some(7.0)).unwrap();
        assert!(many.is_enough(), "{}", many.gain);
        let few = pieces(&made[..4]);
        let [fine, coarse] = [0.0, 2.0].map(|error| Next::after(&few, STEP, Some(2.5), error));
        assert!(fine.unwrap().gain > coarse.unwrap().gain);
    }

    #[test]
    fn with_nothing_wanted_the_next_is_far_from_what_was_tried() {
        let next = after(&[[40.0, 20.0]], None).unwrap();
        assert!(
            next.settings[0] > 60.0 || next.settings[0] < 30.0,
            "{next:?}"
        );
        assert!(next.settings.iter().all(|s| (20.0..=80.0).contains(s)));
        assert!(next.reach.is_none() && next.closed_in);
    }

    #[test]
    fn a_step_is_by_a_share_or_by_an_amount_and_never_under_nothing() {
        let reaches = |step: Step, tried, ends: [f64; 2]| {
            let found = step.beyond(tried);
            found
                .iter()
                .zip(ends)
                .all(|(f, end)| (f - end).abs() < 1e-12)
        };
        assert!(reaches(Step::Times(2.0), [10.0, 40.0], [5.0, 80.0]));
        assert!(reaches(Step::By(3.0), [2.0, 20.0], [0.0, 23.0]));
    }
}
