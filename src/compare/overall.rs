//! One verdict of many rows.
//!
//! Twenty rows that must each be sure would leave most good panels unsure, so the rows explain and the whole decides. Outside:
//! a row, or the look, lies clear of what it may differ by. Within: the look lies surely inside, no row speaks against it, and no
//! figure lies plainly over what it may differ by. Else it is too close to call, in one of two ways.

use serde::Serialize;

use super::rules::{Found, MeasureMatch};
use super::wholes::WholeMatch;
use crate::fingerprint::Verdict;
use crate::fingerprint::metric::LOOK;
use crate::stats::NINETY;

/// Why a panel is too close to call.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Unsure {
    /// Nothing speaks against it, but pieces this small, or photos like these, cannot prove it.
    Unproved,
    /// Something speaks against it.
    Against,
}

/// The verdict, and why it is unsure where it is.
pub(super) fn overall(
    measures: &[MeasureMatch],
    wholes: &[WholeMatch],
) -> (Verdict, Option<Unsure>) {
    let found = || measures.iter().filter_map(|m| m.found);
    let verdicts = || {
        found()
            .map(|f| f.verdict)
            .chain(wholes.iter().map(|w| w.verdict))
    };
    if verdicts().any(|v| v == Verdict::Outside) {
        return (Verdict::Outside, None);
    }
    let look = wholes.iter().find(|w| *w.whole == LOOK);
    let against =
        found().any(|f| f.speaks_against()) || wholes.iter().any(WholeMatch::speaks_against);
    // Of a panel too small to say how much silver is left nothing can be promised.
    let known = measures.iter().any(|m| m.metric.leads && m.found.is_some());
    let proved = match look {
        Some(look) => {
            look.verdict == Verdict::Within
                && !found().any(|f| f.stays_open || f.weight > HARDLY_OVER)
        }
        None => verdicts().all(|v| v == Verdict::Within),
    };
    if against {
        (Verdict::Unsure, Some(Unsure::Against))
    } else if known && proved {
        (Verdict::Within, None)
    } else {
        (Verdict::Unsure, Some(Unsure::Unproved))
    }
}

/// A figure over its allowance by no more than this share is not held against a panel whose look is surely within; by more it is
/// not proved. Chosen on painted finishes, no source.
const HARDLY_OVER: f64 = 1.125;

/// A difference speaks against a panel where it lies over its allowance by more than this share of its standard error: it is
/// then more than twice as likely to be over it as not.
const OVER: f64 = 0.5;

/// It is over what it may be, though not for sure.
fn against(difference: f64, [low, high]: [f64; 2], weight: f64) -> bool {
    let half = if difference > 0.0 {
        difference - low
    } else {
        high - difference
    };
    let over = difference.abs() * (1.0 - 1.0 / weight.max(1.0));
    over > OVER * half / NINETY && over > 1e-9
}

impl Found {
    /// It is over what it may be, and not for sure.
    fn speaks_against(&self) -> bool {
        self.verdict == Verdict::Unsure
            && against(self.difference, [self.low, self.high], self.weight)
    }
}

impl WholeMatch {
    fn speaks_against(&self) -> bool {
        self.verdict == Verdict::Unsure
            && against(self.difference, [self.low, self.high], self.weight())
    }
}
