//! One verdict of many rows.
//!
//! Twenty rows that must each be sure would leave most good panels unsure, so the rows explain and the whole decides. Outside:
//! a row, or the look, lies clear of what it may differ by. Within: the look lies surely inside, no row speaks against it, and no
//! figure lies plainly over what it may differ by. Else it is too close to call, in one of two ways.

use serde::Serialize;

use super::rules::{Comparison, MeasureMatch};
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

impl Comparison {
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

#[cfg(test)]
mod tests {
    use super::super::drawn::{row, whole};
    use super::*;
    use crate::fingerprint::metric::{COVERAGE, SILVER_LEVELS, SPECKLE_DENSITY};
    use Verdict::{Outside, Unsure as Open, Within};

    const UNPROVED: (Verdict, Option<Unsure>) = (Open, Some(Unsure::Unproved));
    const AGAINST: (Verdict, Option<Unsure>) = (Open, Some(Unsure::Against));

    #[test]
    fn one_row_or_whole_outside_decides() {
        let (fine, look) = (row(&COVERAGE, Within, 0.1), whole(&LOOK, Within, 0.1));
        assert_eq!(overall(&[fine], &[look]), (Within, None));
        let out = row(&SPECKLE_DENSITY, Outside, 2.0);
        assert_eq!(overall(&[fine, out], &[look]), (Outside, None));
        let out = whole(&SILVER_LEVELS, Outside, 2.0);
        assert_eq!(overall(&[fine], &[look, out]), (Outside, None));
        // Outside weighs more than what is open.
        let open = row(&SPECKLE_DENSITY, Open, 1.5);
        assert_eq!(overall(&[fine, open], &[look, out]), (Outside, None));
    }

    #[test]
    fn without_coverage_nothing_is_promised() {
        let look = whole(&LOOK, Within, 0.1);
        assert_eq!(overall(&[], &[look]), UNPROVED);
        assert_eq!(
            overall(&[row(&SPECKLE_DENSITY, Within, 0.1)], &[look]),
            UNPROVED
        );
        let mut unknown = row(&COVERAGE, Within, 0.1);
        unknown.found = None;
        assert_eq!(overall(&[unknown], &[look]), UNPROVED);
        assert_eq!(overall(&[], &[]), UNPROVED);
    }

    #[test]
    fn the_look_proves_what_single_rows_leave_open() {
        let fine = row(&COVERAGE, Within, 0.1);
        let open = row(&SPECKLE_DENSITY, Open, 0.5);
        assert_eq!(
            overall(&[fine, open], &[whole(&LOOK, Within, 0.1)]),
            (Within, None)
        );
        assert_eq!(overall(&[fine, open], &[whole(&LOOK, Open, 0.5)]), UNPROVED);
        // Without a look every row must be within.
        assert_eq!(overall(&[fine], &[]), (Within, None));
        assert_eq!(overall(&[fine, open], &[]), UNPROVED);
        // What paint or today may carry out is not proved.
        let mut carried = fine;
        if let Some(found) = &mut carried.found {
            found.stays_open = true;
        }
        assert_eq!(overall(&[carried], &[whole(&LOOK, Within, 0.1)]), UNPROVED);
    }

    #[test]
    fn hardly_over_is_proved_by_the_look_and_plainly_over_is_not() {
        let fine = row(&COVERAGE, Within, 0.1);
        let at = |weight| {
            overall(
                &[fine, row(&SPECKLE_DENSITY, Open, weight)],
                &[whole(&LOOK, Within, 0.1)],
            )
        };
        assert_eq!([at(1.0), at(1.125)], [(Within, None); 2]);
        assert_eq!(at(1.13), UNPROVED);
        assert_eq!(at(-1.13), UNPROVED);
    }

    #[test]
    fn what_lies_over_by_half_its_error_speaks_against() {
        // At twice the allowance, an interval of four: over by one, of an error of 4/1.645.
        let fine = row(&COVERAGE, Within, 0.1);
        let look = whole(&LOOK, Within, 0.1);
        let over = |weight| overall(&[fine, row(&SPECKLE_DENSITY, Open, weight)], &[look]);
        // The rows' half-width is twice the difference: w − 1 > 0.5 · 2 w / 1.645 from w = 2.55 on.
        assert_eq!([over(2.5), over(-2.5)], [UNPROVED; 2]);
        assert_eq!([over(2.6), over(-2.6)], [AGAINST; 2]);
        let over = |weight| overall(&[fine], &[look, whole(&SILVER_LEVELS, Open, weight)]);
        assert_eq!([over(2.5), over(2.6)], [(Within, None), AGAINST]);
        // Inside it never does.
        assert!(!against(0.5, [0.5, 0.5], 0.9) && !against(0.0, [0.0, 0.0], 0.0));
        assert!(against(1.5, [1.4, 9.0], 1.5) && against(-1.5, [-9.0, -1.4], 1.5));
        assert!(!against(1.5, [-3.0, 1.5], 1.5) && !against(-1.5, [-1.5, 3.0], 1.5));
    }
}
