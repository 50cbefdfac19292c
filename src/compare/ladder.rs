//! Where a panel stands on the studio's own ladder of named steps, from light to heavy.
//!
//! The steps are kept finishes; what orders them is their aggressiveness. A panel's place is read off between the two steps
//! that it lies between: 2.3 is three tenths of the way from the second to the third. Its interval comes from the panel's own,
//! and from that of the steps beside it.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places on a ladder are small and positive"
)]

use serde::Serialize;

use super::side::Side;
use super::unlike::refuse_unlike;
use crate::error::{Error, Result};
use crate::fingerprint::apart::apart;
use crate::fingerprint::metric::AGGRESSIVENESS;
use crate::units::Estimate;

/// A step: its name and its reading.
#[derive(Debug, Clone, Copy)]
pub struct Rung<'a> {
    /// The studio's name for it.
    pub name: &'a str,
    /// The kept finish.
    pub side: Side<'a>,
}

/// Where a panel stands.
#[derive(Debug, Clone)]
pub struct Standing {
    /// Place on the ladder: 1 on the first step, 2 on the second; from 1 to the number of steps.
    pub place: Estimate,
    /// The panel's aggressiveness.
    pub panel: Estimate,
    /// That of each step.
    pub steps: Vec<Estimate>,
    /// It lies surely below the first step, or above the last.
    pub beyond: Option<Beyond>,
    /// The step that it looks most like, counted from 1, whatever its wear; `None` where it is too small to tell.
    pub looks_like: Option<usize>,
}

/// A step is met within a tenth of the way to the next.
const AT: f64 = 0.1;

/// The step that is met at a place, counted from 1.
#[must_use]
pub fn met(place: f64) -> Option<usize> {
    ((place - place.round()).abs() <= AT).then_some(place.round() as usize)
}

/// Off the ladder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Beyond {
    /// Lighter than the lightest step.
    Lighter,
    /// Heavier than the heaviest.
    Heavier,
}

fn worn(side: Side<'_>) -> Result<Estimate> {
    let worn = side.fingerprint.measure(&AGGRESSIVENESS);
    worn.map_err(|_| Error::NothingToPlace {
        name: side.name.to_owned(),
    })
}

/// The aggressiveness of each step of a ladder.
///
/// # Errors
/// Fewer than two steps, steps that cannot be compared, or one that is not heavier than the one before it.
pub fn rungs(steps: &[Rung<'_>]) -> Result<Vec<Estimate>> {
    if steps.len() < 2 {
        return Err(Error::LadderTooShort { found: steps.len() });
    }
    let worn: Vec<Estimate> = steps.iter().map(|s| worn(s.side)).collect::<Result<_>>()?;
    for i in 1..steps.len() {
        refuse_unlike(steps[i - 1].side, steps[i].side)?;
        if worn[i].value <= worn[i - 1].value {
            let shown = |e: Estimate| AGGRESSIVENESS.format(e.value);
            return Err(Error::LadderNotRising {
                step: steps[i].name.to_owned(),
                before: steps[i - 1].name.to_owned(),
                found: shown(worn[i]),
                least: shown(worn[i - 1]),
            });
        }
    }
    Ok(worn)
}

/// Places a panel on a ladder.
///
/// # Errors
/// As for [`rungs`], and where the panel cannot be compared with the steps.
pub fn stand(panel: Side<'_>, steps: &[Rung<'_>]) -> Result<Standing> {
    let rungs = rungs(steps)?;
    refuse_unlike(steps[0].side, panel)?;
    let found = worn(panel)?;
    let (value, slope) = place(&rungs, found.value);
    // What the steps beside the panel are unsure of moves its place as well.
    let beside =
        [value.floor(), value.ceil()].map(|p| rungs[(p as usize).clamp(1, rungs.len()) - 1]);
    let half = |e: Estimate| (e.high - e.low) / 2.0;
    let share = value.fract();
    let steps_error = ((1.0 - share) * half(beside[0])).hypot(share * half(beside[1])) * slope;
    let low = value - place(&rungs, found.low).0;
    let high = place(&rungs, found.high).0 - value;
    let last = rungs.len() as f64;
    let first_rung = rungs[0];
    let last_rung = rungs[rungs.len() - 1];
    Ok(Standing {
        place: Estimate {
            value,
            low: (value - low.hypot(steps_error)).max(1.0),
            high: (value + high.hypot(steps_error)).min(last),
        },
        beyond: if found.high < first_rung.low {
            Some(Beyond::Lighter)
        } else if found.low > last_rung.high {
            Some(Beyond::Heavier)
        } else {
            None
        },
        looks_like: looks_like(panel, steps),
        panel: found,
        steps: rungs,
    })
}

fn looks_like(panel: Side<'_>, steps: &[Rung<'_>]) -> Option<usize> {
    let own = &panel.fingerprint.measurements.texture;
    let far = |(i, step): (usize, &Rung<'_>)| {
        let apart = apart(&step.side.fingerprint.measurements.texture, own)?;
        Some((apart.squared, i + 1))
    };
    let all = steps
        .iter()
        .enumerate()
        .map(far)
        .collect::<Option<Vec<_>>>()?;
    all.into_iter()
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, step)| step)
}

/// The place of an aggressiveness, and how fast the place moves with it there.
fn place(rungs: &[Estimate], worn: f64) -> (f64, f64) {
    let last = rungs.len() - 1;
    let above = rungs
        .iter()
        .position(|r| r.value > worn)
        .unwrap_or(last)
        .clamp(1, last);
    let (from, to) = (rungs[above - 1].value, rungs[above].value);
    let slope = 1.0 / (to - from);
    let within = ((worn - from) * slope).clamp(0.0, 1.0);
    (above as f64 + within, slope)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rungs() -> Vec<Estimate> {
        let sure = |value| Estimate {
            value,
            low: value,
            high: value,
        };
        vec![sure(10.0), sure(20.0), sure(40.0)]
    }

    #[test]
    fn a_place_is_read_off_between_steps_and_never_beyond_them() {
        for (worn, wanted) in [
            (10.0, 1.0),
            (15.0, 1.5),
            (20.0, 2.0),
            (30.0, 2.5),
            (40.0, 3.0),
            (60.0, 3.0),
            (1.0, 1.0),
        ] {
            assert!((place(&rungs(), worn).0 - wanted).abs() < 1e-12, "{worn}");
        }
    }
}
